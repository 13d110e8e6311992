#pragma once

#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "place/placed.hpp"

namespace swingtie {

/// A rectangle in a file's own coordinates, x toward the east.
struct FileBox {
  double min_x = 0, min_y = 0, max_x = 0, max_y = 0;
};
/// Asked with a file's CRS as WKT 2 (empty: none) which part of it is wanted; nothing means all of it.
using WantedPart = std::function<std::optional<FileBox>(const std::string& crs_wkt)>;

/// One feature of a file, in the file's coordinates: PlanPoint::e is x, n is y, in the file's unit.
struct FileFeature {
  std::int64_t number = 0;            ///< the file's own
  std::optional<GeometryKind> shape;  ///< empty: no geometry, or one that is none of ours
  std::string fault;                  ///< then why; and there are no points, lines or areas
  bool repaired = false;              ///< the outline crossed itself and was taken apart
  std::vector<PlanPoint> points;
  std::vector<std::vector<PlanPoint>> lines;
  std::vector<AreaPart> areas;  ///< outer rings counter-clockwise, holes clockwise, open; the largest part first
  std::vector<std::pair<std::string, std::string>> attributes;  ///< UTF-8, in the order of the file
};

struct VectorRequest {
  std::string path;   ///< of a local file or folder
  std::string layer;  ///< empty: the only one
  std::string where;  ///< OGR SQL condition; empty: all
  WantedPart part;
};

/// Why a file did not give what was asked of it.
enum class FileFault {
  none,
  missing,     ///< no such file
  not_local,   ///< an address or a virtual file system
  unreadable,  ///< none of the allowed formats, or damaged
  no_layer,
  bad_where,
  too_large
};

struct VectorAnswer {
  FileFault fault = FileFault::none;
  std::string words;                ///< GDAL's own, where there is a fault
  std::vector<std::string> layers;  ///< names of all
  std::vector<std::string> fields;  ///< attributes of the chosen layer
  std::string crs_wkt;              ///< WKT 2; empty: the file does not say
  bool north_first = false;         ///< the file's x runs north: coordinates are swapped already
  std::vector<FileFeature> features;
};

struct RasterRequest {
  std::string path;
  WantedPart part;
};
struct RasterAnswer {
  FileFault fault = FileFault::none;
  std::string words;
  std::string crs_wkt;
  std::string unit;  ///< of the heights as the file has it; may be empty
  std::size_t columns = 0, rows = 0;
  std::vector<float> heights;  ///< row by row; NaN for no data
  /// x = origin.e + column * per_column.de + row * per_row.de at cell centres, y likewise
  PlanPoint origin;
  PlanVector per_column, per_row;
};

/// What the program reads through GDAL. The one implementation lives in swingtie-gdal.so. Only local files of an
/// allowed list of formats are opened, nothing is fetched, nothing is written beside them. May be used from several
/// threads.
class GdalModule {
 public:
  static constexpr const char* module_name = "gdal";
  static constexpr const char* interface_name = "swingtie::GdalModule 1";
  virtual ~GdalModule() = default;
  /// At most 1,000 features and a million vertices come back.
  virtual VectorAnswer read_vectors(const VectorRequest& request) const = 0;
  /// The first band of the wanted part, at most 25 million cells.
  virtual RasterAnswer read_raster(const RasterRequest& request) const = 0;
  /// The formats that are opened, as people call them.
  virtual std::vector<std::string> formats() const = 0;
};

}  // namespace swingtie
