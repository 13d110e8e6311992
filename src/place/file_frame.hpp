#pragma once

#include <memory>
#include <optional>
#include <string>

#include "job/job.hpp"
#include "place/gdal_module.hpp"
#include "place/proj_module.hpp"
#include "place/report.hpp"
#include "place/resolver.hpp"

namespace swingtie {

/// Leads from a file's coordinates to the site's and back.
class FileFrame {
 public:
  /// @param file_wkt  what the file says; empty where it says nothing
  /// @param stated  what the job says, which wins
  /// @param path_at  where the file is named, for complaints: a file without a CRS on a site that has one, a file on
  /// the Earth for a site that is not, a CRS that nothing leads from
  /// @throws std::runtime_error when the PROJ module cannot be opened
  static std::optional<FileFrame> make(const SiteEntry& site, const SiteGrid& grid, const std::string& file_wkt,
                                       const std::optional<Written<std::string>>& stated, Span path_at,
                                       Report& report);

  PlanPoint to_site(PlanPoint p) const;
  PlanPoint to_file(PlanPoint p) const;
  /// The part of the file within a distance of a place of the site, metres.
  FileBox box_around(PlanPoint on_site, double reach) const;
  /// Root mean square error of what lies between the two and is shared with latitudes and longitudes: the way from
  /// WGS 84 to the site, metres, after use.
  double shared_accuracy() const;
  /// The same of what is this file's alone: from its datum to the site's, or to WGS 84 on an anchored grid.
  double own_accuracy() const;
  bool geographic() const { return geographic_; }
  /// Metres to the file's unit; of a file that counts in degrees, nothing.
  std::optional<double> metres_per_file_unit() const { return metres_per_file_unit_; }

 private:
  std::shared_ptr<CrsTransform> transform_;      ///< null: the file counts on the site's own grid
  std::shared_ptr<const GeoReference> through_;  ///< an anchored grid, reached by longitude and latitude
  double metres_per_unit_ = 1;                   ///< of what the transform, or the file itself, gives
  bool from_wgs84_ = false, geographic_ = false;
  std::optional<double> metres_per_file_unit_;
};

}  // namespace swingtie
