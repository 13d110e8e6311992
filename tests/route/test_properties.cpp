#include <algorithm>
#include <catch2/catch.hpp>
#include <chrono>
#include <cmath>

#include "route/lot.hpp"
#include "route/posterior.hpp"

namespace swingtie {
namespace {

PlanPoint moved(PlanPoint p, double turn, PlanVector by) {
  return PlanPoint{std::cos(turn) * p.e + std::sin(turn) * p.n, -std::sin(turn) * p.e + std::cos(turn) * p.n} + by;
}

Placed moved(Placed placed, double turn, PlanVector by) {
  for (Run& run : placed.runs) {
    run.access.at = moved(run.access.at, turn, by);
    for (Locate& locate : run.locates) {
      locate.position.at = moved(locate.position.at, turn, by);
      if (locate.direction) locate.direction->radians += turn;
    }
  }
  return placed;
}

PlanPoint mean_at(const Posterior& posterior, double counter) {
  const Eigen::Vector3d m = posterior.at_counter(0, {counter}, Sight::lens).mean();
  return {m.x(), m.y()};
}

/// The same inspection pushed upstream from the other end of bent_lot().
Placed reversed_lot() {
  Placed placed = bent_lot();
  Run& run = placed.runs[0];
  const double length = 22;
  run.toward = Travel::toward_house;
  std::swap(run.access.at, run.locates.back().position.at);
  std::swap(run.access.covariance, run.locates.back().position.covariance);
  for (LogItem& item : run.log) {
    if (item.bend) {
      item.at.metres = length - item.at.metres;
      item.bend->hand = *item.bend->hand == Hand::left ? Hand::right : Hand::left;
    }
  }
  run.locates.back().at.metres = 0;
  for (Locate& locate : run.locates) locate.at.metres = length - locate.at.metres;
  for (Locate& locate : run.locates) locate.depth = {};
  std::reverse(run.locates.begin(), run.locates.end());
  return placed;
}

}  // namespace

TEST_CASE("turning and moving the lot turns and moves the answer, over a false northing of thousands of kilometres") {
  const Posterior here = solve(bent_lot());
  const double turn = 2.1;
  const PlanVector by{612345.6, 6004321.5};
  const Posterior there = solve(moved(bent_lot(), turn, by));
  REQUIRE(here.alternatives.size() == there.alternatives.size());
  for (const double counter : {3.0, 10.0, 16.0, 22.0}) {
    CHECK(distance(moved(mean_at(here, counter), turn, by), mean_at(there, counter)) < 1e-4);
    CHECK(
        here.at_counter(0, {counter}, Sight::lens).covariance().topLeftCorner<2, 2>().trace() ==
        Approx(there.at_counter(0, {counter}, Sight::lens).covariance().topLeftCorner<2, 2>().trace()).epsilon(1e-3));
  }
}

TEST_CASE("the order of log entries and locates at one counter does not matter") {
  Placed one = bent_lot(), other = bent_lot();
  Locate again = one.runs[0].locates[1];
  again.position.at.e += 0.1;
  one.runs[0].locates.insert(one.runs[0].locates.begin() + 1, again);
  other.runs[0].locates.insert(other.runs[0].locates.begin() + 2, again);
  const Posterior a = solve(one), b = solve(other);
  for (const double counter : {4.0, 12.0, 20.0}) CHECK(distance(mean_at(a, counter), mean_at(b, counter)) < 1e-4);
}

TEST_CASE("a run pushed the other way, left and right exchanged, gives the same route") {
  Placed down = bent_lot();
  for (Locate& locate : down.runs[0].locates) locate.depth = {};
  SolveOptions options;
  options.explain = false;
  const Posterior a = solve(down, options), b = solve(reversed_lot(), options);
  for (const double counter : {3.0, 8.0, 13.0, 19.0})
    CHECK(distance(mean_at(a, counter), mean_at(b, 22 - counter)) < 0.12);
}

TEST_CASE("the same job gives the same draws, and they have the mixture's mean and spread") {
  const Placed placed = bent_lot();
  SolveOptions options;
  options.draws = 4000;
  const Posterior a = solve(placed, options), b = solve(placed, options);
  REQUIRE(a.draws.size() == 4000);
  Eigen::Vector2d sum = Eigen::Vector2d::Zero();
  double squares = 0;
  for (std::size_t i = 0; i < a.draws.size(); ++i) {
    const SitePoint p = point_at(a.draws[i], placed, 0, {16}, Sight::lens);
    const SitePoint q = point_at(b.draws[i], placed, 0, {16}, Sight::lens);
    REQUIRE(p.e == q.e);
    REQUIRE(p.up == q.up);
    sum += Eigen::Vector2d(p.e, p.n);
    squares += p.e * p.e + p.n * p.n;
  }
  const PointMixture point = a.at_counter(0, {16}, Sight::lens);
  const Eigen::Vector2d mean = sum / 4000;
  const double trace = point.covariance().topLeftCorner<2, 2>().trace();
  CHECK((mean - point.mean().head<2>()).norm() < 4 * std::sqrt(trace / 4000) + 0.01);
  CHECK(squares / 4000 - mean.squaredNorm() == Approx(trace).epsilon(0.15));
  std::vector<double> share(a.alternatives.size());
  for (const RouteDraw& draw : a.draws) share[draw.alternative] += 1.0 / 4000;
  for (std::size_t t = 0; t < share.size(); ++t)
    CHECK(share[t] == Approx(a.alternatives[t].probability).margin(0.001));
}

TEST_CASE("a further locate never enlarges the linearised covariance") {
  Placed fewer = bent_lot();
  fewer.runs[0].locates.erase(fewer.runs[0].locates.begin() + 2);
  SolveOptions options;
  options.explain = false;
  const Posterior a = solve(fewer, options), b = solve(bent_lot(), options);
  for (const double counter : {3.0, 12.0, 16.0, 20.0, 22.0})
    CHECK(b.at_counter(0, {counter}, Sight::lens).covariance().topLeftCorner<2, 2>().trace() <
          1.02 * a.at_counter(0, {counter}, Sight::lens).covariance().topLeftCorner<2, 2>().trace());
}

TEST_CASE("the quality of a locate counts its depth as well as its place") {
  SolveOptions options;
  options.explain = false;
  const Posterior sound = solve(bent_lot(), options);
  for (const LocateResidual& residual : sound.residuals) CHECK(residual.quality > 0.5);
  Placed placed = bent_lot();
  *placed.runs[0].locates[1].depth.along += 1.2;
  CHECK(solve(placed, options).residuals[1].quality < 1e-4);
  placed = bent_lot();
  placed.runs[0].locates[2].position.at.e += 1.5;
  CHECK(solve(placed, options).residuals[2].quality < 1e-4);
  // With the search on, the locate is held for wrong, takes no part in the fit, and still does not belong to it.
  CHECK(solve(placed).residuals[2].quality < 1e-4);
}

TEST_CASE("stations, counters and draws speak of the same places") {
  const Placed placed = bent_lot();
  const Posterior posterior = solve(placed);
  const RouteDraw& draw = posterior.draws.front();
  const Station station = station_at(draw, placed, 0, {15}, Sight::lens);
  const SitePoint by_station = point_at(draw, 0, station), by_counter = point_at(draw, placed, 0, {15}, Sight::lens);
  CHECK(distance(plan(by_station), plan(by_counter)) < 1e-9);
  CHECK(posterior.lines[0].front().station.metres == 0);
  CHECK(posterior.lines[0].back().station.metres == Approx(22).margin(0.6));
}

}  // namespace swingtie
