// Properties of features that come from files: which system the file is written in changes nothing.

#include <fmt/format.h>

#include <cmath>
#include <random>

#include "load/module.hpp"
#include "measure/bearing.hpp"
#include "place/job_text.hpp"
#include "place/proj_module.hpp"
#include "scratch_folder.hpp"

using namespace swingtie;
using namespace swingtie::job_text;
namespace fs = std::filesystem;

namespace {

using Corners = std::vector<PlanPoint>;

/// A crooked lot of six to nine corners about a place, some 15 m wide: a star, so that it never crosses itself.
Corners random_lot(std::mt19937& random, PlanPoint middle) {
  const auto between = [&](double low, double high) {
    return low + (high - low) * static_cast<double>(random()) / static_cast<double>(std::mt19937::max());
  };
  const int count = 6 + static_cast<int>(random() % 4);
  Corners corners;
  for (int i = 0; i < count; ++i) {
    const double turn = 2 * pi * (i + between(0, 0.8)) / count, reach = between(8, 22);
    corners.push_back(middle + reach * direction({-turn}));
  }
  return corners;
}

std::string csv(const Corners& corners, int decimals) {
  std::string text;
  for (std::size_t i = 0; i <= corners.size(); ++i) {
    const PlanPoint p = corners[i % corners.size()];
    text += fmt::format("{}{:.{}f} {:.{}f}", i == 0 ? "" : ",", p.e, decimals, p.n, decimals);
  }
  return "WKT,NAME\n\"POLYGON((" + text + "))\",lot\n";
}

Corners lot_of(const ScratchFolder& folder, const std::string& file, const std::string& crs, const std::string& site,
               PlanPoint start) {
  const Answer answer = placed(
      job_of(fmt::format("  - {{id: lot, kind: lot, within: 0.5, file: {{path: {}, crs: \"{}\"}}}}\n", file, crs),
             fmt::format("[{:.3f}, {:.3f}]", start.e, start.n), site),
      folder.path());
  Corners corners;
  for (const Corner& corner : feature(answer, "lot").corners) corners.push_back(corner.point.at);
  return corners;
}

}  // namespace

TEST_CASE("a lot is the same lot in whichever coordinate system its file is written") {
  const auto& proj = open_module<ProjModule>();
  const ScratchFolder folder;
  // One datum throughout (WGS 84), so that only formulas lie between: another zone, a grid in feet made for the
  // occasion, longitude and latitude, a national grid whose northing comes first.
  struct System {
    const char* crs;
    int decimals;
  };
  const System systems[] = {{"EPSG:32617", 5},
                            {"EPSG:32618", 5},
                            {"EPSG:4326", 11},
                            {"EPSG:3857", 5},
                            {"+proj=lcc +lat_1=40 +lat_2=42 +lat_0=39 +lon_0=-81 +x_0=600000 +datum=WGS84 "
                             "+units=us-ft +type=crs",
                             5},
                            {"+proj=tmerc +lat_0=41 +lon_0=-81.5 +k=0.99995 +x_0=300000 +y_0=100000 +datum=WGS84 "
                             "+units=ft +type=crs",
                             5}};
  for (const unsigned seed : {1u, 2u, 3u, 4u, 5u, 6u, 7u, 8u}) {
    INFO("seed " << seed);
    std::mt19937 random(seed);
    const PlanPoint middle{440000 + static_cast<double>(random() % 60000),
                           4540000 + static_cast<double>(random() % 60000)};
    const Corners lot = random_lot(random, middle);
    std::size_t number = 0;
    for (const System& system : systems) {
      INFO(system.crs);
      const auto there = proj.transform("EPSG:32617", system.crs);
      REQUIRE(there);
      Corners written;
      for (const PlanPoint p : lot) written.push_back(there->forward(p));
      const std::string name = fmt::format("lot{}.csv", ++number);
      folder.write(name, csv(written, system.decimals));
      const Corners read = lot_of(folder, name, system.crs, "units: m, crs: EPSG:32617", middle);
      REQUIRE(read.size() == lot.size());
      for (std::size_t i = 0; i < lot.size(); ++i) CHECK(distance(read[i], lot[i]) < 0.0001);
    }
  }
}

