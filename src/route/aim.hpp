#pragma once

#include <optional>
#include <vector>

#include "place/placed.hpp"
#include "route/chain.hpp"

namespace swingtie {

/// A place whose pipe coordinate and position on the ground are both roughly known.
struct Known {
  double u = 0;
  PlanPoint at;
};

/// Where a point comes to lie on the line through known places, continued past both ends by its distance.
struct Foot {
  double u = 0, off = 0;
};
Foot foot_of(PlanPoint p, const std::vector<Known>& known);

/// How far to turn what lies beyond a place of a chain about it, so that it meets the targets there best: those
/// within a stretch, or the next two. Positive clockwise, 0 where there is none.
double turn_to_meet(const Chain& chain, double about, const Eigen::Vector2d& laid_from, PlanPoint read_from,
                    const std::vector<Known>& targets, double nearest, double furthest);

/// The edges of a feature that is a line or an area; a point is a line of one.
std::vector<std::vector<PlanPoint>> polylines(const Feature& feature);

/// A point the line is known to head for, when nothing of it was located.
std::optional<PlanPoint> end_hint(const Placed& placed, std::size_t line, PlanPoint from);

}  // namespace swingtie
