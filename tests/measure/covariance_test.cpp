#include "measure/covariance.hpp"

#include <Eigen/LU>
#include <catch2/catch.hpp>
#include <cmath>
#include <random>

#include "measure/bearing.hpp"
#include "reference/table.hpp"

using namespace swingtie;

namespace {

PlanCovariance covariance(double sigma_e, double sigma_n, double correlation) {
  PlanCovariance c;
  c << sigma_e * sigma_e, correlation * sigma_e * sigma_n, correlation * sigma_e * sigma_n, sigma_n * sigma_n;
  return c;
}

/// A diagonal covariance with this ratio of the smaller to the larger standard deviation, which is 1.
PlanCovariance with_ratio(double ratio) {
  return covariance(ratio, 1, 0);
}

}  // namespace

// NOAA/NGS Local and Network Accuracy Data Sheet, PID LW5580, 2025-02-20: standard deviations, correlation and the
// published radius of the 95 % horizontal circle and 95 % ellipsoid height, in centimetres. The sheet's radius comes
// from a polynomial that is up to 0.01 above the exact integral.
TEST_CASE("95 % circles and heights agree with a published accuracy sheet") {
  for (const auto& row : reference::table("ellipse-ngs.csv")) {
    INFO(row.text("id"));
    const PlanCovariance c = covariance(row.number("sd_e_cm"), row.number("sd_n_cm"), row.number("corr_ne"));
    CHECK(circle_radius(c, 0.95) == Approx(row.number("pub_horiz95_cm")).margin(0.011));
    CHECK(circle_radius(c, 0.95) == Approx(row.number("own_circle95_exact_cm")).margin(0.0001));
    CHECK(normal_quantile(0.975) * row.number("sd_h_cm") == Approx(row.number("pub_ellip95_cm")).margin(0.011));
    const ErrorEllipse standard = error_ellipse(c, 1 - std::exp(-0.5));  // the probability of the standard ellipse
    CHECK(standard.semi_major == Approx(row.number("own_a_cm")).margin(6e-5));
    CHECK(standard.semi_minor == Approx(row.number("own_b_cm")).margin(6e-5));
    CHECK(standard.major_axis.radians / degree == Approx(row.number("own_az_deg")).margin(0.006));
  }
}

// NGS data sheets DI2263 and DF5360 print 0.14 and 0.12 cm; their standard deviations are printed to one digit.
TEST_CASE("95 % circles of two data sheets with coarse inputs agree to their print") {
  CHECK(circle_radius(covariance(0.07, 0.04, 0.31118), 0.95) == Approx(0.14).margin(0.01));
  CHECK(circle_radius(covariance(0.05, 0.05, -0.1406), 0.95) == Approx(0.12).margin(0.01));
}

// Leenhouts' polynomial K(c) for the 95 % circle, c the ratio of the axes, good to 0.003 (Hoover, NOAA Technical
// Report NOS 107 C&GS 3, 1984, uses such a table). Its coefficients are from memory and confirmed by the sheet above.
// The exact column was integrated by an independent script.
TEST_CASE("the 95 % circle factor runs from the one-dimensional to the circular quantile") {
  struct Row {
    double ratio, exact;
  };
  for (const Row row : {Row{0, 1.95996}, {0.25, 1.97651}, {0.5, 2.03586}, {0.75, 2.18580}, {1, 2.44775}}) {
    INFO(row.ratio);
    const double k = circle_radius(with_ratio(row.ratio), 0.95);
    CHECK(k == Approx(row.exact).margin(1e-5));
    const double c = row.ratio;
    CHECK(k == Approx(1.960790 + 0.004071 * c + 0.114276 * c * c + 0.371625 * c * c * c).margin(0.0032));
  }
}

// The integral done another way: over x across the circle, the y of each strip by erf, Simpson with many steps.
TEST_CASE("the circle holds its probability by a second integral") {
  for (const double ratio : {0.02, 0.05, 0.3, 0.8, 1.0}) {
    for (const double probability : {0.01, 0.5, 0.95, 0.999}) {
      const double r = circle_radius(with_ratio(ratio), probability);
      constexpr int steps = 40000;
      double sum = 0;
      for (int i = 0; i <= steps; ++i) {
        const double t = pi * i / steps - pi / 2;
        const double y = r * std::cos(t);
        // the strip at x = r sin t of the wider axis; the narrower axis is integrated by erf
        const double density = std::exp(-0.5 * std::pow(r * std::sin(t), 2)) / std::sqrt(2 * pi) *
                               std::erf(y / ratio / std::sqrt(2.0)) * y;
        sum += (i == 0 || i == steps ? 1 : i % 2 == 1 ? 4 : 2) * density;
      }
      INFO(ratio << " " << probability);
      CHECK(sum * pi / steps / 3 == Approx(probability).epsilon(1e-9));
    }
  }
}

