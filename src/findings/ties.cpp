#include "findings/ties.hpp"

#include <fmt/format.h>

#include <Eigen/LU>
#include <algorithm>
#include <cmath>
#include <limits>
#include <string_view>

#include "findings/corners.hpp"
#include "findings/geometry.hpp"
#include "findings/phrases.hpp"
#include "findings/statistics.hpp"
#include "measure/bearing.hpp"
#include "measure/covariance.hpp"

namespace swingtie {
namespace {

/// What a finder with a tape will know when he sees it, and how far its point is doubtful: 1 for a sharp thing that
/// stays, more for one whose point is soft or may move. 0: nothing to tie to (a lot corner is seldom visible).
double softness(FeatureKind kind) {
  switch (kind) {
    case FeatureKind::house:
    case FeatureKind::hydrant:
    case FeatureKind::pole:
    case FeatureKind::manhole:
    case FeatureKind::valve:
    case FeatureKind::meter:
    case FeatureKind::mark:
      return 1.0;
    case FeatureKind::wall:
    case FeatureKind::rock:
      return 1.2;
    case FeatureKind::tree:
      return 1.5;
    case FeatureKind::fence:
    case FeatureKind::driveway:
    case FeatureKind::walk:
      return 2.0;
    case FeatureKind::lot:
    case FeatureKind::curb:
    case FeatureKind::right_of_way:
    case FeatureKind::centerline:
    case FeatureKind::main:
    case FeatureKind::water:
    case FeatureKind::gas:
    case FeatureKind::electric:
    case FeatureKind::comms:
      break;
  }
  return 0.0;
}

struct Candidate {
  std::string from, says;
  PlanPoint at;
  PlanVector way;  ///< unit, from the fixed point to the target
  double distance = 0, sigma = 0, weight = 1;
};

/// What a tie distance is printed to: an inch or a centimetre.
double printed_step(LengthUnit unit) {
  return is_feet(unit) ? metres_per(unit) / 12 : 0.01;
}

/// A tape cannot go through a house; it may touch a wall or turn no corner.
bool blocked(const std::vector<std::vector<PlanSegment>>& houses, const std::vector<const Feature*>& house_features,
             PlanPoint from, PlanPoint to) {
  for (std::size_t h = 0; h < houses.size(); ++h) {
    // Points strictly between the ends, so that starting at a corner or running along a wall is no crossing.
    std::vector<double> cuts{0, 1};
    for (const PlanSegment& wall : houses[h]) {
      const PlanVector u = to - from, v = wall.b - wall.a;
      const double across = clockwise_cross(u, v);
      if (std::abs(across) < 1e-12) continue;
      const double t = clockwise_cross(wall.a - from, v) / across;
      const double s = clockwise_cross(wall.a - from, u) / across;
      if (t > 0 && t < 1 && s >= -1e-9 && s <= 1 + 1e-9) cuts.push_back(t);
    }
    std::sort(cuts.begin(), cuts.end());
    for (std::size_t i = 1; i < cuts.size(); ++i) {
      const double middle = (cuts[i] + cuts[i - 1]) / 2;
      const PlanPoint p = from + middle * (to - from);
      // 2 cm: a wall drawn a hair over its neighbour does not stop a tape.
      if ((cuts[i] - cuts[i - 1]) * distance(from, to) > 0.02 && holds(*house_features[h], p) &&
          nearest_on(houses[h], p).distance > 0.02)
        return true;
    }
  }
  return false;
}

std::vector<Candidate> candidates(const Placed& placed, PlanPoint target, const Viewer& viewer,
                                  const TieOptions& options) {
  std::vector<std::vector<PlanSegment>> houses;
  std::vector<const Feature*> house_features;
  for (const Feature& feature : placed.features) {
    if (feature.kind != FeatureKind::house) continue;
    houses.push_back(edges(feature));
    house_features.push_back(&feature);
  }
  std::vector<Candidate> out;
  for (const Feature& feature : placed.features) {
    const double soft = softness(feature.kind);
    if (soft == 0) continue;
    for (std::size_t k = 0; k < feature.corners.size(); ++k) {
      const Corner& corner = feature.corners[k];
      const double far = distance(corner.point.at, target);
      if (far > options.reach || far < options.least_distance) continue;
      if (blocked(houses, house_features, corner.point.at, target)) continue;
      const PlanVector way = (1 / far) * (target - corner.point.at);
      const Eigen::Vector2d u(way.de, way.dn);
      const double own = std::max(0.0, u.dot(corner.point.covariance * u));
      Candidate candidate;
      candidate.from = feature.shape == GeometryKind::point ? feature.id : feature.id + "." + corner.name;
      const CornerWords words = corner_words(placed, feature, k, viewer);
      candidate.says = words.says;
      candidate.at = corner.point.at;
      candidate.way = way;
      candidate.distance = far;
      // The print is to a whole inch or centimetre: an even error of half a step.
      const double step = printed_step(placed.unit);
      candidate.sigma = std::sqrt(options.tape_sigma * options.tape_sigma + step * step / 12 + own);
      candidate.weight = words.plain ? soft : 1.5 * soft;
      out.push_back(std::move(candidate));
    }
  }
  return out;
}

/// Mean radius of the fix, softened points and long tapes counting as less good.
double badness(const std::vector<const Candidate*>& chosen) {
  std::vector<PlanVector> ways;
  std::vector<double> sigmas;
  for (const Candidate* c : chosen) {
    ways.push_back(c->way);
    sigmas.push_back(c->sigma * c->weight * (1 + c->distance / 40));
  }
  return std::sqrt(fix_of(ways, sigmas).trace());
}

double angle_between(const Candidate& a, const Candidate& b) {
  return std::acos(std::clamp(dot(a.way, b.way), -1.0, 1.0));
}

/// Where the two tapes of a pair meet there are two points; this says which.
std::string side_of(const Viewer& viewer, const Candidate& a, const Candidate& b, PlanPoint target) {
  const PlanVector base = b.at - a.at;
  PlanVector normal = right_of(base);
  if (dot(target - a.at, normal) < 0) normal = -normal;
  return fmt::format("the two tapes meet twice: take the point {} of the line between them",
                     side_words(viewer, normal));
}

double rounded_tape(double metres, LengthUnit unit) {
  const double step = printed_step(unit);
  return std::round(metres / step) * step;
}

}  // namespace

void state_intervals(TieSet& set, const PlanCovariance& spread) {
  for (SwingTie& tie : set.ties) {
    const PlanVector way = (1 / tie.distance) * (set.target - tie.fixed);
    const Eigen::Vector2d u(way.de, way.dn);
    const double half = normal_quantile(0.975) * std::sqrt(std::max(0.0, u.dot(spread * u)));
    tie.distance95 = {std::max(0.0, tie.distance - half), tie.distance + half};
  }
}

PlanCovariance fix_of(const std::vector<PlanVector>& ways, const std::vector<double>& sigmas) {
  Eigen::Matrix2d information = Eigen::Matrix2d::Zero();
  for (std::size_t i = 0; i < ways.size(); ++i) {
    const Eigen::Vector2d u(ways[i].de, ways[i].dn);
    information += u * u.transpose() / (sigmas[i] * sigmas[i]);
  }
  const double det = information.determinant();
  if (!(det > 1e-9 * information.trace() * information.trace())) return 1e6 * PlanCovariance::Identity();
  PlanCovariance out;
  out << information(1, 1), -information(0, 1), -information(0, 1), information(0, 0);
  return out / det;
}

TieSet swing_ties(const Placed& placed, const Viewer& viewer, PlanPoint target, std::string of, const Sample& truth,
                  const TieOptions& options) {
  TieSet out;
  out.target = target;
  out.of = std::move(of);
  out.offset_words = offset_words(placed, viewer, target);
  const std::vector<Candidate> all = candidates(placed, target, viewer, options);

  std::vector<const Candidate*> chosen;
  double best = std::numeric_limits<double>::infinity();
  const auto try_pairs = [&](double least_angle) {
    for (std::size_t i = 0; i < all.size(); ++i) {
      for (std::size_t j = i + 1; j < all.size(); ++j) {
        const double angle = angle_between(all[i], all[j]);
        if (angle < least_angle || angle > pi - least_angle) continue;
        const double here = badness({&all[i], &all[j]});
        if (here < best - 1e-12) {
          best = here;
          chosen = {&all[i], &all[j]};
        }
      }
    }
  };
  try_pairs(options.least_angle);
  if (chosen.empty()) try_pairs(0.1);  // weak ties are better than none; their radius says how weak

  // A third point that adds most; it checks the two, and when the two are weak it carries weight of its own.
  const Candidate* third = nullptr;
  if (!chosen.empty()) {
    double least = std::numeric_limits<double>::infinity();
    for (const Candidate& c : all) {
      if (&c == chosen[0] || &c == chosen[1]) continue;
      // A check from nearly the same direction and place would repeat the same mistake.
      if (distance(c.at, chosen[0]->at) < 1 || distance(c.at, chosen[1]->at) < 1) continue;
      const double here = badness({chosen[0], chosen[1], &c});
      if (here < least) {
        least = here;
        third = &c;
      }
    }
  }
  if (chosen.size() == 2) {
    out.side = side_of(viewer, *chosen[0], *chosen[1], target);
    std::vector<PlanVector> ways{chosen[0]->way, chosen[1]->way};
    std::vector<double> sigmas{chosen[0]->sigma, chosen[1]->sigma};
    out.finder_radius95 = circle_radius(fix_of(ways, sigmas), 0.95);
    if (third) {
      const PlanCovariance fix = fix_of(ways, sigmas);
      const Eigen::Vector2d u(third->way.de, third->way.dn);
      out.check_tolerance = normal_quantile(0.975) * std::sqrt(u.dot(fix * u) + third->sigma * third->sigma);
    }
  }
  if (third) chosen.push_back(third);
  for (std::size_t i = 0; i < chosen.size(); ++i) {
    const Candidate& c = *chosen[i];
    SwingTie tie;
    tie.from = c.from;
    tie.says = c.says;
    tie.fixed = c.at;
    tie.distance = c.distance;
    tie.tape = tape(rounded_tape(c.distance, placed.unit), placed.unit);
    tie.check = i == 2;
    std::vector<double> distances;
    for (const SitePoint& p : truth.points) distances.push_back(distance(plan(p), c.at));
    tie.distance95 = distances.empty() ? Interval{c.distance, c.distance} : interval95(std::move(distances));
    out.ties.push_back(std::move(tie));
  }
  return out;
}

namespace {

/// A shorter wall is a jamb or a step, metres.
constexpr double least_wall = 0.5;

/// `front`, for the wall whose outward side points this way.
const char* wall_name(const Viewer& viewer, PlanVector outward) {
  const double turn = turn_between(viewer.facing, azimuth(outward));
  return std::abs(turn) >= 3 * pi / 4 ? "front"
         : std::abs(turn) <= pi / 4   ? "back"
         : turn > 0                   ? "right-hand"
                                      : "left-hand";
}

/// What tells a wall from the others that face the same way: how long it is. Empty where no other does.
/// @param ring  counter-clockwise; the wall is the one from its corner `i`
std::string which_wall(const Viewer& viewer, const std::vector<PlanPoint>& ring, std::size_t i, LengthUnit unit) {
  const auto wall = [&](std::size_t k) { return ring[(k + 1) % ring.size()] - ring[k]; };
  const std::string_view name = wall_name(viewer, right_of(wall(i)));
  for (std::size_t k = 0; k < ring.size(); ++k)
    if (k != i && length(wall(k)) >= least_wall && wall_name(viewer, right_of(wall(k))) == name)
      return fmt::format(" (the one {} long)", tape(length(wall(i)), unit));
  return {};
}

/// Against which wall of the house a point is measured, and the words for it.
std::string from_the_house(const Placed& placed, const Viewer& viewer, const Feature& house, PlanPoint target) {
  const LengthUnit unit = placed.unit;
  // Beyond this an offset from a wall is no longer sighted along it well.
  constexpr double far = 30;
  const auto& ring = house.areas.front().outer;  // counter-clockwise: outside is on the right
  const bool inside = holds(house, target);
  double least = std::numeric_limits<double>::infinity();
  std::string words;
  for (std::size_t i = 0; i < ring.size(); ++i) {
    const PlanPoint a = ring[i], b = ring[(i + 1) % ring.size()];
    const double whole = distance(a, b);
    if (whole < least_wall) continue;
    const PlanVector along = (1 / whole) * (b - a), outward = right_of(along);
    const double out = (inside ? -1 : 1) * dot(target - a, outward);
    // Facing the wall from outside, walking from a to b is walking from the left to the right.
    const double right = dot(target - a, along);
    const double over = std::max({0.0, -right, right - whole});
    const double here = out + 3 * over;
    if (out < -0.02 || out > far || here >= least) continue;
    least = here;
    const std::string side = fmt::format("{} wall of {}{}", wall_name(viewer, outward), the_name(house),
                                         which_wall(viewer, ring, i, unit));
    const std::string at = over == 0   ? tape(right, unit) + " right of its left corner"
                           : right < 0 ? tape(-right, unit) + " left of its left corner"
                                       : tape(right - whole, unit) + " right of its right corner";
    const std::string where =
        out < 0.15 ? fmt::format("at the {}", side)
                   : fmt::format("{} {} the {}", tape(out, unit), inside ? "inside" : "out from", side);
    words = fmt::format("{}, {} (facing that wall from outside)", where, at);
  }
  return words;
}

std::string from_a_line(const Placed& placed, const Viewer& viewer, PlanPoint target) {
  constexpr double far = 30;
  for (const FeatureKind kind :
       {FeatureKind::curb, FeatureKind::wall, FeatureKind::fence, FeatureKind::driveway, FeatureKind::walk}) {
    for (const Feature& feature : placed.features) {
      if (feature.kind != kind || feature.corners.empty()) continue;
      const auto all = edges(feature);
      if (all.empty()) continue;
      const Nearest near = nearest_on(all, target);
      if (near.distance > far || near.share <= 0 || near.share >= 1) continue;
      std::size_t corner = 0;
      for (std::size_t k = 0; k < feature.corners.size(); ++k)
        if (distance(feature.corners[k].point.at, near.foot) < distance(feature.corners[corner].point.at, near.foot))
          corner = k;
      return fmt::format("{} from {}, {}, square off a point {} along it from {}", tape(near.distance, placed.unit),
                         the_name(feature), toward_words(viewer, target - near.foot),
                         tape(distance(feature.corners[corner].point.at, near.foot), placed.unit),
                         corner_words(placed, feature, corner, viewer).says);
    }
  }
  return {};
}

}  // namespace

std::string offset_words(const Placed& placed, const Viewer& viewer, PlanPoint target) {
  if (viewer.house) {
    const Feature& house = placed.features[*viewer.house];
    if (house.shape == GeometryKind::area && !house.areas.empty())
      if (std::string words = from_the_house(placed, viewer, house, target); !words.empty()) return words;
  }
  return from_a_line(placed, viewer, target);
}

}  // namespace swingtie
