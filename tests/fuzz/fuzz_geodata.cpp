#include <unistd.h>

#include <array>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <string>

#include "load/module.hpp"
#include "place/gdal_module.hpp"

using namespace swingtie;

namespace {

/// A file of this process, rewritten for each input.
const std::string& folder() {
  static const std::string path = [] {
    std::string name = (std::filesystem::temp_directory_path() / "swingtie-fuzz-XXXXXX").string();
    if (mkdtemp(name.data()) == nullptr) std::abort();
    return name;
  }();
  return path;
}

void finite(const std::vector<PlanPoint>& points) {
  for (const PlanPoint& point : points)
    if (!std::isfinite(point.e) || !std::isfinite(point.n)) std::abort();
}

}  // namespace

// Any bytes as a map file; the first says which ending it has. What comes back is finite and bounded, or there is a
// fault.
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  static const GdalModule& gdal = open_module<GdalModule>();
  static constexpr std::array endings{"geojson", "gpkg", "shp", "dxf", "kml", "csv"};
  if (size < 2) return 0;
  const std::string path = folder() + "/map." + endings[data[0] % endings.size()];
  std::ofstream(path, std::ios::binary).write(reinterpret_cast<const char*>(data + 1), static_cast<long>(size - 1));
  const VectorAnswer answer = gdal.read_vectors({path, "", "", nullptr});
  if (answer.features.size() > 1000) std::abort();
  for (const FileFeature& feature : answer.features) {
    if (feature.shape.has_value() != feature.fault.empty()) std::abort();
    finite(feature.points);
    for (const auto& line : feature.lines) finite(line);
    for (const AreaPart& part : feature.areas) {
      finite(part.outer);
      for (const auto& hole : part.holes) finite(hole);
    }
  }
  return 0;
}
