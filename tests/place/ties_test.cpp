#include "place/ties.hpp"

#include <cmath>
#include <random>

#include <Eigen/LU>
#include <catch2/catch.hpp>

#include "measure/bearing.hpp"
#include "reference/table.hpp"

using namespace swingtie;

namespace {

TapedTie exact(double e, double n, double distance, double sigma = 1) {
  return {UncertainPoint{{e, n}, {}, {}}, distance, sigma};
}

/// Scatter of the adjusted point when every source is drawn anew, against what the tie fix says of it.
void check_covariance_by_simulation(const std::vector<PlanPoint>& origins, PlanPoint truth, double origin_sigma,
                                    double tape, double tolerance) {
  ErrorSources sources;
  std::vector<TapedTie> ties;
  for (const PlanPoint p : origins) ties.push_back({sources.round(p, origin_sigma), distance(p, truth), tape});
  const TieFix fix = fix_by_ties(ties, sources);
  const PlanCovariance claimed = covariance(fix.solutions[0].point.at.e == Approx(truth.e).margin(1e-6) &&
                                                    fix.solutions[0].point.at.n == Approx(truth.n).margin(1e-6)
                                                ? fix.solutions[0].point
                                                : fix.solutions[1].point);
  std::mt19937 random(20260418);
  std::normal_distribution<double> normal;
  PlanCovariance scatter = PlanCovariance::Zero();
  constexpr int draws = 20000;
  for (int i = 0; i < draws; ++i) {
    ErrorSources fresh;
    std::vector<TapedTie> drawn;
    for (const PlanPoint p : origins) {
      // The tape is held on the true corner; the adjustment believes the drawn one.
      const PlanPoint believed = p + PlanVector{origin_sigma * normal(random), origin_sigma * normal(random)};
      drawn.push_back({fresh.round(believed, origin_sigma), distance(p, truth) + tape * normal(random), tape});
    }
    const TieFix found = fix_by_ties(drawn, fresh);
    PlanVector off = found.solutions[0].point.at - truth;
    for (const TieSolution& s : found.solutions) {
      if (length(s.point.at - truth) < length(off)) off = s.point.at - truth;
    }
    const Eigen::Vector2d v(off.de, off.dn);
    scatter += v * v.transpose() / draws;
  }
  INFO("claimed\n" << claimed << "\nscatter\n" << scatter);
  const double size = scatter.trace();
  CHECK((claimed - scatter).norm() < tolerance * size);
}

}  // namespace

// Published points and exercises; see tests/reference/ties.csv for sources and tolerances.
TEST_CASE("two ties cross where the published exercises say") {
  for (const auto& row : reference::table("ties.csv")) {
    INFO(row.text("id"));
    const CircleCrossing found = cross_circles({row.number("ae"), row.number("an")}, row.number("ra"), 1,
                                               {row.number("be"), row.number("bn")}, row.number("rb"), 1);
    const PlanPoint wanted{row.number("e"), row.number("n")}, mirror{row.number("mirror_e"), row.number("mirror_n")};
    const double tolerance = row.number("tol");
    CHECK(found.gap == 0);
    CHECK(std::min(distance(found.left, wanted), distance(found.right, wanted)) < 2 * tolerance);
    CHECK(std::min(distance(found.left, mirror), distance(found.right, mirror)) < 2 * tolerance);
  }
}

// I1, I2: J. Mahun, COGO intersect and transformations, problem 1 (jerrymahun.com): points fixed by two bearings
// each. The distance between them is printed there as 1053.642.
TEST_CASE("a third tie from the other published point leaves no residual and no mirror image") {
  ErrorSources sources;
  const TieFix fix = fix_by_ties({exact(2000.000, 1000.000, 573.7547, 0.01), exact(1811.082, 480.951, 506.6749, 0.01),
                                  exact(2435.613, 463.846, 1053.6427, 0.01)},
                                 sources);
  REQUIRE(fix.solutions.size() == 1);
  CHECK(fix.solutions[0].point.at.e == Approx(1450.051).margin(0.002));
  CHECK(fix.solutions[0].point.at.n == Approx(836.445).margin(0.002));
  for (const double r : fix.solutions[0].residuals) CHECK(std::abs(r) < 0.002);
}