// Multipliers of the circular normal for probabilities in print in every handbook of adjustment, e.g. CEP 1.17741 and
// 95 % 2.44775 (van Diggelen, GPS World, January 1998, table: CEP to rms 1.2, to R95 2.1, to 2drms 2.4).
TEST_CASE("radii of the circular normal keep the ratios in use for position fixes") {
  const PlanCovariance round = PlanCovariance::Identity();
  CHECK(circle_radius(round, 0.5) == Approx(1.17741).margin(1e-5));
  CHECK(circle_radius(round, 0.3935) == Approx(1.0).margin(1e-4));
  CHECK(circle_radius(round, 0.6827) == Approx(1.5152).margin(1e-4));
  CHECK(circle_radius(round, 0.90) == Approx(2.14597).margin(1e-5));
  CHECK(circle_radius(round, 0.95) == Approx(2.44775).margin(1e-5));
  CHECK(circle_radius(round, 0.99) == Approx(3.03485).margin(1e-5));
  CHECK(circle_radius(round, 0.9973) == Approx(3.43933).margin(1e-5));
  const double cep = circle_radius(round, 0.5), drms = std::sqrt(2.0), r95 = circle_radius(round, 0.95);
  CHECK(drms / cep == Approx(1.2).margin(0.05));
  CHECK(r95 / cep == Approx(2.1).margin(0.05));
  CHECK(2 * drms / cep == Approx(2.4).margin(0.05));
  CHECK(r95 / drms == Approx(1.7).margin(0.05));
}

// National Academies Press, The Global Positioning System (1995): 2 drms holds 95.5-98.2 % as the ellipse rounds.
TEST_CASE("twice the distance rms holds 95.4 to 98.2 %") {
  for (const auto& [ratio, probability] : {std::pair{0.0, 0.954}, {1.0, 0.982}}) {
    const double two_drms = 2 * std::sqrt(1 + ratio * ratio);
    CHECK(circle_radius(with_ratio(ratio), probability) == Approx(two_drms).margin(0.02));
  }
}

// Mahun, self-study Least Squares 2, problem 4: standard axes times sqrt(2 F(0.05; 2, 3)) = 4.3708 make the printed
// 95 % axes 0.033/0.029 and 0.0634/0.037; the degrees of freedom follow from the ratio.
TEST_CASE("an ellipse scales by the multiplier of its degrees of freedom as a textbook prints it") {
  double c95 = 0;
  for (const auto& row : reference::table("f2-multiplier.csv")) {
    CHECK(std::sqrt(2 * row.number("F_0.05_2_dof")) == Approx(row.number("c95=sqrt(2F)")).margin(6e-4));
    if (row.text("dof") == "3") c95 = row.number("c95=sqrt(2F)");
  }
  const double probability = 1 - std::exp(-c95 * c95 / 2);  // the normal ellipse of that size
  const Azimuth axis{(12 + 57 / 60.0 + 42 / 3600.0) * degree};
  const PlanCovariance c = covariance_of({0.0145, 0.0084, axis}, 1 - std::exp(-0.5));
  const ErrorEllipse scaled = error_ellipse(c, probability);
  CHECK(scaled.semi_major == Approx(0.0634).margin(0.0005));
  CHECK(scaled.semi_minor == Approx(0.037).margin(0.0005));
  CHECK(scaled.major_axis.radians == Approx(axis.radians));
}

