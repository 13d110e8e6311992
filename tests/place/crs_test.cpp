#include <cmath>
#include <cstdio>
#include <thread>

#include <fmt/format.h>
#include <catch2/catch.hpp>

#include "load/module.hpp"
#include "measure/bearing.hpp"
#include "place/local_grid.hpp"
#include "place/outside.hpp"
#include "place/proj_module.hpp"
#include "place/site_grid.hpp"
#include "reference/table.hpp"

using namespace swingtie;

namespace {

const ProjModule& proj() {
  return open_module<ProjModule>();
}

struct GridAnswer {
  std::optional<SiteGrid> grid;
  std::vector<Diagnostic> diagnostics;
};

GridAnswer grid_of(const std::string& crs, LengthUnit units, std::optional<PlanPoint> sample = std::nullopt) {
  SiteEntry site;
  site.units = units;
  site.crs = Written<std::string>{crs, {3, 8, crs.size()}};
  Report report;
  if (sample) sample = PlanPoint{sample->e * metres_per(units), sample->n * metres_per(units)};
  auto grid = site_grid(site, sample, report);
  return {grid, report.take()};
}

std::string refusal(const std::string& crs, LengthUnit units, std::optional<PlanPoint> sample = std::nullopt) {
  const auto answer = grid_of(crs, units, sample);
  CHECK(!answer.grid);
  REQUIRE(answer.diagnostics.size() == 1);
  const Diagnostic& d = answer.diagnostics[0];
  CHECK(d.severity == Severity::error);
  return d.message + " | " + d.expected + " | " + d.hint;
}

}  // namespace

// IOGP Guidance Note 7-2, Ordnance Survey Annexe C, Snyder PP 1395; see tests/reference/projections.csv.
TEST_CASE("published projection examples come out, there and back") {
  for (const auto& row : reference::table("projections.csv")) {
    INFO(row.text("id"));
    const bool lcc = row.text("method") == "LCC_2SP";
    std::string definition = fmt::format(
        "+proj={} +a={} +rf={} +lat_0={} +lon_0={} +x_0={} +y_0={} +to_meter={} +type=crs", lcc ? "lcc" : "tmerc",
        row.text("a_m"), row.text("inv_f"), row.text("lat0_deg"), row.text("lon0_deg"),
        row.number("FE") * row.number("unit_m"), row.number("FN") * row.number("unit_m"), row.text("unit_m"));
    definition += lcc ? fmt::format(" +lat_1={} +lat_2={}", row.text("sp1_deg"), row.text("sp2_deg"))
                      : fmt::format(" +k_0={}", row.text("k0"));
    const auto opened = proj().open(definition);
    REQUIRE(opened.reference);
    const double unit = opened.reference->metres_per_grid_unit();
    const LonLat at{row.number("lon_deg"), row.number("lat_deg")};
    const PlanPoint p = opened.reference->from_lon_lat(at);
    CHECK(p.e / unit == Approx(row.number("E_expected")).epsilon(0).margin(row.number("tol_unit")));
    CHECK(p.n / unit == Approx(row.number("N_expected")).epsilon(0).margin(row.number("tol_unit")));
    const LonLat back = opened.reference->to_lon_lat(p);
    CHECK(back.lon_deg == Approx(at.lon_deg).epsilon(0).margin(1e-9));
    CHECK(back.lat_deg == Approx(at.lat_deg).epsilon(0).margin(1e-9));
  }
}

// Snyder, PP 1395 p. 269: the point 40-30 N 73-30 W on transverse Mercator about 75 W; convergence of the same inputs
// by an independent script +0.974302 degrees (true north lies west of grid north by it, east of the central
// meridian).
TEST_CASE("grid north of a transverse Mercator grid is its convergence") {
  const auto opened =
      proj().open("+proj=tmerc +a=6378206.4 +rf=294.978698214 +lat_0=0 +lon_0=-75 +k_0=0.9996 +type=crs");
  REQUIRE(opened.reference);
  const PlanPoint p = opened.reference->from_lon_lat({-73.5, 40.5});
  CHECK(opened.reference->grid_north(p).radians / degree == Approx(0.974302).margin(2e-6));
}

TEST_CASE("coordinates and axis order agree with PROJ's own command") {
  if (!outside::has_program("cs2cs")) {
    WARN("skipped: cs2cs is not installed");
    return;
  }
  struct Case {
    const char* crs;
    double lat, lon;
    bool north_first;
  };
  for (const Case& c : {Case{"EPSG:2260", 42.65, -73.75, false}, Case{"EPSG:3734", 41.2, -81.4, false},
                        Case{"EPSG:2269", 45.49, -122.6, false}, Case{"EPSG:28355", -36.5, 146.4, false},
                        Case{"EPSG:27700", 51.5, -0.1, false}, Case{"EPSG:2180", 52.2, 21.0, true},
                        Case{"EPSG:31467", 48.8, 9.2, true}, Case{"EPSG:32618", 40.71435, -74.00597, false}}) {
    INFO(c.crs);
    const std::string said =
        outside::output_of(fmt::format("echo '{} {}' | cs2cs -f %.5f EPSG:4326 {}", c.lat, c.lon, c.crs));
    double first = 0, second = 0;
    REQUIRE(std::sscanf(said.c_str(), "%lf %lf", &first, &second) == 2);
    const auto opened = proj().open(c.crs);
    REQUIRE(opened.reference);
    const double unit = opened.reference->metres_per_grid_unit();
    const PlanPoint p = opened.reference->from_lon_lat({c.lon, c.lat});
    CHECK(p.e / unit == Approx(c.north_first ? second : first).epsilon(0).margin(2e-5));
    CHECK(p.n / unit == Approx(c.north_first ? first : second).epsilon(0).margin(2e-5));
  }
}

