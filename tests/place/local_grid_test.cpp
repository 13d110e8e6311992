#include "place/local_grid.hpp"

#include <cmath>

#include <catch2/catch.hpp>

#include "measure/bearing.hpp"
#include "reference/table.hpp"

using namespace swingtie;

namespace {

/// `47 07 00.14491 N` as signed degrees.
double signed_degrees(const std::string& text) {
  double d = 0, m = 0, s = 0;
  char hemisphere = 0;
  std::sscanf(text.c_str(), "%lf %lf %lf %c", &d, &m, &s, &hemisphere);
  const double value = d + m / 60 + s / 3600;
  return hemisphere == 'S' || hemisphere == 'W' ? -value : value;
}

}  // namespace

// NGS data sheets (ngs.noaa.gov): geodetic and Earth-centred coordinates of two stations, printed to the millimetre.
// Their GRS 80 ellipsoid and that of WGS 84 differ by 0.1 mm at the pole.
TEST_CASE("Earth-centred coordinates are those of the published stations") {
  for (const auto& row : reference::table("geocentric.csv")) {
    INFO(row.text("id"));
    const Geocentric g = geocentric({signed_degrees(row.text("lon_dms")), signed_degrees(row.text("lat_dms"))},
                                    row.number("ellip_ht_m"));
    CHECK(g.x == Approx(row.number("X_m")).margin(0.001));
    CHECK(g.y == Approx(row.number("Y_m")).margin(0.001));
    CHECK(g.z == Approx(row.number("Z_m")).margin(0.001));
  }
}

TEST_CASE("a local grid returns to the latitude and longitude it came from") {
  for (const double turn : {0.0, 12.5, -30.0, 180.0}) {
    const auto grid = local_grid({1000, 2000, 41.2, -81.4, {turn * degree}});
    CHECK(grid->from_lon_lat({-81.4, 41.2}).e == Approx(1000));
    CHECK(grid->from_lon_lat({-81.4, 41.2}).n == Approx(2000));
    for (const PlanPoint p : {PlanPoint{1000, 2000}, PlanPoint{1300, 1500}, PlanPoint{200, 4000}}) {
      const PlanPoint back = grid->from_lon_lat(grid->to_lon_lat(p));
      CHECK(back.e == Approx(p.e).margin(1e-6));
      CHECK(back.n == Approx(p.n).margin(1e-6));
    }
  }
}

TEST_CASE("grid north is measured clockwise from true north") {
  const auto grid = local_grid({0, 0, 41.2, -81.4, {12.5 * degree}});
  CHECK(grid->grid_north({0, 0}).radians / degree == Approx(12.5));
  // Walking along grid north from the anchor, one goes north and east.
  const LonLat ahead = grid->to_lon_lat({0, 100});
  CHECK(ahead.lat_deg > 41.2);
  CHECK(ahead.lon_deg > -81.4);
}

TEST_CASE("the convergence of a local grid agrees with differences of its own coordinates") {
  const auto grid = local_grid({0, 0, 58.0, 25.0, {5 * degree}});
  const PlanPoint p{800, 300};
  LonLat at = grid->to_lon_lat(p);
  const PlanPoint here = grid->from_lon_lat(at);
  at.lat_deg += 1e-4;
  const Azimuth true_north_on_grid = azimuth(here, grid->from_lon_lat(at));
  CHECK(grid->grid_north(p).radians == Approx(-true_north_on_grid.radians).margin(1e-6));
}
