// Out and in again: every geometry of every format is written, read back through the program's own way of reading
// files, and compared with what the findings hold, vertex by vertex.

#include <catch2/catch.hpp>
#include <cmath>
#include <fstream>
#include <map>

#include "exchange/formats.hpp"
#include "exchange/table.hpp"
#include "job/job.hpp"
#include "load/module.hpp"
#include "measure/bearing.hpp"
#include "place/gdal_module.hpp"
#include "whole/program.hpp"

#include <fmt/format.h>

using namespace swingtie;

namespace {

constexpr double a_millimetre = 0.001;

/// The lot of the tests of formats, and on it what else a geometry can be: an arc, a hole, several parts.
std::string job_text() {
  std::string text = read_file(SWINGTIE_SOURCE_DIR "/tests/exchange/jobs/kestrel.yaml");
  const std::string begin = "features:\n";
  return text.insert(text.find(begin) + begin.size(), R"(
  - id: bend
    kind: lot
    deed:
      start: [7662700, 671800]
      calls: ["N 0 E 60", "N 90 E 40", "arc right radius 20 delta 90-00-00", "S 0 W 40", "S 90 W 60"]
      corners: [sw, nw, a, b, se]
  - {id: court, kind: house, within: 1, file: {path: extras.csv, crs: EPSG:2269, where: name = 'court'}}
  - {id: islands, kind: lot, within: 1, file: {path: extras.csv, crs: EPSG:2269, where: name = 'islands'}}
  - {id: fences, kind: fence, within: 1, file: {path: extras.csv, crs: EPSG:2269, where: name = 'fences'}}
)");
}

struct Solved {
  Placed placed;
  Findings findings;
  JobFindings result() const { return {&placed, &findings, "kestrel"}; }
};

Placed placed_from(const std::string& text, const std::string& folder) {
  const auto job = read_job(text);
  INFO(render_all(job.diagnostics, "job.yaml", text, false));
  REQUIRE(job.value);
  auto placed = place(*job.value, folder);
  INFO(render_all(placed.diagnostics, "job.yaml", text, false));
  REQUIRE(placed.value);
  return std::move(*placed.value);
}

const Solved& solved() {
  static const Solved all = [] {
    Solved made;
    made.placed = placed_from(job_text(), SWINGTIE_SOURCE_DIR "/tests/exchange/jobs");
    made.findings = find(made.placed, solve(made.placed), {});
    return made;
  }();
  return all;
}

/// A point, a line or a ring, its first vertex not repeated.
using Chain = std::vector<PlanPoint>;

void close(Chain& chain) {
  if (chain.size() > 2 && distance(chain.front(), chain.back()) < a_millimetre) chain.pop_back();
}

/// Farthest that a vertex lies from its own in another chain, wherever a ring begins and whichever way it runs.
double apart(const Chain& a, const Chain& b) {
  if (a.size() != b.size()) return HUGE_VAL;
  double best = HUGE_VAL;
  const std::size_t n = a.size();
  for (std::size_t shift = 0; shift < n; ++shift) {
    for (const bool back : {false, true}) {
      double worst = 0;
      for (std::size_t i = 0; i < n && worst < best; ++i)
        worst = std::max(worst, distance(a[i], b[back ? (shift + n - i) % n : (shift + i) % n]));
      best = std::min(best, worst);
    }
  }
  return best;
}

std::vector<Chain> chains_of(const TableGeometry& geometry) {
  std::vector<Chain> all;
  if (const auto* point = std::get_if<PointShape>(&geometry)) all.push_back({point->at});
  if (const auto* line = std::get_if<LineShape>(&geometry)) all = line->parts;
  if (const auto* area = std::get_if<AreaShape>(&geometry)) {
    for (const AreaPart& part : area->parts) {
      all.push_back(part.outer);
      all.insert(all.end(), part.holes.begin(), part.holes.end());
    }
  }
  for (Chain& chain : all) close(chain);
  return all;
}

std::vector<Chain> chains_of(const Feature& feature) {
  std::vector<Chain> all;
  if (feature.shape == GeometryKind::point) all.push_back({feature.point});
  all.insert(all.end(), feature.lines.begin(), feature.lines.end());
  for (const AreaPart& part : feature.areas) {
    all.push_back(part.outer);
    all.insert(all.end(), part.holes.begin(), part.holes.end());
  }
  for (Chain& chain : all) close(chain);
  return all;
}

/// One row of a file, and how a job asks for it.
struct Row {
  std::string table;   ///< whose row it is
  std::string source;  ///< `path: …, layer: …, where: …`
};

std::string attribute(const FileFeature& feature, std::string_view name) {
  for (const auto& [key, value] : feature.attributes)
    if (key == name) return value;
  return {};
}

/// Every row of a file that holds geometry of the findings.
std::vector<Row> rows_of(const std::string& path, const std::string& file, const std::string& extension) {
  std::vector<Row> rows;
  const auto& gdal = open_module<GdalModule>();
  VectorRequest request;
  request.path = path;
  VectorAnswer answer = gdal.read_vectors(request);
  std::vector<std::string> layers{""};
  if (answer.fault == FileFault::no_layer) layers = answer.layers;
  for (const std::string& layer : layers) {
    request.layer = layer;
    answer = gdal.read_vectors(request);
    INFO(extension << " " << layer << " " << answer.words);
    REQUIRE(answer.fault == FileFault::none);
    for (const FileFeature& feature : answer.features) {
      if (!feature.shape) continue;
      std::string table = layer.empty() ? answer.layers.front() : layer;
      if (extension == ".geojson" || extension == ".fgb") table = attribute(feature, "layer");
      if (extension == ".gpx") table = attribute(feature, "type");
      if (extension == ".shp.zip" && table.rfind("features", 0) == 0) table = "features";
      if (extension == ".dxf") {
        table = attribute(feature, "Layer");
        if (table.find("-TEXT") != std::string::npos || table == "SEWER-NOTES") continue;
        table = table.substr(std::string("SEWER-").size());
        if (table.rfind("FEATURES", 0) == 0) table = "FEATURES";
        for (char& c : table) c = c == '-' ? '_' : static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
      }
      if (table.empty()) continue;  // the track points of GPX, which the tracks have as well
      rows.push_back(
          {table, fmt::format("path: {}{}, where: FID = {}{}", file, layer.empty() ? "" : ", layer: " + layer,
                              feature.number, answer.crs_wkt.empty() ? ", crs: EPSG:2269" : "")});
    }
  }
  return rows;
}

}  // namespace

