#include <algorithm>
#include <array>
#include <catch2/catch.hpp>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <sstream>

#include "draw/draw.hpp"
#include "findings/findings.hpp"
#include "job/job.hpp"
#include "sheet/make_sheets.hpp"
#include "sheet/overlaps.hpp"
#include "sheet/paper_geometry.hpp"

using namespace swingtie;

namespace {

struct Drawn {
  Placed placed;
  Findings findings;
};

Drawn worked(const std::string& yaml, const std::string& folder) {
  const auto job = read_job(yaml);
  REQUIRE(job.value);
  auto placed = place(*job.value, folder);
  REQUIRE(placed.value);
  Findings findings = find(*placed.value, solve(*placed.value));
  return {std::move(*placed.value), std::move(findings)};
}

std::vector<std::filesystem::path> sample_folders() {
  std::vector<std::filesystem::path> out;
  for (const auto& entry : std::filesystem::directory_iterator(std::string(SWINGTIE_SOURCE_DIR) + "/samples")) {
    if (entry.is_directory()) out.push_back(entry.path());
  }
  std::sort(out.begin(), out.end());
  return out;
}

/// Every mark on the paper, every label clear, and the line, its ends and the holes in the frame of the plan.
void check_sheets(const Drawn& job, const SheetOptions& options) {
  const std::vector<Sheet> sheets = make_sheets(job.placed, job.findings, options);
  for (const Sheet& sheet : sheets) {
    const PaperBox page{0, 0, sheet.width, sheet.height};
    INFO("sheet " << sheet.number << " of " << sheet.count);
    for (const Layer& layer : sheet.layers) {
      for (const Object& object : layer.objects) {
        bool inside_page = true, large = true;
        for (const Mark& mark : object.marks) {
          if (const auto* path = std::get_if<Path>(&mark)) {
            for (const PaperPoint p : path->points) inside_page = inside_page && contains(page, p);
          } else if (const auto* text = std::get_if<Text>(&mark)) {
            for (const PaperPoint p : outline(*text)) inside_page = inside_page && contains(page, p);
            large = large && text->size > 6 * 25.4 / 72 - 1e-6;
          }
        }
        INFO(object.id);
        if (!inside_page) CHECK(inside_page);
        if (!large) CHECK(large);
      }
    }
    const Overlaps found = overlaps(sheet);
    INFO(found.first);
    CHECK(found.none());
  }
  // The plan of the first sheet, from the frame's own corners: lower left, upper left, upper right, lower right.
  const MapFrame& map = sheets.front().maps.front();
  const PlanPoint origin = map.corners[0].grid;
  const PlanVector up = map.corners[1].grid - origin, across = map.corners[3].grid - origin;
  const auto seen = [&](PlanPoint p) {
    const PlanVector v = p - origin;
    const double x = (v.de * across.de + v.dn * across.dn) / (across.de * across.de + across.dn * across.dn);
    const double y = (v.de * up.de + v.dn * up.dn) / (up.de * up.de + up.dn * up.dn);
    return x > 0 && x < 1 && y > 0 && y < 1;
  };
  bool whole = true;
  for (const LineFinding& line : job.findings.lines) {
    for (const StationFinding& s : line.stations) whole = whole && seen(plan(s.at));
  }
  for (const DigFinding& dig : job.findings.digs) {
    for (const PlanPoint p : dig.window) whole = whole && seen(p);
  }
  CHECK(whole);
}

void check_all_papers(const Drawn& job) {
  for (const SheetKind kind : {SheetKind::dig, SheetKind::route, SheetKind::boundary}) {
    for (const std::string& name : paper_names()) {
      SheetOptions options;
      options.kind = kind;
      options.paper = paper(name);
      INFO(sheet_kind_name(kind) << " on " << name);
      check_sheets(job, options);
    }
  }
}

}  // namespace

TEST_CASE("on the samples' sheets of every kind and paper nothing is cut off and no label covers anything") {
  for (const auto& folder : sample_folders()) {
    std::ifstream file(folder / "job.yaml");
    const std::string yaml{std::istreambuf_iterator<char>(file), {}};
    INFO(folder.filename().string());
    check_all_papers(worked(yaml, folder.string()));
  }
}

