// Public files as their publishers left them. They are no part of the repository: they are looked for in the folder
// of SWINGTIE_DATA, or in ../shared/data beside the sources.

#include <fmt/format.h>

#include <cmath>
#include <cstdlib>

#include "load/module.hpp"
#include "place/gdal_module.hpp"
#include "place/job_text.hpp"
#include "place/outside.hpp"
#include "place/shapes.hpp"

using namespace swingtie;
using namespace swingtie::job_text;
namespace fs = std::filesystem;

namespace {

std::optional<std::string> data_folder() {
  const char* named = std::getenv("SWINGTIE_DATA");
  const fs::path folder =
      named != nullptr ? fs::path(named) : fs::path(SWINGTIE_SOURCE_DIR) / ".." / "shared" / "data";
  if (fs::exists(folder / "parcels_budapest.geojson")) return folder.string();
  WARN("skipped: the public files are not here; name their folder in SWINGTIE_DATA");
  return std::nullopt;
}

std::vector<FileFeature> features_of(const std::string& path) {
  VectorRequest request;
  request.path = path;
  const VectorAnswer answer = open_module<GdalModule>().read_vectors(request);
  REQUIRE(answer.fault == FileFault::none);
  return answer.features;
}

double number(const FileFeature& feature, std::string_view attribute) {
  for (const auto& [key, value] : feature.attributes) {
    if (key == attribute) return std::strtod(value.c_str(), nullptr);
  }
  return NAN;
}

/// A job that takes every feature of a file, each by its number.
std::string job_of_all(const std::string& file, const std::vector<FileFeature>& features, const std::string& kind,
                       const std::string& site) {
  std::string text;
  for (const FileFeature& f : features) {
    text += fmt::format("  - {{id: f{}, kind: {}, within: 2, file: {{path: {}, where: FID = {}}}}}\n", f.number, kind,
                        file, f.number);
  }
  return job_of(text, "{on: f" + std::to_string(features[0].number) + "}", site);
}

}  // namespace

// dcasciotti/json_points, parcels.shp: 20 city lots in EPSG:2260 with the publisher's own AREA in square feet.
TEST_CASE("city lots in US survey feet have the areas that their publisher and GDAL give them") {
  const auto folder = data_folder();
  if (!folder) return;
  const std::string file = "parcels_state_plane_ny_us_ft/albany_lots_spft.shp";
  const auto features = features_of(*folder + "/" + file);
  REQUIRE(features.size() == 20);
  const Answer answer = placed(job_of_all(file, features, "lot", "units: us-ft, crs: EPSG:2260"), *folder);
  INFO(answer.shown);
  REQUIRE(answer.placed);
  CHECK(answer.diagnostics.empty());
  const double square_foot = metres_per_us_survey_foot * metres_per_us_survey_foot;
  for (const FileFeature& f : features) {
    INFO("FID " << f.number);
    const double area = feature(answer, fmt::format("f{}", f.number)).area / square_foot;
    CHECK(area == Approx(number(f, "AREA")).epsilon(1e-4));
    CHECK(area / 43560 == Approx(number(f, "ACRES")).margin(0.0051));
    const std::string said =
        outside::output_of(fmt::format("ogrinfo -q '{}/{}' -sql \"SELECT OGR_GEOM_AREA AS a FROM albany_lots_spft "
                                       "WHERE FID = {}\" | grep ' a (Real)'",
                                       *folder, file, f.number));
    if (const std::size_t at = said.find("= "); at != std::string::npos)
      CHECK(area == Approx(std::stod(said.substr(at + 2))).epsilon(1e-9));
  }
}

// durib/the-block: 16 lots in WGS 84 whose COMP_AREA is the plane area in EPSG:28355, square metres.
TEST_CASE("lots in longitude and latitude have their published areas on the metric grid") {
  const auto folder = data_folder();
  if (!folder) return;
  const std::string file = "parcels_pontypool_tas.geojson";
  const auto features = features_of(*folder + "/" + file);
  REQUIRE(features.size() == 16);
  const Answer answer = placed(job_of_all(file, features, "lot", "units: m, crs: EPSG:28355"), *folder);
  INFO(answer.shown);
  for (const FileFeature& f : features)
    CHECK(feature(answer, fmt::format("f{}", f.number)).area == Approx(number(f, "COMP_AREA")).epsilon(1e-5));
}

