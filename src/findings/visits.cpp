#include "findings/visits.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>

namespace swingtie {
namespace {

/// A rotation and a shift of the plan.
struct Motion {
  double turn = 0;  ///< added to every azimuth
  PlanPoint from, to;

  PlanPoint operator()(PlanPoint p) const {
    const PlanVector v = p - from;
    const double c = std::cos(turn), s = std::sin(turn);
    return to + PlanVector{v.de * c + v.dn * s, -v.de * s + v.dn * c};
  }
  PlanCovariance operator()(const PlanCovariance& covariance) const {
    const double c = std::cos(turn), s = std::sin(turn);
    PlanCovariance r;
    r << c, s, -s, c;
    return r * covariance * r.transpose();
  }
};

struct Common {
  PlanPoint earlier, later;
};

/// Points of the same name in both jobs.
std::vector<Common> common_points(const Placed& earlier, const Placed& later) {
  std::vector<Common> out;
  for (const Feature& feature : later.features) {
    const Feature* before = find_feature(earlier, feature.id);
    if (before == nullptr || before->kind != feature.kind) continue;
    for (const Corner& corner : feature.corners) {
      const auto same = std::find_if(before->corners.begin(), before->corners.end(),
                                     [&](const Corner& c) { return c.name == corner.name; });
      if (same != before->corners.end()) out.push_back({same->point.at, corner.point.at});
    }
  }
  return out;
}

double misfit(const std::vector<Common>& points, const Motion& motion) {
  double sum = 0;
  for (const Common& c : points) sum += std::pow(distance(motion(c.earlier), c.later), 2);
  return std::sqrt(sum / static_cast<double>(points.size()));
}

/// The rotation and shift that bring the points together with the least squares: centroids onto each other, turned by
/// the angle whose tangent is the sum of the cross products over that of the dot products.
Motion best_motion(const std::vector<Common>& points) {
  const double n = static_cast<double>(points.size());
  PlanVector a, b;
  const PlanPoint ea = points.front().earlier, eb = points.front().later;
  for (const Common& c : points) {
    a = a + (1 / n) * (c.earlier - ea);
    b = b + (1 / n) * (c.later - eb);
  }
  Motion out;
  out.from = ea + a;
  out.to = eb + b;
  double cross = 0, along = 0;
  for (const Common& c : points) {
    const PlanVector u = c.earlier - out.from, v = c.later - out.to;
    cross += clockwise_cross(u, v);
    along += dot(u, v);
  }
  out.turn = std::atan2(cross, along);
  return out;
}

}  // namespace

JoinedVisits join_visits(const Placed& earlier, const Placed& later) {
  JoinedVisits out;
  out.placed = later;
  out.first_earlier = later.runs.size();
  const auto warn = [&](std::string message, std::string hint) {
    out.remarks.push_back({Severity::warning, {}, std::move(message), "", std::move(hint)});
  };

  // A metre: better than any two inspections agree on a lot, worse than any slip of a tape that would matter here.
  constexpr double same_place = 1.0;
  Motion motion;
  const auto points = common_points(earlier, later);
  if (!points.empty()) {
    out.fit = misfit(points, motion);
    if (out.fit > same_place && points.size() >= 2) {
      const Motion best = best_motion(points);
      const double fit = misfit(points, best);
      if (fit <= same_place) {
        motion = best;
        out.moved = true;
      }
      out.fit = std::min(out.fit, fit);
    }
    if (out.fit > same_place)
      warn("the two jobs do not show one lot: their common corners disagree by more than a metre",
           "compare two inspections of the same house");
  } else {
    warn("the two jobs have no corner or point of the same name: their coordinates are taken as one grid",
         "give the house the same id and corner names in both");
  }

  std::vector<std::size_t> line_of(earlier.lines.size());
  for (std::size_t l = 0; l < earlier.lines.size(); ++l) {
    const auto same = std::find_if(later.lines.begin(), later.lines.end(),
                                   [&](const Line& line) { return line.id == earlier.lines[l].id; });
    if (same != later.lines.end())
      line_of[l] = static_cast<std::size_t>(same - later.lines.begin());
    else if (later.lines.size() == 1)
      line_of[l] = 0;
    else {
      line_of[l] = later.lines.size();
      warn(fmt::format("line `{}` of the earlier job is not in the later one", earlier.lines[l].id), "");
    }
  }
  for (Run run : earlier.runs) {
    if (line_of[run.line] >= later.lines.size()) continue;
    run.line = line_of[run.line];
    run.id = "earlier " + run.id;
    run.access.at = motion(run.access.at);
    run.access.covariance = motion(run.access.covariance);
    for (LogItem& item : run.log) {
      if (!item.branch) continue;
      if (line_of[*item.branch] < later.lines.size())
        item.branch = line_of[*item.branch];
      else
        item.branch.reset();
    }
    for (Locate& locate : run.locates) {
      locate.position.at = motion(locate.position.at);
      locate.position.covariance = motion(locate.position.covariance);
      if (locate.direction) locate.direction->radians += motion.turn;
    }
    out.placed.runs.push_back(std::move(run));
  }
  return out;
}

}  // namespace swingtie
