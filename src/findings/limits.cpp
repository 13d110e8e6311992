#include "findings/limits.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "findings/geometry.hpp"

namespace swingtie {
namespace {

/// How far a limit drawn too short is continued straight, metres.
constexpr double longest_extension = 30;

bool is_limit(FeatureKind kind) {
  return kind == FeatureKind::right_of_way || kind == FeatureKind::lot || kind == FeatureKind::curb;
}

std::vector<Meeting> meetings_of(const RouteDraw::LineCourse& course, const std::vector<PlanSegment>& edges,
                                 PlanVector shift) {
  std::vector<Meeting> out;
  for (const PlanSegment& edge : edges) {
    const PlanPoint a = edge.a + shift, b = edge.b + shift;
    const double whole = distance(a, b);
    if (whole == 0) continue;
    const PlanVector way = (1 / whole) * (b - a);  // so that the cross product is a distance from its line
    double before = clockwise_cross(way, plan(course.vertices[0]) - a);
    for (std::size_t i = 1; i < course.vertices.size(); ++i) {
      // The course cannot reach the line sooner than it is away from it: the pieces before that are passed over.
      const double clear = course.stations[i - 1] + std::abs(before);
      while (i + 1 < course.vertices.size() && course.stations[i + 1] < clear) ++i;
      if (course.stations[i] < clear) {
        before = clockwise_cross(way, plan(course.vertices[i]) - a);
        continue;
      }
      const double from = clockwise_cross(way, plan(course.vertices[i - 1]) - a);
      const double after = clockwise_cross(way, plan(course.vertices[i]) - a);
      before = after;
      if ((after >= 0) == (from >= 0)) continue;
      const SitePoint &p = course.vertices[i - 1], &q = course.vertices[i];
      if (const auto t = crossing_of({plan(p), plan(q)}, {a, b})) {
        const double s = (*t)[0];
        out.push_back({course.stations[i - 1] + s * (course.stations[i] - course.stations[i - 1]),
                       {p.e + s * (q.e - p.e), p.n + s * (q.n - p.n), p.up + s * (q.up - p.up)}});
      }
    }
  }
  std::sort(out.begin(), out.end(), [](const Meeting& x, const Meeting& y) { return x.station < y.station; });
  return out;
}

/// The edges of a line feature with its two ends continued straight.
std::vector<PlanSegment> continued(const Feature& feature) {
  std::vector<PlanSegment> out = edges(feature);
  for (const auto& part : feature.lines) {
    if (part.size() < 2) continue;
    const auto extend = [&](PlanPoint inner, PlanPoint end) {
      const double whole = distance(inner, end);
      if (whole > 0) out.push_back({end, end + (longest_extension / whole) * (end - inner)});
    };
    extend(part[1], part[0]);
    extend(part[part.size() - 2], part.back());
  }
  return out;
}

/// Where the house stands, or else the lot: certainly on the private side.
std::optional<PlanPoint> private_ground(const Placed& placed) {
  for (const FeatureKind kind : {FeatureKind::house, FeatureKind::lot})
    for (const Feature& feature : placed.features)
      if (feature.kind == kind) return middle(feature);
  return std::nullopt;
}

double nearest_station(const RouteDraw::LineCourse& course, PlanPoint p) {
  double best = std::numeric_limits<double>::infinity(), station = 0;
  for (std::size_t i = 1; i < course.vertices.size(); ++i) {
    const Nearest here = nearest_on(PlanSegment{plan(course.vertices[i - 1]), plan(course.vertices[i])}, p);
    if (here.distance < best) {
      best = here.distance;
      station = course.stations[i - 1] + here.share * (course.stations[i] - course.stations[i - 1]);
    }
  }
  return station;
}

}  // namespace

Limits::Limits(const Sampling& sampling) {
  const Placed& placed = sampling.placed();
  const auto& draws = sampling.posterior().draws;
  const std::size_t lines = placed.lines.size();
  home_ = private_ground(placed);
  for (std::size_t f = 0; f < placed.features.size(); ++f) {
    const Feature& feature = placed.features[f];
    const bool rules = placed.ownership.feature == f && (placed.ownership.until == PrivateUntil::right_of_way ||
                                                         placed.ownership.until == PrivateUntil::lot_line ||
                                                         placed.ownership.until == PrivateUntil::curb);
    if ((!is_limit(feature.kind) && !rules) || feature.shape == GeometryKind::point) continue;
    Limit limit{f, rules, false, edges(feature), {}};
    const auto meet_all = [&](const std::vector<PlanSegment>& along) {
      std::size_t met = 0;
      limit.meetings.assign(lines, std::vector<std::vector<Meeting>>(draws.size()));
      for (std::size_t l = 0; l < lines; ++l) {
        for (std::size_t d = 0; d < draws.size(); ++d) {
          if (draws[d].lines[l].vertices.size() < 2) continue;
          limit.meetings[l][d] = meetings_of(draws[d].lines[l], along, sampling.shift(f, d));
          met += limit.meetings[l][d].empty() ? 0 : 1;
        }
      }
      return met;
    };
    const std::size_t met = meet_all(limit.outline);
    if (feature.shape == GeometryKind::line && 2 * met < draws.size()) {
      const auto longer = continued(feature);
      if (meet_all(longer) > met) {
        limit.straightened = true;
        limit.outline = longer;
      }
    }
    all_.push_back(std::move(limit));
  }
  find_changes(sampling);
}

void Limits::find_changes(const Sampling& sampling) {
  const Placed& placed = sampling.placed();
  const Ownership& ownership = placed.ownership;
  const auto& draws = sampling.posterior().draws;
  changes_.assign(placed.lines.size(), std::vector<std::vector<double>>(draws.size()));
  starts_private_.assign(placed.lines.size(), true);
  switch (ownership.until) {
    case PrivateUntil::unsaid:
      return;
    case PrivateUntil::main:
      known_ = true;
      return;
    case PrivateUntil::station:
      known_ = true;
      for (auto& line : changes_)
        for (auto& draw : line) draw.push_back(ownership.station.metres);
      return;
    case PrivateUntil::clean_out:
      if (!ownership.point) return;
      known_ = true;
      for (std::size_t l = 0; l < changes_.size(); ++l)
        for (std::size_t d = 0; d < draws.size(); ++d)
          if (draws[d].lines[l].vertices.size() >= 2)
            changes_[l][d].push_back(nearest_station(draws[d].lines[l], ownership.point->at));
      return;
    case PrivateUntil::right_of_way:
    case PrivateUntil::lot_line:
    case PrivateUntil::curb:
      break;
  }
  const Limit* rule = ruling();
  if (rule == nullptr) return;
  known_ = true;
  for (std::size_t l = 0; l < changes_.size(); ++l) {
    for (std::size_t d = 0; d < draws.size(); ++d)
      for (const Meeting& meeting : rule->meetings[l][d]) changes_[l][d].push_back(meeting.station);
    if (!home_ || draws.empty() || draws[0].lines[l].vertices.size() < 2) continue;
    starts_private_[l] = !beyond(placed, *rule, plan(mean_of(sampling.at_station(l, 0).points)));
  }
}

bool Limits::beyond(const Placed& placed, const Limit& limit, PlanPoint p) const {
  if (!home_) return false;
  const Feature& feature = placed.features[limit.feature];
  if (feature.shape == GeometryKind::area) return holds(feature, p) != holds(feature, *home_);
  const auto crossed = std::count_if(limit.outline.begin(), limit.outline.end(), [&](const PlanSegment& edge) {
    return crossing_of({p, *home_}, edge).has_value();
  });
  return crossed % 2 == 1;
}

const Limits::Limit* Limits::ruling() const {
  const auto rule = std::find_if(all_.begin(), all_.end(), [](const Limit& limit) { return limit.rules; });
  return rule == all_.end() ? nullptr : &*rule;
}

bool Limits::is_private(std::size_t line, std::size_t draw, double station) const {
  const auto& changes = changes_[line][draw];
  const auto passed = std::lower_bound(changes.begin(), changes.end(), station) - changes.begin();
  return starts_private_[line] == (passed % 2 == 0);
}

}  // namespace swingtie