// Inputs: README of an open-source trilateration library; adjusted values, residuals and cofactors of an independent
// script.
TEST_CASE("four ties adjust to the least-squares point with its cofactor matrix") {
  ErrorSources sources;
  const TieFix fix = fix_by_ties(
      {exact(5, -6, 8.06), exact(13, -15, 13.97), exact(21, -3, 23.32), exact(12.4, -21.2, 15.31)}, sources);
  REQUIRE(fix.solutions.size() == 1);
  const TieSolution& s = fix.solutions[0];
  CHECK(s.point.at.e == Approx(-0.369596).margin(1e-6));
  CHECK(s.point.at.n == Approx(-12.227744).margin(1e-6));
  CHECK(s.chi_square == Approx(0.2162196).margin(1e-6));
  const double computed_less_observed[] = {0.162977, -0.316007, -0.043168, 0.296536};
  for (std::size_t i = 0; i < 4; ++i) CHECK(s.residuals[i] == Approx(-computed_less_observed[i]).margin(1e-6));
  const PlanCovariance q = covariance(s.point);
  CHECK(q(0, 0) == Approx(0.349040).margin(2e-6));
  CHECK(q(0, 1) == Approx(-0.059931).margin(2e-6));
  CHECK(q(1, 1) == Approx(0.917327).margin(2e-6));
}

// Inputs: Ghilani, Adjustment Computations, trilateration, first example; adjusted values of an independent script.
TEST_CASE("three long ties adjust to the published network's point, its sigmas and its ellipse") {
  ErrorSources sources;
  const TieFix fix = fix_by_ties(
      {exact(865.40, 4527.15, 6049.00), exact(2432.55, 2047.25, 4736.83), exact(2865.22, 27.15, 5446.49)}, sources);
  REQUIRE(!fix.solutions.empty());
  const TieSolution& s = fix.solutions[0];
  CHECK(s.point.at.e == Approx(6861.3168).margin(1e-3));
  CHECK(s.point.at.n == Approx(3727.8186).margin(1e-3));
  const double s0 = std::sqrt(s.chi_square);
  CHECK(s0 == Approx(0.0977).margin(1e-4));
  const PlanCovariance c = s0 * s0 * covariance(s.point);
  CHECK(std::sqrt(c(0, 0)) == Approx(0.0775).margin(1e-4));
  CHECK(std::sqrt(c(1, 1)) == Approx(0.1542).margin(1e-4));
  const ErrorEllipse one_sigma = error_ellipse(c, 1 - std::exp(-0.5));
  CHECK(one_sigma.semi_major == Approx(0.1618).margin(1e-4));
  CHECK(one_sigma.semi_minor == Approx(0.0602).margin(1e-4));
  CHECK(one_sigma.major_axis.radians / degree == Approx(161.000).margin(0.01));
}

// A. Norrdine, An Algebraic Solution to the Multilateration Problem, IPIN 2012, example B: slant ranges to a
// point 1.13 m high, reduced here to the plan. The published true point is (26.759, -1.342); the ranges carry
// centimetres of noise.
TEST_CASE("six reduced ranges land on the published true point") {
  const double anchors[][4] = {{27.297, -4.953, 1.47, 3.652}, {20.693, -4.849, 1.93, 7.036},
                               {22.590, 0.524, 1.20, 4.586},  {17.113, -3.003, 2.17, 9.840},
                               {22.554, 4.727, 1.77, 7.402},  {22.447, -7.880, 1.60, 7.883}};
  ErrorSources sources;
  std::vector<TapedTie> ties;
  for (const auto& a : anchors)
    ties.push_back(exact(a[0], a[1], std::sqrt(a[3] * a[3] - (a[2] - 1.13) * (a[2] - 1.13)), 0.02));
  const TieFix fix = fix_by_ties(ties, sources);
  REQUIRE(fix.solutions.size() == 1);
  CHECK(distance(fix.solutions[0].point.at, {26.759, -1.342}) < 0.03);
}

TEST_CASE("the covariance of two ties is what simulation gives, square and sharp") {
  check_covariance_by_simulation({{0, 0}, {10, 0}}, {5, -5}, 0, 0.03, 0.05);
  check_covariance_by_simulation({{0, 0}, {10, 0}}, {5, -5}, 0.05, 0.03, 0.05);
  check_covariance_by_simulation({{0, 0}, {10, 0}}, {25, -6}, 0.03, 0.03, 0.06);
}

