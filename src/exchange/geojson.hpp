#pragma once

#include <span>
#include <string>

#include "exchange/table.hpp"

namespace swingtie {

/// A GeoJSON feature collection (RFC 7946): WGS 84 longitude and latitude with 8 decimals (about 1 mm), outer rings
/// counter-clockwise, a bounding box, every layer's rows as features with a `layer` property.
/// Throws CannotExport when a job does not know where on the Earth it is.
std::string write_geojson(std::span<const JobFindings> jobs);

}  // namespace swingtie
