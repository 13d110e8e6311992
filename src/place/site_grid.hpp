#pragma once

#include <optional>

#include "job/job.hpp"
#include "place/report.hpp"
#include "place/resolver.hpp"

namespace swingtie {

/// The grid of a site: local, local with an anchor, or that of a coordinate reference system, which opens the PROJ
/// module. Nothing where the site cannot be placed on it, which is reported: a CRS that does not exist, is
/// geographic, whose axes are in another unit than the site, or whose scale is not that of the ground.
std::optional<SiteGrid> site_grid(const SiteEntry& site, Report& report);

}  // namespace swingtie
