#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "exchange/table.hpp"

namespace swingtie {

/// What the module that holds GDAL is asked to write. Every geometry is already in the coordinates of the file, and
/// all numbers are decided: the module only puts them into a format.
struct GdalTask {
  enum class Container { geopackage, dxf, kml, gpx, shapefile, flatgeobuf } container = Container::geopackage;
  std::string crs;            ///< OGC WKT of the coordinates, `EPSG:4326` for longitude and latitude; empty: a
                              ///< local grid
  std::vector<Table> tables;  ///< those that the format can hold
  LengthUnit unit = LengthUnit::foot;  ///< of the coordinates, for a format that says so
  std::string date;                    ///< ISO 8601 day for the formats that store when; empty: a fixed day long past
  std::string title;
  std::string coordinates;  ///< which they are, in words
  std::vector<std::string> cautions;
};

/// A city's database.
struct PostgisTask {
  std::string connection;  ///< `PG:host=… dbname=…`, as GDAL's PostgreSQL driver takes it
  std::string schema;
  std::vector<Table> tables;      ///< in longitude and latitude
  std::vector<std::string> jobs;  ///< names whose earlier rows are replaced
  std::string cautions;           ///< stored beside every job
};

/// The module of this program that holds GDAL for writing; see load/module.hpp.
class GdalWriter {
 public:
  static constexpr const char* module_name = "gdal-export";
  static constexpr const char* interface_name = "GdalWriter 1";

  virtual ~GdalWriter() = default;
  /// The bytes of the file. Throws std::runtime_error with GDAL's own reason.
  virtual std::string write(const GdalTask&) const = 0;
  /// Replaces the rows of the jobs in one transaction: all of them afterwards, or all as before.
  /// @return how many rows were written
  virtual std::size_t append(const PostgisTask&) const = 0;
};

}  // namespace swingtie
