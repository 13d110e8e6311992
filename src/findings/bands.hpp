#pragma once

#include <vector>

#include "measure/plane.hpp"
#include "route/posterior.hpp"

namespace swingtie {

/// A disc of the plan; a band is what discs sweep along a course.
struct Disc {
  PlanPoint centre;
  double radius = 0;  ///< metres
};

/// The union of what several rows of discs sweep (each pair of neighbours by the hull of both) and of some further
/// rings. Outer rings counter-clockwise, holes clockwise, none crossing itself, corners within `tolerance` of the
/// round shape. Rows of fewer than two discs and rings of fewer than three points are left out.
/// Outer rings come first, the largest first.
Region swept(const std::vector<std::vector<Disc>>& rows, const std::vector<std::vector<PlanPoint>>& rings,
             double tolerance = 0.02);

}  // namespace swingtie
