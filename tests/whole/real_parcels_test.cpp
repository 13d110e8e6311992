#include <fmt/core.h>

#include <catch2/catch.hpp>
#include <cmath>
#include <cstdlib>
#include <nlohmann/json.hpp>
#include <optional>
#include <sstream>

#include "whole/program.hpp"

// Invented runs on real public parcels: drawn, exported, and the areas and distances compared with what GDAL's own
// tools say of the same files. The parcels are not part of the repository: SWINGTIE_DATA names the folder that holds
// them.

namespace swingtie {
namespace {

std::optional<std::string> data_folder() {
  const char* named = std::getenv("SWINGTIE_DATA");
  const std::string folder = named ? named : std::string(SWINGTIE_SOURCE_DIR) + "/../shared/data";
  if (run_command("test -d '" + folder + "'").exit_code != 0 || !has_program("ogr2ogr")) {
    WARN("skipped: no real parcels (set SWINGTIE_DATA to their folder) or no ogr2ogr (gdal-bin)");
    return std::nullopt;
  }
  return folder;
}

/// What GDAL's tool answers to a question about a file, split into rows and columns; no column holds a comma.
std::vector<std::vector<std::string>> ask_gdal(const std::string& file, const std::string& sql) {
  const Outcome outcome =
      run_command("ogr2ogr -f CSV /vsistdout/ '" + file + "' -dialect sqlite -sql \"" + sql + "\"");
  INFO(outcome.err);
  REQUIRE(outcome.exit_code == 0);
  std::vector<std::vector<std::string>> rows;
  std::istringstream lines(outcome.out);
  std::string line;
  std::getline(lines, line);
  while (std::getline(lines, line)) {
    std::vector<std::string> row;
    std::istringstream cells(line);
    std::string cell;
    while (std::getline(cells, cell, ',')) {
      row.push_back(cell);
    }
    rows.push_back(row);
  }
  return rows;
}

struct RealLot {
  std::string file, layer, where, crs, units;
  int edge = 1;        ///< number of the lot's first corner of the edge taken as its street edge
  int next = 2;        ///< of the second
  double width = 0;    ///< of that edge, in the unit
  double scale = 1.0;  ///< size of the invented house and run, in units per foot
};

/// A house behind the street edge, a main in front of it and a run between them; `inside` is out for a lot whose ring
/// GDAL gives clockwise as well as for one it gives the other way: the program knows inside from outside.
std::string invented_job(const RealLot& lot) {
  const auto at = [&](double along, double inward) {
    return fmt::format("{{along: lot.{0}-{1}, from: lot.{0}, go: {2:.3f}, {3}: {4:.3f}}}", lot.edge, lot.next, along,
                       inward >= 0 ? "in" : "out", std::abs(inward));
  };
  const double f = lot.scale, w = lot.width;
  const auto reading = [f](double feet) { return fmt::format("{:.3f}", feet * f); };
  return fmt::format(
      "swingtie: 1\n"
      "site: {{name: invented run on a real lot, units: {units}, crs: \"{crs}\"}}\n"
      "features:\n"
      "  - {{id: lot, kind: lot, file: {{path: \"{file}\", layer: {layer}, where: \"{where}\"}}}}\n"
      "  - {{id: house, kind: house, area: [{h1}, {h2}, {h3}, {h4}]}}\n"
      "  - {{id: row, kind: right-of-way, line: [{r1}, {r2}]}}\n"
      "  - {{id: sewer, kind: main, line: [{m1}, {m2}]}}\n"
      "runs:\n"
      "  - id: R1\n"
      "    from: {{at: {access}, what: clean-out, drop: {drop}, within: {within}}}\n"
      "    log:\n"
      "      - {{at: 0, pipe: 4 in cast iron}}\n"
      "      - {{at: {dig}, see: joint offset, act: dig}}\n"
      "      - {{at: {end}, end: city main}}\n"
      "    locates:\n"
      "      - {{at: {at1}, position: {{ties: {{house.1: {tie}, house.2: {tie}}}, side: toward sewer}}, depth: "
      "{depth}}}\n"
      "      - {{at: {at2}, position: {l2}, depth: {depth}}}\n"
      "ownership: {{private_until: right-of-way, source: invented}}\n",
      fmt::arg("units", lot.units), fmt::arg("crs", lot.crs), fmt::arg("file", lot.file),
      fmt::arg("layer", lot.layer), fmt::arg("where", lot.where), fmt::arg("h1", at(w / 2 - 8 * f, 20 * f)),
      fmt::arg("h2", at(w / 2 + 8 * f, 20 * f)), fmt::arg("h3", at(w / 2 + 8 * f, 45 * f)),
      fmt::arg("h4", at(w / 2 - 8 * f, 45 * f)), fmt::arg("r1", at(0, 0)), fmt::arg("r2", at(w, 0)),
      fmt::arg("m1", at(0, -24 * f)), fmt::arg("m2", at(w, -24 * f)), fmt::arg("access", at(w / 2, 21 * f)),
      fmt::arg("drop", reading(5)), fmt::arg("within", reading(0.4)), fmt::arg("dig", reading(12)),
      fmt::arg("end", reading(45)), fmt::arg("at1", reading(11)), fmt::arg("at2", reading(33)),
      fmt::arg("tie", reading(std::hypot(8.0, 10.0))), fmt::arg("depth", reading(5.4)),
      fmt::arg("l2", at(w / 2 + 0.3 * f, -12 * f)));
}

/// The longest of the lot's first four edges serves as the street edge, so that the invented house fits.
RealLot with_street_edge(RealLot lot) {
  for (int i = 1; i <= 3; ++i) {
    const auto ends = ask_gdal(
        lot.file,
        fmt::format("SELECT ST_X(ST_Transform(ST_PointN(r, {0}), {4})), ST_Y(ST_Transform(ST_PointN(r, {0}), {4})), "
                    "ST_X(ST_Transform(ST_PointN(r, {1}), {4})), ST_Y(ST_Transform(ST_PointN(r, {1}), {4})) FROM "
                    "(SELECT ST_ExteriorRing(ST_GeometryN(ST_Multi(geometry), 1)) AS r FROM {2} WHERE {3})",
                    i, i + 1, lot.layer, lot.where, lot.crs.substr(5)));
    const double length = std::hypot(std::stod(ends.at(0).at(0)) - std::stod(ends[0].at(2)),
                                     std::stod(ends[0].at(1)) - std::stod(ends[0].at(3)));
    if (length > lot.width) {
      lot.edge = i;
      lot.next = i + 1;
      lot.width = length;
    }
  }
  return lot;
}

void draw_export_and_compare(const RealLot& bare) {
  const RealLot lot = with_street_edge(bare);
  INFO(lot.crs << " " << lot.where);
  const ScratchFolder folder;
  const std::string job = folder.write("job.yaml", invented_job(lot));
  for (const std::string file : {"plan.pdf", "plan.svg", "plan.png"}) {
    const Outcome drawn = run_swingtie({"draw", job, "-o", folder.path(file)});
    INFO(drawn.err);
    CHECK(drawn.exit_code == 0);
  }
  for (const std::string file : {"job.gpkg", "job.geojson"}) {
    const Outcome exported = run_swingtie({"export", job, "-o", folder.path(file)});
    INFO(exported.err);
    REQUIRE(exported.exit_code == 0);
  }
  const std::string written = folder.path("job.gpkg");

  // The lot's area: ours as told, ours as written, and GDAL's of the file it came from, in the site's CRS.
  const double told = std::stod(ask_gdal(written, "SELECT area FROM features WHERE feature = 'lot'").at(0).at(0));
  const double geometry =
      std::stod(ask_gdal(written, "SELECT ST_Area(geom) FROM features WHERE feature = 'lot'").at(0).at(0));
  const double theirs =
      std::stod(ask_gdal(lot.file, fmt::format("SELECT ST_Area(ST_Transform(geometry, {})) FROM {} WHERE {}",
                                               lot.crs.substr(5), lot.layer, lot.where))
                    .at(0)
                    .at(0));
  CHECK(told == Approx(theirs).epsilon(2e-6));
  CHECK(geometry == Approx(theirs).epsilon(2e-6));

  // Each tie's distance is the length of its line on the plan.
  const auto ties = ask_gdal(written, "SELECT distance, ST_Length(geom) FROM ties");
  CHECK_FALSE(ties.empty());
  for (const auto& tie : ties) {
    CHECK(std::stod(tie.at(0)) == Approx(std::stod(tie.at(1))).margin(0.01));
  }

  // The dig window has the length and width that are printed.
  const auto window = ask_gdal(written, "SELECT length, width, ST_Area(geom) FROM dig_windows");
  REQUIRE(window.size() == 1);
  CHECK(std::stod(window[0].at(0)) * std::stod(window[0].at(1)) == Approx(std::stod(window[0].at(2))).epsilon(2e-3));

  // The GeoJSON's longitude and latitude, brought back by GDAL, are the coordinates that `solve` prints.
  const auto solved = solve_json(job);
  const auto back = ask_gdal(folder.path("job.geojson"),
                             fmt::format("SELECT ST_X(p), ST_Y(p) FROM (SELECT ST_Transform(geometry, {}) AS p FROM "
                                         "\\\"job\\\" WHERE layer = 'items' AND act = 'dig')",
                                         lot.crs.substr(5)));
  REQUIRE(back.size() == 1);
  for (const auto& item : solved.at("items")) {
    if (item.at("act") == "dig") {
      CHECK(item.at("e").get<double>() == Approx(std::stod(back[0].at(0))).margin(0.005));
      CHECK(item.at("n").get<double>() == Approx(std::stod(back[0].at(1))).margin(0.005));
    }
  }
}

}  // namespace

TEST_CASE("invented runs on real lots in a state-plane grid of US survey feet agree with GDAL") {
  const auto data = data_folder();
  if (!data) {
    return;
  }
  RealLot lot;
  lot.file = *data + "/parcels_state_plane_ny_us_ft/albany_lots_spft.shp";
  lot.layer = "albany_lots_spft";
  lot.crs = "EPSG:2260";
  lot.units = "us-ft";
  for (const std::string key : {"65.69-1-49", "65.69-2-13", "65.69-2-10"}) {
    lot.where = "print_key = '" + key + "'";
    draw_export_and_compare(lot);
  }
}

TEST_CASE("the areas and perimeters of real lots are those their publisher printed") {
  const auto data = data_folder();
  if (!data) {
    return;
  }
  const std::string file = *data + "/parcels_state_plane_ny_us_ft/albany_lots_spft.shp";
  const auto lots = ask_gdal(file, "SELECT print_key, AREA, PERIMETER FROM albany_lots_spft");
  REQUIRE(lots.size() == 20);
  const ScratchFolder folder;
  std::string job = "swingtie: 1\nsite: {name: lots, units: us-ft, crs: \"EPSG:2260\"}\nfeatures:\n";
  for (std::size_t i = 0; i < lots.size(); ++i) {
    job += fmt::format("  - {{id: lot-{}, kind: lot, file: {{path: \"{}\", where: \"print_key = '{}'\"}}}}\n", i,
                       file, lots[i].at(0));
  }
  job +=
      "runs: [{id: R1, from: {at: {on: lot-0.1}, what: clean-out, drop: 4}, log: [{at: 0, pipe: 4 in clay}, {at: 9, "
      "end: main}]}]\n";
  const Outcome exported = run_swingtie({"export", folder.write("job.yaml", job), "-o", folder.path("job.gpkg")});
  INFO(exported.err);
  REQUIRE(exported.exit_code <= 1);
  const auto ours =
      ask_gdal(folder.path("job.gpkg"), "SELECT feature, area, ST_Perimeter(geom) FROM features WHERE kind = 'lot'");
  REQUIRE(ours.size() == lots.size());
  for (const auto& row : ours) {
    const auto& published = lots.at(std::stoul(row.at(0).substr(4)));
    INFO(published.at(0));
    // Printed to a thousandth.
    CHECK(std::stod(row.at(1)) == Approx(std::stod(published.at(1))).margin(0.002));
    CHECK(std::stod(row.at(2)) == Approx(std::stod(published.at(2))).margin(0.002));
  }
}

TEST_CASE("invented runs on real lots given in longitude and latitude, solved on a metric grid, agree with GDAL") {
  const auto data = data_folder();
  if (!data) {
    return;
  }
  RealLot lot;
  lot.file = *data + "/parcels_pontypool_tas.geojson";
  lot.layer = "parcels";
  lot.crs = "EPSG:28355";
  lot.units = "m";
  lot.scale = 0.3048;
  for (const std::string area : {"4092.697", "3609.503", "5402.978"}) {
    lot.where = "COMP_AREA = " + area;
    draw_export_and_compare(lot);
  }
}

}  // namespace swingtie
