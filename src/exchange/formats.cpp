#include "exchange/formats.hpp"

#include <algorithm>
#include <cctype>

#include "exchange/gdal_formats.hpp"
#include "exchange/geojson.hpp"
#include "exchange/stake_out.hpp"

namespace swingtie {
namespace {

bool ends_with_folded(std::string_view text, std::string_view ending) {
  return text.size() > ending.size() && std::equal(ending.rbegin(), ending.rend(), text.rbegin(), [](char e, char t) {
           return e == static_cast<char>(std::tolower(static_cast<unsigned char>(t)));
         });
}

}  // namespace

const std::vector<Format>& formats() {
  static const std::vector<Format> all{
      {".geojson", "GeoJSON (RFC 7946)", "longitude, latitude", &write_geojson},
      {".gpkg", "GeoPackage", "the job's grid", &write_geopackage},
      {".dxf", "DXF drawing", "the job's grid", &write_dxf},
      {".kml", "KML", "longitude, latitude", &write_kml},
      {".csv", "stake-out points", "the job's grid, and longitude, latitude", &write_stake_out},
      {".gpx", "GPX", "longitude, latitude", &write_gpx},
      {".shp.zip", "Shapefiles in an archive", "the job's grid", &write_shapefiles},
      {".fgb", "FlatGeobuf", "the job's grid", &write_flatgeobuf},
  };
  return all;
}

const Format* format_of(std::string_view file_name) {
  const Format* best = nullptr;
  for (const Format& format : formats())
    if (ends_with_folded(file_name, format.extension) && (!best || format.extension.size() > best->extension.size()))
      best = &format;
  return best;
}

}  // namespace swingtie