TEST_CASE("a local grid agrees with PROJ's topocentric conversion") {
  if (!outside::has_program("cct")) {
    WARN("skipped: cct is not installed");
    return;
  }
  const auto grid = local_grid({0, 0, 41.2, -81.4, {}});
  for (const LonLat at : {LonLat{-81.401, 41.2013}, LonLat{-81.39, 41.19}, LonLat{-81.4, 41.2}}) {
    const std::string said = outside::output_of(fmt::format(
        "echo '{:.9f} {:.9f} 0 0' | cct -d 6 +proj=pipeline +step +proj=unitconvert +xy_in=deg +xy_out=rad "
        "+step +proj=cart +ellps=WGS84 +step +proj=topocentric +ellps=WGS84 +lon_0=-81.4 +lat_0=41.2 +h_0=0",
        at.lon_deg, at.lat_deg));
    double e = 0, n = 0;
    REQUIRE(std::sscanf(said.c_str(), "%lf %lf", &e, &n) == 2);
    const PlanPoint p = grid->from_lon_lat(at);
    CHECK(p.e == Approx(e).epsilon(0).margin(2e-6));
    CHECK(p.n == Approx(n).epsilon(0).margin(2e-6));
  }
}

TEST_CASE("a reference serves several threads") {
  const auto opened = proj().open("EPSG:2260");
  REQUIRE(opened.reference);
  const PlanPoint wanted = opened.reference->from_lon_lat({-73.75, 42.65});
  std::vector<std::thread> threads;
  std::vector<int> wrong(4);
  for (std::size_t t = 0; t < wrong.size(); ++t) {
    threads.emplace_back([&, t] {
      for (int i = 0; i < 200; ++i)
        wrong[t] += distance(opened.reference->from_lon_lat({-73.75, 42.65}), wanted) > 1e-6;
    });
  }
  for (std::thread& thread : threads) thread.join();
  for (const int count : wrong) CHECK(count == 0);
}

TEST_CASE("large false eastings lose nothing") {
  const auto opened = proj().open("EPSG:3734");
  REQUIRE(opened.reference);
  const PlanPoint p{2.3e6 * metres_per_us_survey_foot + 0.001, 6.5e5 * metres_per_us_survey_foot};
  const PlanPoint back = opened.reference->from_lon_lat(opened.reference->to_lon_lat(p));
  CHECK(distance(p, back) < 1e-6);
}

TEST_CASE("a CRS whose unit is the other foot rescales its coordinates, and says so") {
  const auto answer = grid_of("EPSG:3734", LengthUnit::foot, PlanPoint{2.3e6, 6.5e5});
  REQUIRE(answer.grid);
  CHECK(answer.grid->unit == LengthUnit::us_survey_foot);
  CHECK(2.3e6 * metres_per_foot * answer.grid->coordinate_scale ==
        Approx(2.3e6 * metres_per_us_survey_foot).epsilon(1e-12));
  REQUIRE(answer.diagnostics.size() == 1);
  CHECK(answer.diagnostics[0].severity == Severity::warning);
  CHECK(answer.diagnostics[0].hint.find("`units: us-ft`") != std::string::npos);
  CHECK(grid_of("EPSG:3734", LengthUnit::us_survey_foot, PlanPoint{2.3e6, 6.5e5}).diagnostics.empty());
}

TEST_CASE("coordinate systems that do not fit a site are refused with what would") {
  CHECK(refusal("EPSG:99999", LengthUnit::foot).find("no coordinate reference system") != std::string::npos);
  CHECK(refusal("Ohio North", LengthUnit::foot).find("EPSG code") != std::string::npos);
  CHECK(refusal("EPSG:4326", LengthUnit::metre, PlanPoint{-81.4, 41.2}).find("EPSG:32617") != std::string::npos);
  CHECK(refusal("EPSG:4269", LengthUnit::foot).find("counts in degrees") != std::string::npos);
  CHECK(refusal("EPSG:3857", LengthUnit::metre, PlanPoint{-9061406, 5044000}).find("EPSG:32617") !=
        std::string::npos);
  CHECK(refusal("EPSG:32617", LengthUnit::foot).find("`units: m`") != std::string::npos);
  CHECK(refusal("EPSG:3734", LengthUnit::metre).find("`units: us-ft`") != std::string::npos);
  CHECK(refusal("EPSG:2048", LengthUnit::metre).find("east and north") != std::string::npos);
  // A plate-carrée grid is projected and metric, and 1.33 times too wide here.
  CHECK(refusal("+proj=eqc +type=crs", LengthUnit::metre, PlanPoint{-9061406, 4586000}).find("on the ground") !=
        std::string::npos);
}

TEST_CASE("coordinates outside the area of their CRS get a warning") {
  const auto answer = grid_of("EPSG:3734", LengthUnit::us_survey_foot, PlanPoint{5000, 5000});
  REQUIRE(answer.grid);
  REQUIRE(answer.diagnostics.size() == 1);
  CHECK(answer.diagnostics[0].message.find("outside the area") != std::string::npos);
}

TEST_CASE("a missing module is named with the places it was looked for") {
  CHECK_THROWS_WITH(open_module("nothing", "x"),
                    Catch::Contains("swingtie-nothing.so") && Catch::Contains("lib/swingtie"));
}
