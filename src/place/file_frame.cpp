#include "place/file_frame.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include <fmt/format.h>

#include "load/module.hpp"

namespace swingtie {

std::optional<FileFrame> FileFrame::make(const SiteEntry& site, const SiteGrid& grid, const std::string& file_wkt,
                                         const std::optional<Written<std::string>>& stated, Span path_at,
                                         Report& report) {
  FileFrame frame;
  const std::string crs = stated ? stated->value : file_wkt;
  // Opened even for a file that names no system: without PROJ's database GDAL reads one that does as if it did not,
  // and its degrees would be taken for the site's feet.
  const auto& proj = open_module<ProjModule>();
  if (crs.empty()) {
    if (site.crs) {
      report.error(path_at, "this file does not say in which coordinate system it is",
                   "a file that says so, a shapefile with its `.prj`",
                   fmt::format("if you know, say it: `crs: {}`", site.crs->value));
      return std::nullopt;
    }
    // A drawing made on the site's own grid.
    frame.metres_per_unit_ = metres_per(grid.unit);
    frame.metres_per_file_unit_ = frame.metres_per_unit_;
    return frame;
  }
  const Span crs_at = stated ? stated->at : path_at;
  const auto facts = proj.facts(crs);
  if (!facts) {
    report.error(crs_at,
                 stated ? fmt::format("`{}` is no coordinate reference system that is known here", crs)
                        : std::string("the coordinate system that this file names is not known here"),
                 "an EPSG code as `EPSG:2260`, an OGC WKT, or a PROJ string",
                 stated ? "" : "say it in the job: `crs: EPSG:…`");
    return std::nullopt;
  }
  if (!grid.georeference) {
    report.error(path_at, fmt::format("this file lies on the Earth ({}), the site on a grid of its own", facts->name),
                 "a site with a `crs:` or an `anchor:`");
    return std::nullopt;
  }
  frame.geographic_ = facts->kind == CrsFacts::Kind::geographic;
  frame.from_wgs84_ = facts->name.find("WGS 84") != std::string::npos;
  if (!frame.geographic_) frame.metres_per_file_unit_ = facts->metres_per_unit;
  frame.transform_ = proj.transform(crs, site.crs ? site.crs->value : "EPSG:4326");
  if (!frame.transform_) {
    report.error(crs_at, fmt::format("nothing leads from {} to the grid of the site", facts->name));
    return std::nullopt;
  }
  if (site.crs) {
    frame.metres_per_unit_ = grid.georeference->metres_per_grid_unit();
  } else {
    frame.through_ = grid.georeference;
  }
  return frame;
}

double FileFrame::shared_accuracy() const {
  if (through_) return through_->accuracy();
  return transform_ && from_wgs84_ ? transform_->accuracy() : 0;
}

double FileFrame::own_accuracy() const {
  return transform_ && (through_ || !from_wgs84_) ? transform_->accuracy() : 0;
}

PlanPoint FileFrame::to_site(PlanPoint p) const {
  if (transform_) p = transform_->forward(p);
  if (through_) return through_->from_lon_lat({p.e, p.n});
  return {p.e * metres_per_unit_, p.n * metres_per_unit_};
}

PlanPoint FileFrame::to_file(PlanPoint p) const {
  if (through_) {
    const LonLat at = through_->to_lon_lat(p);
    p = {at.lon_deg, at.lat_deg};
  } else {
    p = {p.e / metres_per_unit_, p.n / metres_per_unit_};
  }
  return transform_ ? transform_->back(p) : p;
}

FileBox FileFrame::box_around(PlanPoint on_site, double reach) const {
  constexpr double infinity = std::numeric_limits<double>::infinity();
  FileBox box{infinity, infinity, -infinity, -infinity};
  for (const double e : {-reach, 0.0, reach}) {
    for (const double n : {-reach, 0.0, reach}) {
      const PlanPoint p = to_file(on_site + PlanVector{e, n});
      box.min_x = std::min(box.min_x, p.e), box.max_x = std::max(box.max_x, p.e);
      box.min_y = std::min(box.min_y, p.n), box.max_y = std::max(box.max_y, p.n);
    }
  }
  return box;
}

}  // namespace swingtie
