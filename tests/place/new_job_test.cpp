#include "place/new_job.hpp"

#include <fmt/format.h>

#include <catch2/catch.hpp>
#include <cstdlib>

#include "place/job_text.hpp"
#include "place/readings_csv.hpp"
#include "place/shapes.hpp"
#include "scratch_folder.hpp"

using namespace swingtie;
using namespace swingtie::job_text;
namespace fs = std::filesystem;

namespace {

std::string collection(const std::string& features) {
  return R"({"type": "FeatureCollection", "features": [)" + features + "]}";
}
std::string at(double e, double n) {
  return fmt::format("[{:.9f}, {:.9f}]", -81.4 + e / 83900.0, 41.2 + n / 111060.0);
}
std::string box(double w, double s, double e, double n, const std::string& properties) {
  return R"({"type": "Feature", "properties": )" + properties +
         R"(, "geometry": {"type": "Polygon", "coordinates": [[)" + at(w, s) + "," + at(e, s) + "," + at(e, n) + "," +
         at(w, n) + "," + at(w, s) + "]]}}";
}
std::string dot_at(double e, double n, const std::string& properties) {
  return R"({"type": "Feature", "properties": )" + properties + R"(, "geometry": {"type": "Point", "coordinates": )" +
         at(e, n) + "}}";
}

bool any(const std::vector<std::string>& lines, const std::string& words) {
  for (const std::string& line : lines) {
    if (line.find(words) != std::string::npos) return true;
  }
  return false;
}

}  // namespace

TEST_CASE("a job begun from a county's files reads, places and names the lot, the house and the trees") {
  ScratchFolder folder;
  folder.write("county/parcels.geojson", collection(box(-10, -20, 10, 20, R"({"PIN": "07-112"})") + "," +
                                                    box(10, -20, 30, 20, R"({"PIN": "07-113"})")));
  folder.write("county/buildings.geojson",
               collection(box(-6, -4, 6, 8, R"({"h": 1})") + "," + box(14, -4, 26, 8, R"({"h": 2})")));
  folder.write("county/trees.geojson", collection(dot_at(0, -12, R"({"COMMON": "red maple", "DBH": 22})") + "," +
                                                  dot_at(-12, 0, R"({"COMMON": "oak", "DBH": 9})") + "," +
                                                  dot_at(300, 0, R"({"COMMON": "elm", "DBH": 9})")));
  folder.write(
      "county/streets.geojson",
      collection(
          R"({"type": "Feature", "properties": {"name": "Court"}, "geometry": {"type": "LineString", "coordinates": [)" +
          at(-80, -28) + "," + at(80, -28) + "]}}"));
  folder.write("county/notes.txt", "not geodata");
  NewJobRequest request;
  request.lot_file = folder.path("county/parcels.geojson");
  request.folder = folder.path("");
  request.at = {-81.4, 41.2};
  const NewJob job = new_job_from_parcel(request);
  INFO(job.text);
  const Answer answer = placed(job.text, folder.path(""));
  INFO(answer.shown);
  REQUIRE(answer.placed);
  CHECK(answer.placed->unit == LengthUnit::foot);
  CHECK(feature(answer, "lot").area == Approx(800).epsilon(0.01));
  CHECK(feature(answer, "house").area == Approx(144).epsilon(0.01));
  CHECK(feature(answer, "tree1").label == "red maple");
  CHECK(feature(answer, "tree1").trunk == Approx(22 * metres_per_inch));
  CHECK(find_feature(*answer.placed, "tree3") == nullptr);
  CHECK(feature(answer, "centerline").shape == GeometryKind::line);
  CHECK(feature(answer, "lot").street_edge == 0u);
  CHECK(job.text.find("PIN = '07-112'") != std::string::npos);
  CHECK(job.text.find("county/parcels.geojson") != std::string::npos);
  CHECK(any(job.found, "2 of kind tree"));
}

TEST_CASE("a job begun where nothing else is known still reads and places, and says what to tape") {
  ScratchFolder folder;
  folder.write("lots.geojson", collection(box(-10, -20, 10, 20, "{}") + "," + box(10, -20, 30, 20, "{}")));
  NewJobRequest request;
  request.lot_file = folder.path("lots.geojson");
  request.folder = folder.path("");
  request.at = {-81.4, 41.2};
  request.log_csv = "Footage,Observation,Material,Size\n0,,cast iron,4\n30.2,\"offset, 1 in\",,\n66,city main,,\n";
  request.locates_csv = "distance (ft),lat,lon,depth (ft),accuracy (m)\n30,41.2001,-81.4,5.2,0.6\n";
  const NewJob job = new_job_from_parcel(request);
  INFO(job.text);
  const Answer answer = placed(job.text, folder.path(""));
  INFO(answer.shown);
  REQUIRE(answer.placed);
  CHECK(any(job.found, "no building"));
  const Run& run = answer.placed->runs[0];
  REQUIRE(run.log.size() == 3);
  CHECK(run.log[0].pipe->material == Material::cast_iron);
  CHECK(run.log[0].pipe->size == Approx(4 * metres_per_inch));
  CHECK(run.log[1].what == "offset, 1 in");
  REQUIRE(run.locates.size() == 1);
  CHECK(circle_radius(run.locates[0].position.covariance, 0.95) == Approx(1.04).margin(0.01));
}

TEST_CASE("a point on no lot, and a file that is none, are named") {
  ScratchFolder folder;
  folder.write("lots.geojson", collection(box(-10, -20, 10, 20, "{}")));
  NewJobRequest request;
  request.lot_file = folder.path("lots.geojson");
  request.folder = folder.path("");
  request.at = {-81.401, 41.2};
  CHECK_THROWS_WITH(new_job_from_parcel(request), Catch::Contains("the nearest outline is 74 m away"));
  request.lot_file = folder.path("gone.geojson");
  CHECK_THROWS_WITH(new_job_from_parcel(request), Catch::Contains("no file"));
  folder.write("lots.txt", "x");
  request.lot_file = folder.path("lots.txt");
  CHECK_THROWS_WITH(new_job_from_parcel(request), Catch::Contains("cannot be read"));
}

