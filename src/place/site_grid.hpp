#pragma once

#include <optional>

#include "job/job.hpp"
#include "place/report.hpp"
#include "place/resolver.hpp"

namespace swingtie {

/// The grid of a site: local, local with an anchor, or that of a coordinate reference system, which opens the PROJ
/// module. Nothing where the site cannot be placed on it, which is reported: a CRS that does not exist, is
/// geographic, whose axes are in another unit than the site, or whose scale there is not that of the ground.
/// @param sample  some coordinates of the job, in metres of the site's unit; by them the scale and the area of use
/// are checked
/// @throws std::runtime_error when the PROJ module cannot be opened
std::optional<SiteGrid> site_grid(const SiteEntry& site, const std::optional<PlanPoint>& sample, Report& report);

/// Says so when positions by latitude and longitude come through an operation worse than a metre.
void warn_if_coarse(const SiteEntry& site, const SiteGrid& grid, Span first_lon_lat, Report& report);

}  // namespace swingtie