TEST_CASE("GDAL finds the corners of a sample's plan in its own grid to a centimetre") {
  const std::string folder = std::string(SWINGTIE_SOURCE_DIR) + "/samples/whose-is-it";
  std::ifstream file(folder + "/job.yaml");
  const Drawn job = worked(std::string{std::istreambuf_iterator<char>(file), {}}, folder);
  const std::vector<Sheet> sheets = make_sheets(job.placed, job.findings, {});
  const std::string path = (std::filesystem::temp_directory_path() / "swingtie-corners.pdf").string();
  std::ofstream(path, std::ios::binary) << write_pdf(sheets);
  std::string info;
  if (std::FILE* pipe = popen(("gdalinfo " + path + " 2>/dev/null").c_str(), "r")) {
    std::array<char, 4096> buffer;
    for (std::size_t got = 0; (got = std::fread(buffer.data(), 1, buffer.size(), pipe)) > 0;)
      info.append(buffer.data(), got);
    pclose(pipe);
  }
  std::filesystem::remove(path);
  const std::size_t at = info.find("NEATLINE=POLYGON ((");
  if (at == std::string::npos) {
    WARN("skipped: no gdalinfo (gdal-bin) that reads PDF");
    return;
  }
  CHECK(info.find("NAD83 / Wisconsin South (ftUS)") != std::string::npos);
  std::istringstream ring(info.substr(at + 19));
  const double unit = metres_per(LengthUnit::us_survey_foot);
  std::vector<PlanPoint> read;
  double e = 0, n = 0;
  for (char comma = ','; comma == ',' && ring >> e >> n && ring >> comma;) read.push_back({e * unit, n * unit});
  REQUIRE(read.size() >= 4);
  for (const MapFrame::Tie& corner : sheets.front().maps.front().corners) {
    double nearest = 1e9;
    for (const PlanPoint p : read) nearest = std::min(nearest, distance(p, corner.grid));
    CHECK(nearest < 0.01);
  }
}

TEST_CASE("a courtyard of 20 ft is drawn whole on every paper") {
  check_all_papers(worked(R"(
swingtie: 1
site: {name: "The courtyard, 3 Pump Lane", units: ft}
features:
  - {id: house, kind: house, walls: {start: [0, 0], heading: N, legs: ["14", "R 20", "R 14", "R 20"], corners: [sw, nw, ne, se]}}
  - {id: lane, kind: curb, line: [[-6, -20], [26, -20]]}
  - {id: row, kind: right-of-way, offset: {from: lane, by: 3, toward: house}}
runs:
  - id: R1
    from: {at: [6, -1], what: gully, drop: 2}
    log:
      - {at: 0, pipe: 4 in clay}
      - {at: 7, see: crack all round, act: dig}
      - {at: 18, end: main}
    locates:
      - {at: 7, position: {ties: {house.sw: "10'", house.se: "15'9\""}, side: toward lane}, depth: 2.4}
      - {at: 17, position: [6.4, -18], depth: 3}
)",
                          "."));
}

TEST_CASE("an easement of 600 ft is drawn whole on every paper") {
  check_all_papers(worked(R"(
swingtie: 1
site: {name: "Easement behind 1 to 11 Orchard Reach", units: ft}
features:
  - {id: house, kind: house, walls: {start: [0, 0], heading: N, legs: ["40", "R 60", "R 40", "R 60"], corners: [sw, nw, ne, se]}}
  - {id: road, kind: curb, line: [[-80, -598], [140, -598]]}
  - {id: row, kind: right-of-way, offset: {from: road, by: 15, toward: house}}
  - {id: oak, kind: tree, at: [30, -210], trunk: 30 in}
runs:
  - id: R1
    from: {at: [20, -2], what: clean-out, drop: 3}
    log:
      - {at: 0, pipe: 6 in clay}
      - {at: 205, see: roots in the joint, act: dig}
      - {at: 420, see: sag, act: watch}
      - {at: 603, end: main}
    locates:
      - {at: 60, position: [20.5, -61], depth: 4}
      - {at: 204, position: [22, -205], depth: 5}
      - {at: 330, position: [21, -331], depth: 6}
      - {at: 480, position: [18, -480], depth: 7}
      - {at: 596, position: [19, -596], depth: 8}
)",
                          "."));
}
