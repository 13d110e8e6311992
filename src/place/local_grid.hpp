#pragma once

#include <memory>

#include "job/job.hpp"
#include "place/placed.hpp"

namespace swingtie {

/// A plane grid that touches the WGS 84 ellipsoid at its anchor, turned by `grid_north`. Exact formulas: geodetic to
/// geocentric to topocentric and back. A point of the grid means the point of the ellipsoid straight below or above
/// it; 1 km from the anchor a grid distance is 12 parts in a thousand million short, so it serves any lot.
/// Source: IOGP Guidance Note 7 part 2, methods 9602 (geocentric) and 9837 (topocentric).
std::shared_ptr<const GeoReference> local_grid(const AnchorPoint& anchor);

/// Distance on the grid over distance on the WGS 84 ellipsoid at a point: of north-south and of east-west the one
/// that differs more from 1. NaN outside the domain of the grid.
double grid_scale(const GeoReference& grid, PlanPoint at);

struct Geocentric {
  double x = 0, y = 0, z = 0;  ///< metres
};
/// Earth-centred coordinates of a point at a height over the WGS 84 ellipsoid, degrees and metres.
Geocentric geocentric(LonLat at, double height);

}  // namespace swingtie