TEST_CASE("every public file is placed on a grid of its country") {
  const auto folder = data_folder();
  if (!folder) return;
  struct File {
    const char *path, *kind, *site;
  };
  for (const File& file : {File{"parcels_seoul_shp/Parcels.shp", "lot", "units: m, crs: EPSG:5186"},
                           File{"parcels_budapest.geojson", "lot", "units: m, crs: EPSG:23700"},
                           File{"osm/tiny_loop_buildings.geojson", "house", "units: us-ft, crs: EPSG:32054"},
                           File{"osm/tiny_loop_buildings.geojson", "house", "units: m, crs: EPSG:32616"},
                           File{"osm/tiny_loop_streets.geojson", "centerline", "units: m, crs: EPSG:32616"},
                           File{"roads_pontypool_tas.geojson", "centerline", "units: m, crs: EPSG:28355"},
                           File{"sewer_lines_vt_bent.geojson", "main", "units: m, crs: EPSG:32145"}}) {
    INFO(file.path << " " << file.site);
    const auto features = features_of(*folder + "/" + file.path);
    REQUIRE(!features.empty());
    const Answer answer = placed(job_of_all(file.path, features, file.kind, file.site), *folder);
    INFO(answer.shown);
    REQUIRE(answer.placed);
    for (const Feature& f : answer.placed->features) {
      if (f.shape != GeometryKind::area) continue;
      CHECK(f.area > 0);
      for (const AreaPart& part : f.areas) CHECK(signed_area(part.outer) > 0);
    }
  }
}

TEST_CASE("a lot is found by a point inside it, by whatever corner of the world it lies in") {
  const auto folder = data_folder();
  if (!folder) return;
  // The first vertex's neighbourhood inside the lot, worked out from the file itself.
  const auto features = features_of(*folder + "/parcels_pontypool_tas.geojson");
  for (const FileFeature& f : features) {
    const PlanPoint inside = centroid(f.areas[0].outer);
    if (!holds(f.areas[0].outer, inside)) continue;
    const Answer answer =
        placed(job_of(fmt::format("  - {{id: lot, kind: lot, within: 1, file: {{path: parcels_pontypool_tas.geojson, "
                                  "near: {{lat: {:.8f}, lon: {:.8f}, within: 1}}}}}}\n",
                                  inside.n, inside.e),
                      "{on: lot}", "units: m, crs: EPSG:28355"),
               *folder);
    CHECK(feature(answer, "lot").area == Approx(number(f, "COMP_AREA")).epsilon(1e-5));
  }
}

TEST_CASE("street files that hold several layers or kinds say what to choose") {
  const auto folder = data_folder();
  if (!folder) return;
  const Answer answer = placed(job_of("  - {id: house, kind: house, file: {path: osm/tiny_loop.osm}}\n", "[0, 0]",
                                      "units: m, crs: EPSG:32616"),
                               *folder);
  CHECK(!answer.placed);
  CHECK(answer.shown.find("multipolygons") != std::string::npos);
}

// Whatever lies in the folder of public files: each is opened with nothing said, and gives features or a word why
// not.
TEST_CASE("every public file loads, or is refused with a clear word") {
  const auto folder = data_folder();
  if (!folder) return;
  std::size_t files = 0, loaded = 0;
  for (const auto& entry : fs::recursive_directory_iterator(*folder)) {
    if (!entry.is_regular_file()) continue;
    ++files;
    const std::string path = fs::relative(entry.path(), *folder).string();
    INFO(path);
    VectorRequest request;
    request.path = entry.path().string();
    VectorAnswer answer = open_module<GdalModule>().read_vectors(request);
    const std::vector<std::string> layers =
        answer.fault == FileFault::no_layer ? answer.layers : std::vector<std::string>{""};
    bool any = false;
    for (const std::string& layer : layers) {
      INFO("layer " << layer);
      request.layer = layer;
      answer = open_module<GdalModule>().read_vectors(request);
      for (const FileFeature& f : answer.features) {
        any = any || f.shape.has_value();
        CHECK(f.shape.has_value() == f.fault.empty());
      }
      // The same through a job: placed when a row is chosen, else words that name the file's own trouble.
      const std::string row =
          answer.features.empty() ? "" : fmt::format(", where: FID = {}", answer.features.front().number);
      const Answer job =
          placed(job_of(fmt::format("  - {{id: f, kind: mark, within: 2, file: {{path: \"{}\"{}{}{}}}}}\n", path,
                                    layer.empty() ? "" : ", layer: " + layer, row,
                                    answer.crs_wkt.empty() ? ", crs: EPSG:4326" : ""),
                        "{on: f}", "units: m, anchor: {grid: [0, 0], lat: 0, lon: 0, within: 0}"),
                 *folder);
      if (!job.placed) {
        CHECK(job.shown.find("error: ") != std::string::npos);
        CHECK(job.shown.find(fs::path(path).filename().string()) != std::string::npos);
      }
    }
    loaded += any;
  }
  CHECK(files >= 10);
  CHECK(loaded >= 7);
}