// Mikhail and Ackermann, Observations and Least Squares (1976), example 4.3 for the inputs: y = A x with
// A = [[2,1],[1,2]] and Cyy = [[3,1],[1,3]]. Worked by hand: Cxx = [[11,-7],[-7,11]]/9.
TEST_CASE("a propagated covariance has the axes worked by hand") {
  PlanCovariance a, cyy;
  a << 2, 1, 1, 2;
  cyy << 3, 1, 1, 3;
  const PlanCovariance cxx = a.inverse() * cyy * a.inverse().transpose();
  CHECK(cxx(0, 0) == Approx(11.0 / 9));
  CHECK(cxx(0, 1) == Approx(-7.0 / 9));
  const ErrorEllipse e = error_ellipse(cxx, 1 - std::exp(-0.5));
  CHECK(e.semi_major == Approx(std::sqrt(2.0)));
  CHECK(e.semi_minor == Approx(2.0 / 3));
  CHECK(e.major_axis.radians / degree == Approx(135));
}

// NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.4, upper critical values of the chi-square distribution:
// three decimals.
TEST_CASE("chi-square quantiles are those NIST tabulates") {
  for (const auto& row : reference::table("chi2.csv")) {
    const int dof = static_cast<int>(row.number("dof"));
    INFO("degrees of freedom " << dof);
    for (const double p : {0.025, 0.95, 0.975, 0.99}) {
      std::string name = "chi2_" + std::to_string(p);
      name.erase(name.find_last_not_of('0') + 1);
      CHECK(chi_square_quantile(p, dof) == Approx(row.number(name)).margin(0.00051));
      // Three decimals of a quantile near 0 fix no probability.
      if (p > 0.9) CHECK(chi_square_beyond(row.number(name), dof) == Approx(1 - p).margin(2e-4));
    }
  }
}

// Abramowitz and Stegun, Handbook of Mathematical Functions, table 26.5, gives these to five places; the last is
// Baarda's critical value for a significance of 0.001.
TEST_CASE("normal quantiles are those in print") {
  CHECK(normal_quantile(0.75) == Approx(0.67449).margin(5e-6));
  CHECK(normal_quantile(0.95) == Approx(1.64485).margin(5e-6));
  CHECK(normal_quantile(0.975) == Approx(1.95996).margin(5e-6));
  CHECK(normal_quantile(0.995) == Approx(2.57583).margin(5e-6));
  CHECK(normal_quantile(0.9995) == Approx(3.29053).margin(5e-6));
  CHECK(normal_quantile(0.5) == Approx(0).margin(1e-15));
  for (double p = 1e-12; p < 1; p = p < 0.01 ? p * 10 : p + 0.03) {
    CHECK(normal_cdf(normal_quantile(p)) == Approx(p).epsilon(1e-9));
  }
}

TEST_CASE("a covariance and its ellipse are each other's inverse") {
  const unsigned seed = 7;
  INFO("seed " << seed);
  std::mt19937 random(seed);
  const auto uniform = [&] { return static_cast<double>(random()) / 4294967296.0; };
  for (int i = 0; i < 2000; ++i) {
    const PlanCovariance c = covariance(0.01 + uniform(), 0.01 + uniform(), 1.99 * uniform() - 0.995);
    const ErrorEllipse e = error_ellipse(c, 0.95);
    REQUIRE(e.semi_major >= e.semi_minor);
    REQUIRE((e.major_axis.radians >= 0 && e.major_axis.radians < pi));
    REQUIRE((covariance_of(e, 0.95) - c).norm() <= 1e-12 * c.norm());
    const double r = circle_radius(c, 0.95);
    REQUIRE(r <= e.semi_major * (1 + 1e-9));
    REQUIRE(r >= e.semi_major * 1.959963 / 2.447747);
  }
}

TEST_CASE("covariances of rank one and zero have thin ellipses, not errors") {
  PlanCovariance line;
  line << 1, 1, 1, 1;
  const ErrorEllipse e = error_ellipse(line, 0.95);
  CHECK(e.semi_major == Approx(2.44775 * std::sqrt(2.0)).epsilon(1e-5));
  CHECK(e.semi_minor == 0);
  CHECK(e.major_axis.radians == Approx(pi / 4));
  CHECK(circle_radius(PlanCovariance::Zero(), 0.95) == 0);
  CHECK(error_ellipse(PlanCovariance::Zero(), 0.95).semi_major == 0);
}

TEST_CASE("within means a circle that holds 95 %") {
  CHECK(circle_radius(covariance_within(1.7), 0.95) == Approx(1.7).epsilon(1e-9));
  CHECK(error_ellipse(covariance_within(1.7), 0.95).semi_minor == Approx(1.7).epsilon(1e-9));
}
