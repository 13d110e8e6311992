#pragma once

#include <memory>
#include <vector>

#include "place/placed.hpp"

namespace swingtie {

/// A level ground at this height. @param known  whether the height is an elevation that may be printed
std::shared_ptr<const GroundSurface> flat_ground(double height, bool known);

struct GroundHeight {
  PlanPoint at;
  double height = 0;  ///< metres
};

/// The surface through known spots: a gently sloping plane plus a relief that fades with distance, estimated as a
/// Gaussian process (simple kriging with a trend). It honours each spot within the error of an elevation, leans on
/// the common slope away from them, and its sigma grows from there. Needs one spot or more. O(n^2) per height.
/// Source: Rasmussen and Williams, Gaussian Processes for Machine Learning (2006), equations 2.25 and 2.26.
std::shared_ptr<const GroundSurface> ground_through(const std::vector<GroundHeight>& spots);

/// Heights on a regular raster that may lie in any attitude on the site grid: bilinear between cell centres. Beyond
/// the raster and where a cell has no data, the nearest cell with data counts and the sigma says so.
struct HeightRaster {
  std::size_t columns = 0, rows = 0;
  std::vector<float> heights;  ///< row by row, metres; NaN where there is no data
  PlanPoint first;             ///< centre of the first cell of the first row
  PlanVector per_column, per_row;
};
std::shared_ptr<const GroundSurface> ground_from(HeightRaster raster);

}  // namespace swingtie
