#include "place/site_grid.hpp"

#include "place/local_grid.hpp"

namespace swingtie {

std::optional<SiteGrid> site_grid(const SiteEntry& site, Report& report) {
  SiteGrid grid;
  grid.unit = site.units;
  if (site.crs && site.anchor) {
    report.error(site.anchor->at, "a site has a `crs` or an `anchor`, not both", "one of the two",
                 "a grid of a `crs` already knows where it lies");
    return std::nullopt;
  }
  if (site.anchor) grid.georeference = local_grid(site.anchor->value);
  return grid;
}

}  // namespace swingtie
