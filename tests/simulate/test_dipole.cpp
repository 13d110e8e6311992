#include <catch2/catch.hpp>
#include <cmath>

#include "measure/bearing.hpp"
#include "reference/table.hpp"
#include "simulate/dipole.hpp"

// The near field of a magnetic dipole, B = (3 (m.r) r / r^2 - m) / r^3: figures of tests/reference/locating-tilt.csv,
// which an independent script derived from that formula, and closed forms of the same derivation.

using swingtie::degree;
using namespace swingtie::simulate;

namespace {

/// A coil at unit depth below the origin that points along +e, its +e end raised.
Dipole coil(double tilt) {
  return {{0, 0, -1}, {std::cos(tilt), 0, std::sin(tilt)}};
}

}  // namespace

TEST_CASE("nulls and strongest signal over a tilted coil, as tabulated") {
  const auto rows = swingtie::reference::table("locating-tilt.csv");
  REQUIRE(rows.size() == 10);
  for (const auto& row : rows) {
    const double slope = row.number("slope");
    CAPTURE(slope);
    const Dipole dipole = coil(std::atan(slope));
    const Lawn lawn;
    const auto plus = axial_null(dipole, lawn, {1, 0}, 1), minus = axial_null(dipole, lawn, {1, 0}, -1);
    REQUIRE(plus);
    REQUIRE(minus);
    CHECK(plus->x() == Approx(row.number("axial_null_plus_x_over_d")).margin(2e-6));
    CHECK(minus->x() == Approx(row.number("axial_null_minus_x_over_d")).margin(2e-6));
    CHECK(plus->x() - minus->x() == Approx(row.number("null_spacing_over_d")).margin(2e-6));
    CHECK((plus->x() + minus->x()) / 2 == Approx(row.number("null_midpoint_x_over_d")).margin(2e-6));
    // Level, the signal is flat to the fourth order, and a search cannot place its top better than this.
    CHECK(strongest_point(dipole, lawn).x() ==
          Approx(row.number("total_peak_x_over_d")).margin(slope == 0 ? 5e-3 : 2e-4));
  }
}

TEST_CASE("field overhead, beside and ahead of a level coil") {
  const Dipole dipole = coil(0);
  const auto b = [&](double e, double n) { return dipole.field({e, n, 0}); };
  CHECK(b(0, 0).norm() == Approx(1));
  CHECK(b(0, 0).z() == Approx(0).margin(1e-12));
  // The vertical component is strongest half a depth ahead, 0.858650 of the overhead field; 0.769800 at the null.
  CHECK(std::abs(b(0.5, 0).z()) == Approx(0.858650).margin(5e-7));
  CHECK(std::abs(b(0.49, 0).z()) < std::abs(b(0.5, 0).z()));
  CHECK(std::abs(b(0.51, 0).z()) < std::abs(b(0.5, 0).z()));
  CHECK(std::abs(b(std::sqrt(0.5), 0).z()) == Approx(0.769800).margin(5e-7));
  // Half height across at 0.766421 of the depth, along at 0.383960.
  CHECK(std::abs(b(0, 0.766421).x()) == Approx(0.5).margin(1e-6));
  CHECK(std::abs(b(0.383960, 0).x()) == Approx(0.5).margin(1e-6));
  // Two readings a height s above each other at depth d; here d = 4, s = 1, ratio 1.953125.
  const Dipole deep{{0, 0, -4}, {1, 0, 0}};
  CHECK(deep.field({0, 0, 0}).norm() / deep.field({0, 0, 1}).norm() == Approx(1.953125));
  // The ratio read a quarter of the depth off the line gives a depth 1.056217 times too deep.
  const double ratio = deep.field({0, 1, 0}).norm() / deep.field({0, 1, 1}).norm();
  CHECK(1 / (std::cbrt(ratio) - 1) / 4 == Approx(1.056217).margin(5e-7));
}

TEST_CASE("the strongest signal is flat along the pipe to the fourth order") {
  const Dipole dipole = coil(0);
  for (const double u : {0.05, 0.1, 0.2})
    CHECK(dipole.field({u, 0, 0}).squaredNorm() == Approx((1 + 4 * u * u) / std::pow(1 + u * u, 4)).epsilon(1e-12));
}

TEST_CASE("a tilted coil keeps its ratio depth overhead and reads stronger") {
  for (const auto& [tilt, level] : {std::pair{5.0, 1.011330}, {10.0, 1.044251}, {20.0, 1.162297}, {30.0, 1.322876}}) {
    const Dipole dipole = coil(tilt * degree);
    CHECK(dipole.field({0, 0, 0}).norm() == Approx(level).margin(5e-7));
    CHECK(dipole.field({0, 0, 0}).norm() / dipole.field({0, 0, 0.25}).norm() == Approx(1.953125));
  }
}

TEST_CASE("on a slope the nulls are still where the component along the walk vanishes") {
  Lawn lawn;
  lawn.rise_e = 0.06;
  const Dipole dipole{{3, 4, -2}, {1, 0, 0}};
  const auto null = axial_null(dipole, lawn, {1, 0}, 1);
  REQUIRE(null);
  CHECK(null->z() == Approx(0.06 * null->x()));
  CHECK(dipole.field(*null).x() == Approx(0).margin(1e-9));
}
