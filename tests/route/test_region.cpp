#include <Eigen/Dense>
#include <catch2/catch.hpp>
#include <cmath>

#include "measure/bearing.hpp"
#include "route/posterior.hpp"
#include "route/random.hpp"

namespace swingtie {
namespace {

PointMixture::Term term(double weight, double e, double n, double sigma_e, double sigma_n) {
  PointMixture::Term t;
  t.weight = weight;
  t.mean = {e, n, 0};
  t.covariance.diagonal() << sigma_e * sigma_e, sigma_n * sigma_n, 0.01;
  return t;
}

bool inside(const Region& region, PlanPoint p) {
  bool in = false;
  for (const auto& ring : region)
    for (std::size_t i = 0, j = ring.size() - 1; i < ring.size(); j = i++)
      if ((ring[i].n > p.n) != (ring[j].n > p.n) &&
          p.e < (ring[j].e - ring[i].e) * (p.n - ring[i].n) / (ring[j].n - ring[i].n) + ring[i].e)
        in = !in;
  return in;
}

double signed_area(const std::vector<PlanPoint>& ring) {
  double twice = 0;
  for (std::size_t i = 0, j = ring.size() - 1; i < ring.size(); j = i++)
    twice += ring[j].e * ring[i].n - ring[i].e * ring[j].n;
  return twice / 2;
}

double held(const PointMixture& mixture, const Region& region) {
  Random random(1);
  int in = 0;
  constexpr int count = 40000;
  for (int i = 0; i < count; ++i) {
    double pick = random.uniform();
    std::size_t k = 0;
    while (k + 1 < mixture.terms.size() && pick > mixture.terms[k].weight) pick -= mixture.terms[k++].weight;
    const auto& t = mixture.terms[k];
    const Eigen::Matrix2d root = t.covariance.topLeftCorner<2, 2>().llt().matrixL();
    const Eigen::Vector2d p = t.mean.head<2>() + root * Eigen::Vector2d(random.normal(), random.normal());
    in += inside(region, {p.x(), p.y()});
  }
  return in / static_cast<double>(count);
}

}  // namespace

TEST_CASE("the region of one Gaussian is its error ellipse") {
  const PointMixture point{{term(1, 100, 200, 2, 0.5)}};
  const Region region = highest_density_region(point, 0.95);
  REQUIRE(region.size() == 1);
  // 2.448: square root of the chi-square 95 % quantile with 2 degrees of freedom, 5.991 (NIST e-Handbook 1.3.6.7.4).
  CHECK(signed_area(region[0]) == Approx(pi * 5.991 * 2 * 0.5).epsilon(0.01));
  CHECK(held(point, region) == Approx(0.95).margin(0.004));
}

TEST_CASE("the region of a mixture holds what it promises, in as many rings as there are modes") {
  SECTION("two routes far apart") {
    const PointMixture point{{term(0.6, 0, 0, 1, 0.3), term(0.4, 12, 3, 0.4, 0.8)}};
    const Region region = highest_density_region(point, 0.95);
    CHECK(region.size() == 2);
    for (const auto& ring : region) CHECK(signed_area(ring) > 0);
    CHECK(held(point, region) == Approx(0.95).margin(0.006));
  }
  SECTION("two that overlap") {
    const PointMixture point{{term(0.7, 0, 0, 1, 0.3), term(0.3, 1.5, 0.4, 0.4, 0.8)}};
    const Region region = highest_density_region(point, 0.95);
    CHECK(region.size() == 1);
    CHECK(held(point, region) == Approx(0.95).margin(0.006));
  }
  SECTION("a rival too unlikely to matter is left out") {
    const PointMixture point{{term(0.97, 0, 0, 1, 1), term(0.03, 30, 0, 1, 1)}};
    CHECK(highest_density_region(point, 0.95).size() == 1);
  }
  SECTION("a narrow spike on a broad hill") {
    const PointMixture point{{term(0.5, 0, 0, 3, 3), term(0.5, 1, 1, 0.05, 0.05)}};
    CHECK(held(point, highest_density_region(point, 0.95)) == Approx(0.95).margin(0.01));
  }
}

TEST_CASE("mean and covariance of a mixture count the spread between its terms") {
  const PointMixture point{{term(0.5, -2, 0, 1, 1), term(0.5, 2, 0, 1, 1)}};
  CHECK(point.mean().x() == Approx(0).margin(1e-12));
  CHECK(point.covariance()(0, 0) == Approx(5));
  CHECK(point.covariance()(1, 1) == Approx(1));
}

}  // namespace swingtie