TEST_CASE("a real lot in US survey feet begins a job on its own grid") {
  const char* named = std::getenv("SWINGTIE_DATA");
  const fs::path data = named != nullptr ? fs::path(named) : fs::path(SWINGTIE_SOURCE_DIR) / ".." / "shared" / "data";
  const fs::path file = data / "parcels_state_plane_ny_us_ft" / "albany_lots_spft.shp";
  if (!fs::exists(file)) {
    WARN("skipped: the public files are not here; name their folder in SWINGTIE_DATA");
    return;
  }
  // Where the first lot lies, by a job that names it.
  const Answer first =
      placed(job_of("  - {id: lot, kind: lot, within: 1, file: {path: albany_lots_spft.shp, where: FID = 0}}\n",
                    "{on: lot}", "units: us-ft, crs: EPSG:2260"),
             file.parent_path().string());
  const Feature& lot = feature(first, "lot");
  const LonLat inside = first.placed->georeference->to_lon_lat(centroid(lot.areas[0].outer));
  NewJobRequest request;
  request.lot_file = file.string();
  request.folder = file.parent_path().string();
  request.at = inside;
  const NewJob job = new_job_from_parcel(request);
  INFO(job.text);
  CHECK(job.text.find("crs: EPSG:2260") != std::string::npos);
  CHECK(job.text.find("units: us-ft") != std::string::npos);
  const Answer answer = placed(job.text, request.folder);
  CHECK(feature(answer, "lot").area == Approx(lot.area));
}

TEST_CASE("camera logs come from spreadsheets of any habit") {
  const auto comma = log_of_csv(
      "\xEF\xBB\xBFTime,Counter,Notes,Severity\n10:01,17.5,\"crack, "
      "\"\"fine\"\"\",2\n10:05,3,roots,1\n\n10:09,?,lost,1\n");
  REQUIRE(comma.lines.size() == 2);
  CHECK(comma.lines[0] == "{at: 3, note: roots}");
  CHECK(comma.lines[1] == "{at: 17.5, note: \"crack, \\\"fine\\\"\"}");
  REQUIRE(comma.remarks.size() == 1);
  CHECK(comma.remarks[0] == "row 5: `?` is no counter reading");
  CHECK(comma.ignored == std::vector<std::string>{"Time", "Severity"});
  const auto semicolon = log_of_csv("Distanz;Distance (m);Observation\r\n1;4,25;Riss\r\n");
  REQUIRE(semicolon.lines.size() == 1);
  CHECK(semicolon.lines[0] == "{at: 4.25 m, see: Riss}");
  const auto tabs = log_of_csv("Feet\tBend\tPipe\tSize\n12\tleft 45\tclay\t6\n13\t\tpvc\t110\n");
  CHECK(tabs.lines[0] == "{at: 12 ft, pipe: \"6 in clay\", bend: left 45}");
  CHECK(tabs.lines[1] == "{at: 13 ft, pipe: \"110 mm pvc\"}");
  CHECK(log_of_csv("a,b\n1,2\n").remarks.size() == 1);
  CHECK(log_of_csv("").lines.empty());
  CHECK(log_of_csv("counter,see\n5,\n").remarks[0] == "row 2: nothing stands beside the counter");
}

TEST_CASE("a spreadsheet saved on Windows keeps its letters") {
  // Windows-1252, by the Unicode Consortium's table CP1252.TXT: 0xBD is U+00BD, 0x94 U+201D, 0x80 U+20AC; 0x81 is
  // none.
  const auto readings = log_of_csv("counter,see\n12,\"cracked \xBD\x94, \x80 20, \x81\"\n");
  REQUIRE(readings.lines.size() == 1);
  CHECK(readings.lines[0] == "{at: 12, see: \"cracked ½”, € 20, �\"}");
  CHECK(log_of_csv("counter,see\n12,½ crack\n").lines[0] == "{at: 12, see: \"½ crack\"}");
}

TEST_CASE("a line break in a cell stays out of the job and of its comments") {
  const auto readings = log_of_csv("counter,see,\"Severity\n(1-5)\"\n12,\"roots,\nthen clay\",2\n\"x\ny\",z,1\n");
  CHECK(readings.lines == std::vector<std::string>{"{at: 12, see: \"roots, then clay\"}"});
  CHECK(readings.ignored == std::vector<std::string>{"Severity (1-5)"});
  CHECK(readings.remarks == std::vector<std::string>{"row 3: `x y` is no counter reading"});
}

TEST_CASE("locates come from spreadsheets by map or by grid") {
  const auto grid =
      locates_of_csv("at,e,n,depth,within,remarks\n30,101.5,88.25,5.2,1,by the steps\n10,99,90,,,\n20,99,,,,\n");
  REQUIRE(grid.lines.size() == 2);
  CHECK(grid.lines[0] == "{at: 10, position: [99, 90]}");
  CHECK(grid.lines[1] == "{at: 30, position: {at: [101.5, 88.25], within: 1}, depth: 5.2, note: by the steps}");
  CHECK(grid.remarks[0].find("no position") != std::string::npos);
  const auto map = locates_of_csv("Distance_ft;Latitude;Longitude;HRMS\n12,5;45,1;-122,5;0,5\n");
  REQUIRE(map.lines.size() == 1);
  CHECK(map.lines[0] == "{at: 12.5 ft, position: {lat: 45.1, lon: -122.5, within: 0.87 m}}");
}
