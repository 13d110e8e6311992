#include "findings/ties.hpp"

#include <catch2/catch.hpp>
#include <cmath>

#include "findings/geometry.hpp"
#include "findings/lot.hpp"
#include "measure/bearing.hpp"
#include "measure/covariance.hpp"

using namespace swingtie;
using namespace swingtie::test;

namespace {

const Viewer from_south{1, {0}, true};

/// Where two tapes meet, the point nearer `about`: half-chord construction on the base of length d,
/// a = (r1^2 - r2^2 + d^2) / 2d, h = sqrt(r1^2 - a^2).
PlanPoint meet(const SwingTie& one, double r1, const SwingTie& two, double r2, PlanPoint about) {
  const PlanVector base = two.fixed - one.fixed;
  const double d = length(base), a = (r1 * r1 - r2 * r2 + d * d) / (2 * d);
  const double h = std::sqrt(std::max(0.0, r1 * r1 - a * a));
  const PlanPoint foot = one.fixed + (a / d) * base;
  const PlanVector up = (h / d) * right_of(base);
  return distance(foot + up, about) < distance(foot - up, about) ? foot + up : foot - up;
}

}  // namespace

// The covariance of two crossing tapes: sigma / sin(angle) across, by error propagation on the two circles
// (weak geometry near 0 and 180 degrees).
TEST_CASE("two tapes at right angles fix a point to their own error, at 30 degrees to twice it across") {
  const double s = 0.03;
  const auto square = fix_of({{1, 0}, {0, 1}}, {s, s});
  CHECK(square(0, 0) == Approx(s * s));
  CHECK(square(1, 1) == Approx(s * s));
  CHECK(square(0, 1) == Approx(0).margin(1e-15));
  const Azimuth thirty{30 * degree};
  const auto sharp = fix_of({{0, 1}, {direction(thirty).de, direction(thirty).dn}}, {s, s});
  CHECK(sharp.trace() == Approx(2 * s * s / std::pow(std::sin(30 * degree), 2)));
  CHECK(fix_of({{1, 0}, {-1, 0}}, {s, s}).trace() > 1e5);
}

TEST_CASE("swing ties measured with the stated tape error put the finder within the stated radius") {
  const Placed lot = plain_lot();
  const TieOptions options;
  Normal normal(5);
  for (const PlanPoint target : {PlanPoint{1, -8}, PlanPoint{-3, -3}, PlanPoint{4, -13}}) {
    const TieSet set = swing_ties(lot, from_south, target, "dig point", {}, options);
    REQUIRE(set.ties.size() >= 2);
    int within = 0;
    constexpr int finders = 4000;
    for (int i = 0; i < finders; ++i) {
      const PlanPoint found = meet(set.ties[0], set.ties[0].distance + normal(options.tape_sigma), set.ties[1],
                                   set.ties[1].distance + normal(options.tape_sigma), target);
      within += distance(found, target) <= set.finder_radius95 ? 1 : 0;
    }
    CHECK(within / static_cast<double>(finders) == Approx(0.95).margin(0.015));
  }
}

TEST_CASE("no better pair of ties exists among the points a tape can reach") {
  const Placed lot = plain_lot();
  const PlanPoint target{1, -8};
  const TieSet set = swing_ties(lot, from_south, target, "", {});
  // Plainly, over the three points in sight (the house's far corners are behind it).
  const std::vector<PlanPoint> fixed{{-6, 0}, {6, 0}, {11, -13.5}};
  double best = 1e9;
  for (std::size_t i = 0; i < fixed.size(); ++i) {
    for (std::size_t j = i + 1; j < fixed.size(); ++j) {
      const PlanVector u = (1 / distance(fixed[i], target)) * (target - fixed[i]);
      const PlanVector v = (1 / distance(fixed[j], target)) * (target - fixed[j]);
      best = std::min(best, circle_radius(fix_of({u, v}, {0.03048, 0.03048}), 0.95));
    }
  }
  // Long tapes count as a little worse, so the choice may lose a few per cent of radius for shorter tapes.
  CHECK(set.finder_radius95 < 1.1 * best);
}

TEST_CASE("a tape goes neither through the house nor beyond its reach") {
  Placed lot = plain_lot();
  const TieSet set = swing_ties(lot, from_south, {1, -8}, "", {});
  for (const SwingTie& tie : set.ties) {
    CHECK(tie.from != "house.ne");
    CHECK(tie.from != "house.nw");
  }
  TieOptions short_tape;
  short_tape.reach = 11;
  for (const SwingTie& tie : swing_ties(lot, from_south, {1, -8}, "", {}, short_tape).ties) CHECK(tie.distance <= 11);
}

TEST_CASE("the two tapes never meet at less than 30 degrees when a better pair is in reach") {
  Placed lot = plain_lot();
  for (double e = -8; e <= 8; e += 2) {
    for (double n = -11; n <= -2; n += 3) {
      const TieSet set = swing_ties(lot, from_south, {e, n}, "", {});
      REQUIRE(set.ties.size() >= 2);
      const PlanVector a = set.target - set.ties[0].fixed, b = set.target - set.ties[1].fixed;
      const double angle = std::acos(dot(a, b) / length(a) / length(b));
      CHECK(angle > 29.9 * degree);
      CHECK(angle < 150.1 * degree);
    }
  }
}