TEST_CASE("every geometry of every format comes back to a millimetre when it is read as features") {
  const ScratchFolder scratch;
  const std::vector<JobFindings> jobs{solved().result()};
  const std::vector<Table> tables = tabulate(jobs.front(), CoordinateKind::grid);
  // Areas, lines and points of the job itself: nothing is compared with an empty list.
  std::size_t expected_rows = 0;
  for (const Table& table : tables) {
    INFO(table.schema->name);
    CHECK_FALSE(table.rows.empty());
    expected_rows += table.rows.size();
  }
  CHECK(expected_rows > 40);
  for (const Format& format : formats()) {
    const std::string extension(format.extension);
    if (extension == ".csv") continue;  // points without a header of our own: see below
    INFO(extension);
    const std::string file = "out" + extension;
    std::ofstream(scratch.path(file), std::ios::binary) << format.write(jobs);
    const std::vector<Row> rows = rows_of(scratch.path(file), file, extension);
    std::string text = "swingtie: 1\nsite: {name: Back, units: ft, crs: EPSG:2269}\nfeatures:\n";
    for (std::size_t i = 0; i < rows.size(); ++i)
      text += fmt::format("  - {{id: f{}, kind: mark, within: 1, file: {{{}}}}}\n", i, rows[i].source);
    text +=
        "runs:\n  - id: R1\n    from: {at: [7662400, 671800], what: clean-out, drop: 4}\n    log: [{at: 0, pipe: 4 "
        "in "
        "clay}]\n";
    const Placed back = placed_from(text, scratch.path(""));
    std::map<std::string, std::vector<Chain>> read;
    for (std::size_t i = 0; i < rows.size(); ++i) {
      const Feature* feature = find_feature(back, fmt::format("f{}", i));
      REQUIRE(feature != nullptr);
      for (Chain& chain : chains_of(*feature)) read[rows[i].table].push_back(std::move(chain));
    }
    double worst = 0;
    std::size_t compared = 0;
    for (const Table& table : tables) {
      const std::string name(table.schema->name);
      if (extension == ".gpx" && !read.count(name)) continue;  // a hand-held receiver takes points and the line
      INFO(name);
      std::vector<Chain> written;
      for (const TableRow& row : table.rows)
        for (Chain& chain : chains_of(row.geometry)) written.push_back(std::move(chain));
      CHECK(read[name].size() == written.size());
      for (const Chain& chain : written) {
        double nearest = HUGE_VAL;
        for (const Chain& other : read[name]) nearest = std::min(nearest, apart(chain, other));
        CHECK(nearest < a_millimetre);
        worst = std::max(worst, nearest);
        ++compared;
      }
    }
    CHECK(compared > (extension == ".gpx" ? 10 : 60));
    WARN(fmt::format("{}: {} geometries, worst {:.3f} mm", extension, compared, worst * 1000));
  }
}

