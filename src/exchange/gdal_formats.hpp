#pragma once

#include <span>
#include <string>

#include "exchange/table.hpp"

namespace swingtie {

/// The formats that GDAL writes for us, in its module loaded on demand. All throw CannotExport and
/// std::runtime_error as Format::write does.
std::string write_geopackage(std::span<const JobFindings> jobs);
std::string write_dxf(std::span<const JobFindings> jobs);
std::string write_kml(std::span<const JobFindings> jobs);
std::string write_gpx(std::span<const JobFindings> jobs);
std::string write_shapefiles(std::span<const JobFindings> jobs);
std::string write_flatgeobuf(std::span<const JobFindings> jobs);

/// Puts the jobs into a PostGIS database, replacing what it holds of them: all in one transaction.
/// @param connection  as GDAL has it: `PG:host=… dbname=…`
/// @return how many rows were written
std::size_t append_to_database(const std::string& connection, const std::string& schema,
                               std::span<const JobFindings> jobs);

}  // namespace swingtie