TEST_CASE("a third tape checks the two: an error of a foot in one of them shows in it") {
  const Placed lot = plain_lot();
  const PlanPoint target{1, -8};
  const TieSet set = swing_ties(lot, from_south, target, "", {});
  REQUIRE(set.ties.size() == 3);
  REQUIRE(set.ties[2].check);
  for (const int wrong : {0, 1}) {
    const PlanPoint found = meet(set.ties[0], set.ties[0].distance + (wrong == 0 ? metres_per_foot : 0), set.ties[1],
                                 set.ties[1].distance + (wrong == 1 ? metres_per_foot : 0), target);
    CHECK(std::abs(distance(found, set.ties[2].fixed) - set.ties[2].distance) > set.check_tolerance);
  }
}

TEST_CASE("tie distances are printed to the inch in feet and to the centimetre in metres") {
  Placed lot = plain_lot();
  CHECK(swing_ties(lot, from_south, {1, -8}, "", {}).ties[0].tape.find('\'') != std::string::npos);
  lot.unit = LengthUnit::metre;
  const TieSet set = swing_ties(lot, from_south, {1, -8}, "", {});
  for (const SwingTie& tie : set.ties) {
    CHECK(tie.tape.substr(tie.tape.size() - 2) == " m");
    CHECK(std::stod(tie.tape) == Approx(tie.distance).margin(0.0051));
  }
}

TEST_CASE("offset words name the wall that faces the street, left and right as seen from outside") {
  const Placed lot = plain_lot();
  const PlanPoint target{1, -8};  // 8 m in front of the house, 7 m from its west corner: 26'3" and 23'0"
  CHECK(
      offset_words(lot, from_south, target) ==
      "26'3\" out from the front wall of the house, 23'0\" right of its left corner (facing that wall from outside)");
  // From behind the house left and right change places.
  CHECK(
      offset_words(lot, from_south, {1, 11}) ==
      "9'10\" out from the back wall of the house, 16'5\" right of its left corner (facing that wall from outside)");
  CHECK(offset_words(lot, from_south, {8, 3}) ==
        "6'7\" out from the right-hand wall of the house, 9'10\" right of its left corner (facing that wall from "
        "outside)");
  CHECK(offset_words(lot, from_south, {0, 4}).empty() == false);  // inside the house: from another line
}

TEST_CASE("where two walls face the same way the words tell which one is meant by its length") {
  Placed lot = plain_lot();
  // An ell: its right half stands 3 m farther back.
  lot.features[1] = area_feature("house", FeatureKind::house, {{-6, 0}, {2, 0}, {2, 3}, {6, 3}, {6, 8}, {-6, 8}});
  CHECK(offset_words(lot, from_south, {1, -8}) ==
        "26'3\" out from the front wall of the house (the one 26'3\" long), 23'0\" right of its left corner (facing "
        "that wall from outside)");
  CHECK(offset_words(lot, from_south, {1, 11}).find("the back wall of the house, ") != std::string::npos);
}

TEST_CASE("the distances to a point without draws have intervals from its covariance, along each tape") {
  const Placed lot = plain_lot();
  TieSet set = swing_ties(lot, from_south, {1, -8}, "", {});
  PlanCovariance spread = PlanCovariance::Zero();
  spread(1, 1) = 0.2 * 0.2;
  state_intervals(set, spread);
  for (const SwingTie& tie : set.ties) {
    const double share = std::abs(tie.fixed.n - set.target.n) / tie.distance;  // of north in the tape's direction
    CHECK(tie.distance95.high - tie.distance == Approx(1.959964 * 0.2 * share));
    CHECK(tie.distance - tie.distance95.low == Approx(1.959964 * 0.2 * share));
  }
}

TEST_CASE("without anything to tie to the set is empty rather than invented") {
  Placed bare = plain_lot();
  bare.features.clear();
  const TieSet set = swing_ties(bare, {}, {1, -8}, "", {});
  CHECK(set.ties.empty());
  CHECK(set.offset_words.empty());
}

TEST_CASE("turning and moving the lot leaves the ties as they are") {
  Placed lot = plain_lot();
  const TieSet before = swing_ties(lot, from_south, {1, -8}, "", {});
  const double turn = 1.1;
  const auto moved = [&](PlanPoint p) {
    return PlanPoint{500 + p.e * std::cos(turn) + p.n * std::sin(turn),
                     900 - p.e * std::sin(turn) + p.n * std::cos(turn)};
  };
  for (Feature& f : lot.features) {
    f.point = moved(f.point);
    for (auto& part : f.lines)
      for (PlanPoint& p : part) p = moved(p);
    for (auto& part : f.areas)
      for (PlanPoint& p : part.outer) p = moved(p);
    for (Corner& c : f.corners) c.point.at = moved(c.point.at);
  }
  const TieSet after = swing_ties(lot, {1, {turn}, true}, moved({1, -8}), "", {});
  REQUIRE(after.ties.size() == before.ties.size());
  for (std::size_t i = 0; i < after.ties.size(); ++i) {
    CHECK(after.ties[i].from == before.ties[i].from);
    CHECK(after.ties[i].tape == before.ties[i].tape);
  }
  CHECK(after.offset_words == before.offset_words);
  CHECK(after.side == before.side);
  CHECK(after.finder_radius95 == Approx(before.finder_radius95));
}