TEST_CASE("the covariance of three and four ties is what simulation gives") {
  check_covariance_by_simulation({{0, 0}, {10, 0}, {12, 9}}, {5, -5}, 0, 0.03, 0.05);
  check_covariance_by_simulation({{0, 0}, {10, 0}, {12, -9}, {-3, -8}}, {5, -5}, 0.04, 0.03, 0.05);
}

TEST_CASE("near the base the covariance stays finite and of the size that simulation gives") {
  // h^2 is known to about 0.5, so h to about 0.7 whatever the tapes say; the plain formula would give infinity.
  ErrorSources sources;
  const TieFix fix = fix_by_ties({exact(0, 0, 5, 0.05), exact(10, 0, 5, 0.05)}, sources);
  REQUIRE(fix.solutions.size() == 1);
  const double across = std::sqrt(covariance(fix.solutions[0].point)(1, 1));
  CHECK(across > 0.3);
  CHECK(across < 0.8);
}

TEST_CASE("ties of one sigma that cross at an angle are worth sigma over its sine across") {
  // Two ties of equal length: angle at the point is 2 atan(base / 2h); along the bisector sigma / (sqrt 2 cos(half)).
  const double half = 20 * degree, r = 10;
  ErrorSources sources;
  const TieFix fix =
      fix_by_ties({exact(-r * std::sin(half), 0, r, 0.03), exact(r * std::sin(half), 0, r, 0.03)}, sources);
  const PlanCovariance c = covariance(fix.solutions[0].point);
  CHECK(std::sqrt(c(0, 0)) == Approx(0.03 / (std::sqrt(2) * std::sin(half))).epsilon(1e-3));
  CHECK(std::sqrt(c(1, 1)) == Approx(0.03 / (std::sqrt(2) * std::cos(half))).epsilon(1e-3));
}

TEST_CASE("corners that are off together shift the tied point, and do not swing it") {
  ErrorSources sources;
  const ErrorSource east = sources.fresh();
  UncertainPoint a{{0, 0}, {}, {}}, b{{1, 0}, {}, {}};
  add_error(a, east, {0.5, 0});
  add_error(b, east, {0.5, 0});
  const TieFix fix = fix_by_ties({{a, 10, 1e-6}, {b, 10, 1e-6}}, sources);
  const PlanCovariance c = covariance(fix.solutions[0].point);
  CHECK(std::sqrt(c(0, 0)) == Approx(0.5).epsilon(1e-3));
  CHECK(std::sqrt(c(1, 1)) < 1e-2);
}

// The steps of the adjustment cannot become smaller than what such coordinates can hold, about a nanometre.
TEST_CASE("three ties settle where northings have seven digits before the point") {
  std::mt19937 random(7);
  std::uniform_real_distribution<double> within_a_lot(-15, 15);
  for (int i = 0; i < 200; ++i) {
    ErrorSources sources;
    const PlanPoint truth{503100 + within_a_lot(random), 6950400 + within_a_lot(random)};
    std::vector<TapedTie> ties;
    for (int k = 0; k < 3; ++k) {
      const PlanPoint corner{503100 + within_a_lot(random), 6950400 + within_a_lot(random)};
      ties.push_back({sources.round(corner, 0.03), distance(corner, truth) + 0.002 * within_a_lot(random), 0.03});
    }
    CHECK_FALSE(fix_by_ties(ties, sources).solutions.empty());
  }
}

TEST_CASE("ties that do not meet leave their point in the gap, nearer to the surer one") {
  ErrorSources sources;
  const TieFix apart = fix_by_ties({exact(0, 0, 4, 0.1), exact(10, 0, 5, 0.2)}, sources);
  CHECK(apart.gap == Approx(1));
  CHECK(apart.gap_sigma == Approx(std::hypot(0.1, 0.2)));
  CHECK(apart.solutions[0].point.at.e == Approx(4.2));
  const TieFix inside = fix_by_ties({exact(0, 0, 10, 0.1), exact(2, 0, 7, 0.1)}, sources);
  CHECK(inside.gap == Approx(1));
  CHECK(inside.solutions[0].point.at.e == Approx(9.5));
  const TieFix inside_other = fix_by_ties({exact(2, 0, 7, 0.1), exact(0, 0, 10, 0.1)}, sources);
  CHECK(inside_other.solutions[0].point.at.e == Approx(9.5));
}
