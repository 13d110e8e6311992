#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>

#include "measure/bearing.hpp"
#include "simulate/baseline.hpp"
#include "simulate/lateral.hpp"

using namespace swingtie;
using namespace swingtie::simulate;

namespace {

PlanPoint plan_of(const Eigen::Vector3d& p) {
  return {p.x(), p.y()};
}

/// Distances from each locate of the notes to where the sonde really was.
std::vector<double> misses(const Lateral& lateral, const Placed& notes) {
  std::vector<double> result;
  for (std::size_t r = 0; r < notes.runs.size(); ++r)
    for (const Locate& locate : notes.runs[r].locates)
      result.push_back(distance(locate.position.at,
                                plan_of(lateral.truth.at(r, {locate.at.metres - notes.runs[r].sonde_behind_lens}))));
  return result;
}

}  // namespace

TEST_CASE("every scenario makes laterals whose corrected notes fit the truth") {
  for (const Scenario& scenario : scenarios()) {
    CAPTURE(scenario.name);
    for (std::uint64_t seed = 1; seed <= 30; ++seed) {
      CAPTURE(seed);
      const Lateral lateral = make_lateral(scenario, seed);
      REQUIRE(lateral.placed.runs.size() == lateral.truth.runs.size());
      const double depth = scenario.deepest + 3;
      for (const double miss : misses(lateral, lateral.told)) CHECK(miss < 2.5 * scenario.within + 0.6 * depth);
      for (std::size_t r = 0; r < lateral.told.runs.size(); ++r) {
        const Run& run = lateral.told.runs[r];
        const TrueRun& really = lateral.truth.runs[r];
        CHECK(distance(run.access.at, plan_of(lateral.truth.lines[run.line].at(really.entry))) < 1.0);
        CHECK(std::is_sorted(run.log.begin(), run.log.end(), [](auto& a, auto& b) { return a.at < b.at; }));
        for (const LogItem& item : run.log) {
          if (!item.bend) continue;
          // The noted bend lies where the pipe bends, as the camera travels.
          const double at = really.distance(item.at.metres) + really.sense * run.view_ahead;
          const bool there = std::any_of(lateral.truth.lines[run.line].bends.begin(),
                                         lateral.truth.lines[run.line].bends.end(), [&](const TrueBend& b) {
                                           Hand hand = b.hand;
                                           if (really.sense < 0 && hand == Hand::left)
                                             hand = Hand::right;
                                           else if (really.sense < 0 && hand == Hand::right)
                                             hand = Hand::left;
                                           return std::abs(b.distance - at) < 0.4 && hand == *item.bend->hand;
                                         });
          CHECK(there);
        }
      }
      for (const TrueLine& line : lateral.truth.lines)
        for (const Eigen::Vector3d& v : line.vertices) CHECK(lateral.lawn.height(v.x(), v.y()) - v.z() > 0.3);
    }
  }
}

TEST_CASE("a lateral is the same each time, and its mistakes leave the rest alone") {
  const Lateral a = make_lateral(*find_scenario("blunders"), 5), b = make_lateral(*find_scenario("blunders"), 5);
  REQUIRE(a.placed.runs[0].locates.size() == b.placed.runs[0].locates.size());
  CHECK(a.placed.runs[0].locates[0].position.at.e == b.placed.runs[0].locates[0].position.at.e);
  Scenario sound = *find_scenario("blunders");
  sound.blunder = 0;
  const Lateral c = make_lateral(sound, 5);
  CHECK(a.truth.lines[0].vertices.back() == c.truth.lines[0].vertices.back());
  CHECK(a.truth.runs[0].scale == c.truth.runs[0].scale);
}

TEST_CASE("mistakes are made at the stated rates and are as large as stated") {
  int locates = 0, blunders = 0, bends = 0, hands = 0, misread = 0, zeros = 0;
  for (std::uint64_t seed = 1; seed <= 300; ++seed) {
    const Lateral wrong = make_lateral(*find_scenario("blunders"), seed);
    locates += static_cast<int>(wrong.placed.runs[0].locates.size());
    for (const Mistake& mistake : wrong.truth.mistakes) {
      REQUIRE(mistake.what == MistakeKind::wrong_locate);
      ++blunders;
      CHECK(mistake.amount >= 5 * metres_per_foot);
      CHECK(mistake.amount <= 12 * metres_per_foot);
      CHECK(wrong.placed.runs[0].locates[mistake.index].at.metres == mistake.at);
    }
    const Lateral handed = make_lateral(*find_scenario("wrong-hands"), seed);
    for (const LogItem& item : handed.placed.runs[0].log)
      if (item.bend && (*item.bend->hand == Hand::left || *item.bend->hand == Hand::right)) ++bends;
    hands += static_cast<int>(handed.truth.mistakes.size());
    misread += static_cast<int>(make_lateral(*find_scenario("misread"), seed).truth.mistakes.size());
    zeros += static_cast<int>(make_lateral(*find_scenario("not-zeroed"), seed).truth.mistakes.size());
  }
  CHECK(blunders == Approx(0.10 * locates).margin(4 * std::sqrt(0.09 * locates)));
  CHECK(hands == Approx(0.15 * bends).margin(4 * std::sqrt(0.1275 * bends)));
  CHECK(misread == Approx(150).margin(4 * std::sqrt(75.0)));
  CHECK(zeros == Approx(150).margin(4 * std::sqrt(75.0)));
}

TEST_CASE("joined locates pass through their points, straight and smooth") {
  Run run;
  run.access.at = {0, 0};
  for (const auto& [at, e, n] : {std::tuple{10.0, 1.0, 9.0}, {20.0, 4.0, 17.0}, {30.0, 4.0, 26.0}}) {
    Locate locate;
    locate.at.metres = at;
    locate.position.at = {e, n};
    run.locates.push_back(locate);
  }
  const JoinedLocates joined(run);
  for (const Locate& locate : run.locates) {
    CHECK(distance(joined.straight(locate.at), locate.position.at) < 1e-12);
    CHECK(distance(joined.smooth(locate.at), locate.position.at) < 1e-12);
  }
  CHECK(distance(joined.straight({15}), {2.5, 13}) < 1e-12);
  CHECK(distance(joined.straight({35}), {4, 30.5}) < 1e-12);
  // A natural cubic spline of points on a straight line is that line.
  Run even = run;
  for (std::size_t i = 0; i < 3; ++i) even.locates[i].position.at = {0.5 * even.locates[i].at.metres, 0};
  CHECK(distance(JoinedLocates(even).smooth({17}), {8.5, 0}) < 1e-9);
  CHECK(distance(JoinedLocates(even).smooth({33}), {16.5, 0}) < 1e-4);
}