TEST_CASE("a lot moved in its file is moved on the site by as much, and keeps its shape") {
  const ScratchFolder folder;
  for (const unsigned seed : {11u, 12u, 13u, 14u}) {
    INFO("seed " << seed);
    std::mt19937 random(seed);
    const PlanPoint middle{465000, 4561000};
    const PlanVector by{static_cast<double>(random() % 900), static_cast<double>(random() % 900)};
    const Corners lot = random_lot(random, middle);
    Corners moved;
    for (const PlanPoint p : lot) moved.push_back(p + by);
    folder.write("here.csv", csv(lot, 4));
    folder.write("there.csv", csv(moved, 4));
    const Corners a = lot_of(folder, "here.csv", "EPSG:32617", "units: m, crs: EPSG:32617", middle);
    const Corners b = lot_of(folder, "there.csv", "EPSG:32617", "units: m, crs: EPSG:32617", middle);
    REQUIRE(a.size() == b.size());
    for (std::size_t i = 0; i < a.size(); ++i) CHECK(distance(a[i] + by, b[i]) < 1e-6);
  }
}

TEST_CASE("a drawing as a whole is worth on its grid what its house is, and on the Earth what its anchor is") {
  const auto job = [](const std::string& within) {
    return placed(
        job_of("  - {id: house, kind: house, area: [[0, 0], [12, 0], [12, 9], [0, 9]], corners: [sw, se, ne, "
               "nw]}\n",
               "{ties: {house.sw: 7, house.se: 11}, side: south}",
               "units: m, anchor: {grid: [0, 0], lat: 41.2, lon: -81.4" + within + "}"));
  };
  const Answer stated = job(", within: 2");
  REQUIRE(stated.placed);
  const PlanPoint at = stated.placed->runs[0].access.at;
  const PlanCovariance grid = stated.placed->runs[0].access.grid_covariance;
  CHECK(circle_radius(on_earth(*stated.placed, at, grid), 0.95) ==
        Approx(std::hypot(2, circle_radius(grid, 0.95))).epsilon(0.01));
  // Nothing said: a phone's fix of 5 m.
  const Answer unsaid = job("");
  REQUIRE(unsaid.placed);
  CHECK(circle_radius(on_earth(*unsaid.placed, at, PlanCovariance::Zero()), 0.95) == Approx(5).epsilon(0.001));
  const Answer chosen = job(", within: 0");
  REQUIRE(chosen.placed);
  CHECK(circle_radius(on_earth(*chosen.placed, at, PlanCovariance::Zero()), 0.95) == Approx(0).margin(1e-9));
}

TEST_CASE("what is taped from a house lies on the grid no better than the lot's file, whatever the tape is worth") {
  const ScratchFolder folder;
  folder.write("lot.csv", csv({{465000, 4561000}, {465020, 4561000}, {465020, 4561040}, {465000, 4561040}}, 3));
  const Answer answer = placed(
      job_of(
          "  - {id: lot, kind: lot, within: 1.5, corners: [sw, se, ne, nw], file: {path: lot.csv, crs: "
          "EPSG:32617}}\n"
          "  - {id: house, kind: house, walls: {start: {along: lot.sw-se, from: lot.sw, go: 4, in: 9}, heading: N 0 "
          "E, legs: [\"9\", R 12, R 9, R 12], corners: [sw, nw, ne, se]}}\n",
          "{along: house.sw-se, from: house.sw, go: 3}", "units: m, crs: EPSG:32617") +
          "    locates:\n      - {at: 3, position: {ties: {house.sw: 7, house.se: 11}, side: south}}\n",
      folder.path());
  INFO(answer.shown);
  REQUIRE(answer.placed);
  const PlacedPoint& access = answer.placed->runs[0].access;
  CHECK(circle_radius(access.covariance, 0.95) < 0.3);
  CHECK(circle_radius(access.grid_covariance, 0.95) > 1.5);
  const Feature& lot = feature(answer, "lot");
  CHECK(circle_radius(lot.grid_covariance, 0.95) == Approx(1.55).margin(0.1));
  CHECK(circle_radius(on_grid(*answer.placed, access.covariance), 0.95) ==
        Approx(circle_radius(access.grid_covariance, 0.95)).epsilon(0.05));
}