TEST_CASE("a lot drawn in CAD by this program is a lot again: outlines are closed, holes are found") {
  const ScratchFolder scratch;
  const std::vector<JobFindings> jobs{solved().result()};
  std::ofstream(scratch.path("out.dxf"), std::ios::binary) << format_of("out.dxf")->write(jobs);
  const Placed back = placed_from(
      "swingtie: 1\nsite: {name: Back, units: ft, crs: EPSG:2269}\nfeatures:\n"
      "  - {id: lot, kind: lot, within: 1, file: {path: out.dxf, crs: EPSG:2269, where: Layer = "
      "'SEWER-FEATURES-LOT', "
      "near: [7662430, 671850]}}\n"
      "  - {id: court, kind: house, within: 1, file: {path: out.dxf, crs: EPSG:2269, where: Layer = "
      "'SEWER-FEATURES-HOUSE', near: [7662495, 671805]}}\n"
      "runs:\n  - id: R1\n    from: {at: [7662400, 671800], what: clean-out, drop: 4}\n    log: [{at: 0, pipe: 4 in "
      "clay}]\n",
      scratch.path(""));
  const Feature *before = find_feature(solved().placed, "lot"), *after = find_feature(back, "lot");
  REQUIRE(after->shape == GeometryKind::area);
  CHECK(apart(chains_of(*before).front(), chains_of(*after).front()) < a_millimetre);
  CHECK(after->area == Approx(before->area).epsilon(1e-6));
  CHECK(find_feature(back, "court")->shape == GeometryKind::area);
}

TEST_CASE("the polyline of an arc leaves the arc by a millimetre at most") {
  const Feature* bend = find_feature(solved().placed, "bend");
  REQUIRE(bend != nullptr);
  const double foot = metres_per_foot, radius = 20 * foot;
  const PlanPoint centre{7662740 * foot, 671840 * foot};
  std::size_t on_arc = 0;
  const Chain& ring = bend->areas.front().outer;
  for (std::size_t i = 0; i < ring.size(); ++i) {
    const PlanPoint a = ring[i], b = ring[(i + 1) % ring.size()];
    if (std::abs(distance(a, centre) - radius) > 1e-6 || std::abs(distance(b, centre) - radius) > 1e-6) continue;
    ++on_arc;
    CHECK(radius - distance(a + 0.5 * (b - a), centre) < a_millimetre);
  }
  CHECK(on_arc > 10);
}

TEST_CASE("points of the stake-out list are those of the findings to a millimetre, on the grid and on the Earth") {
  const std::vector<JobFindings> jobs{solved().result()};
  const std::string csv = format_of("points.csv")->write(jobs);
  const auto& reference = *solved().placed.georeference;
  std::size_t points = 0;
  std::size_t at = csv.find('\n') + 1;
  while (at < csv.size()) {
    const std::size_t end = csv.find('\n', at);
    // The words may hold commas, the numbers do not: count from the place of the grid's name.
    const std::string line = csv.substr(at, end - at);
    const std::size_t grid = line.find(",EPSG:2269,");
    REQUIRE(grid != std::string::npos);
    const std::size_t comma = line.rfind(',', grid - 1), comma2 = line.rfind(',', comma - 1);
    const double northing = std::stod(line.substr(comma2 + 1)), easting = std::stod(line.substr(comma + 1));
    double lat = 0, lon = 0;
    REQUIRE(std::sscanf(line.c_str() + grid, ",EPSG:2269,%lf,%lf", &lat, &lon) == 2);
    const PlanPoint p{easting * metres_per_foot, northing * metres_per_foot};
    CHECK(distance(reference.from_lon_lat({lon, lat}), p) < 1.2 * a_millimetre);
    bool found = false;
    for (const Table& table : tabulate(jobs.front(), CoordinateKind::grid))
      for (const TableRow& row : table.rows)
        for (const Chain& chain : chains_of(row.geometry))
          for (const PlanPoint& q : chain) found = found || distance(p, q) < a_millimetre;
    CHECK(found);
    ++points;
    at = end + 1;
  }
  CHECK(points > 15);
}
