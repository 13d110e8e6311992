#include <catch2/catch.hpp>
#include <cmath>

#include "findings/geometry.hpp"
#include "findings/lot.hpp"
#include "findings/pipes.hpp"
#include "measure/bearing.hpp"

using namespace swingtie;
using namespace swingtie::test;

namespace {

constexpr double ft = metres_per_foot, in = metres_per_inch;

DigFinding dig_of(const Placed& lot, const Spread& spread = {}, const FindingsOptions& options = {}) {
  const Findings findings = find(lot, straight_posterior(lot, spread), options);
  REQUIRE(findings.digs.size() == 1);
  return findings.digs[0];
}

const Footprint& footprint(const DigFinding& dig, std::string_view words) {
  for (const Footprint& f : dig.footprints)
    if (f.sides.find(words) != std::string::npos) return f;
  FAIL("no footprint " << words);
  return dig.footprints.front();
}

const Conflict* conflict(const DigFinding& dig, std::string_view what) {
  for (const Conflict& c : dig.conflicts)
    if (c.what == what) return &c;
  return nullptr;
}

bool asks(const DigFinding& dig, std::string_view words) {
  for (const std::string& t : dig.thresholds)
    if (t.find(words) != std::string::npos) return true;
  return false;
}

Placed with(Placed lot, Feature feature) {
  lot.features.push_back(std::move(feature));
  return lot;
}

}  // namespace

// PVC: ASTM D3034 SDR 35; ABS schedule 40: ASTM D2661; cast iron service weight, barrel.
TEST_CASE("pipe diameters are those of the published tables") {
  const auto check = [](Material material, double nominal, double outside, double inside) {
    const Diameters d = diameters({nominal * in, material, ""});
    CHECK(d.outside / in == Approx(outside).margin(0.0005));
    CHECK(d.inside / in == Approx(inside).margin(0.0005));
  };
  check(Material::pvc, 4, 4.215, 3.975);
  check(Material::pvc, 6, 6.275, 5.915);
  check(Material::abs, 4, 4.500, 3.998);
  check(Material::cast_iron, 4, 4.30, 4.0);
  CHECK(diameters({}).assumed);
  CHECK(diameters({100 * 0.001, Material::pvc, ""}).outside ==
        Approx(4.215 * in));  // the metric name of the same pipe
}

TEST_CASE("depth to the pipe's top and invert follow from the axis and the pipe in the log") {
  const Placed lot = plain_lot();
  const DigFinding dig = dig_of(lot);
  const Findings findings = find(lot, straight_posterior(lot));
  const ItemFinding& item = findings.items[dig.item];
  CHECK(dig.outside == Approx(4.30 * in));
  CHECK(dig.depth_to_top == Approx(item.depth - 2.15 * in));
  CHECK(dig.depth_to_invert == Approx(item.depth + 2 * in));
  CHECK(dig.hole_depth == Approx(item.depth95.high + 2 * in + 6 * in));
}

TEST_CASE("thresholds are those of the deep end of the interval, not of the estimate") {
  const Placed lot = plain_lot();
  Spread spread;
  spread.grade = 0;
  spread.fall = 0;
  // Estimate 1.0 m to the axis: 3.95 ft at the invert with room below. Known to 1 cm that stays under 4 ft; known to
  // 0.2 m its deep end does not.
  spread.mean_depth = 1.0;
  spread.depth = 0.001;
  CHECK_FALSE(asks(dig_of(lot, spread), "ladder"));
  spread.depth = 0.2;
  CHECK(asks(dig_of(lot, spread), "ladder"));
}

// Top width = bottom + 2 z depth (arithmetic on 29 CFR 1926 Subpart P Appendix B, Table B-1).
TEST_CASE("a sloped hole opens by twice its slope times its depth; a box not at all") {
  const DigFinding dig = dig_of(plain_lot());
  const double bottom = distance(dig.bottom[0], dig.bottom[1]);
  for (const auto& [words, slope] :
       std::vector<std::pair<const char*, double>>{{"type A", 0.75}, {"type B", 1.0}, {"type C", 1.5}}) {
    CHECK(footprint(dig, words).length == Approx(bottom + 2 * slope * dig.hole_depth));
    CHECK(footprint(dig, words).slope == slope);
    CHECK(footprint(dig, words).spoil_setback == Approx(2 * ft));
  }
  CHECK(footprint(dig, "shored box").length == Approx(bottom));
  CHECK(footprint(dig, "shored box").volume ==
        Approx(bottom * distance(dig.bottom[1], dig.bottom[2]) * dig.hole_depth));
}

TEST_CASE("soil is type C unless the job says otherwise, and the text says why") {
  Placed lot = plain_lot();
  CHECK(footprint(dig_of(lot), "type C").applies);
  CHECK(dig_of(lot).soil.find("dug before") != std::string::npos);
  lot.digging.soil = Soil::b;
  const DigFinding stated = dig_of(lot);
  CHECK(stated.footprints.front().sides == "sloped, type B soil");
  CHECK(stated.footprints.front().applies);
  CHECK(stated.soil == "type B soil, as the job says");
}

TEST_CASE("the bottom is the window with working room, and never narrower than the bucket") {
  Placed lot = plain_lot();
  const DigFinding dig = dig_of(lot);
  CHECK(distance(dig.bottom[0], dig.bottom[1]) == Approx(std::max(dig.window_length + 2 * ft, 2 * ft)));
  lot.digging.working_room = 0;
  lot.digging.bucket = 5;
  const DigFinding wide = dig_of(lot);
  CHECK(distance(wide.bottom[0], wide.bottom[1]) == Approx(5.0));
  CHECK(distance(wide.bottom[1], wide.bottom[2]) == Approx(5.0));
}

TEST_CASE("a smaller wanted probability gives a smaller window") {
  FindingsOptions half;
  half.sure = 0.5;
  const DigFinding sure = dig_of(plain_lot()), less = dig_of(plain_lot(), {}, half);
  CHECK(less.window_length * less.window_width < sure.window_length * sure.window_width);
  CHECK(less.contains_probability >= 0.5);
  CHECK(less.wanted_probability == 0.5);
}

TEST_CASE("the window lies along the pipe") {
  const DigFinding dig = dig_of(plain_lot());
  CHECK(std::abs(std::remainder(dig.along.radians - pi, 2 * pi)) < 0.01);
  CHECK(std::abs(azimuth(dig.window[0], dig.window[1]).radians - dig.along.radians) < 1e-6);
}

TEST_CASE("without slopes in the rule set there is a box and the words to ask locally") {
  Placed lot = plain_lot();
  lot.digging.rules = "au";
  const DigFinding dig = dig_of(lot);
  REQUIRE(dig.footprints.size() == 1);
  CHECK(dig.footprints[0].sides == "shored box");
  CHECK(dig.soil.find("ask locally") != std::string::npos);
  CHECK(asks(dig, "shored, benched or battered"));
}

TEST_CASE("deeper than 20 ft there is no sloped hole from the table, and an engineer designs") {
  Spread spread;
  spread.mean_depth = 6.2;
  const DigFinding dig = dig_of(plain_lot(), spread);
  CHECK(dig.footprints.size() == 1);
  CHECK(asks(dig, "engineer"));
}

TEST_CASE("a tree whose root zone the hole touches is a conflict, with the share of the hole") {
  Feature tree = point_feature("oak", FeatureKind::tree, {1, -8});
  tree.trunk = 1.0;  // 12 m of root zone: all of the hole
  const DigFinding inside = dig_of(with(plain_lot(), tree));
  REQUIRE(conflict(inside, "root zone") != nullptr);
  CHECK(conflict(inside, "root zone")->share == 1.0);
  tree.point = tree.corners[0].point.at = {25, -8};
  CHECK(conflict(dig_of(with(plain_lot(), tree)), "root zone") == nullptr);
}

TEST_CASE("a share of the hole is its area inside, against plain geometry") {
  // The right-of-way line through the middle of the hole: half of it lies beyond.
  Placed lot = plain_lot();
  const DigFinding before = dig_of(lot);
  lot.features[5] =
      line_feature("row", FeatureKind::right_of_way, {{-25, before.position.n}, {25, before.position.n}});
  const DigFinding dig = dig_of(lot);
  REQUIRE(conflict(dig, "street permit") != nullptr);
  CHECK(conflict(dig, "street permit")->share == Approx(0.5).margin(0.03));
  CHECK(conflict(dig, "street permit")->says.find("permit") != std::string::npos);
}

TEST_CASE("the house influence line falls 45 degrees from the wall: deeper or nearer and it is said") {
  Placed lot = plain_lot();
  CHECK(conflict(dig_of(lot), "house influence line") == nullptr);  // 8 m off, 2.2 m deep
  lot.runs[0].log[1].at = {2.0};                                    // 2 m off
  const DigFinding near = dig_of(lot);
  REQUIRE(conflict(near, "house influence line") != nullptr);
  CHECK(conflict(near, "house influence line")->says.find("engineer") != std::string::npos);
}

// 18 in each side of the edge: Mississippi, Colorado one-call centers. A 6 in pipe: a strip of 42 in.
TEST_CASE("the tolerance zone of a 6 in line is a strip of 42 in") {
  Placed lot = plain_lot();
  lot.digging.working_room = 0;
  lot.digging.bucket = 0;
  lot.digging.soil = Soil::rock;  // upright sides: the hole is the window
  const DigFinding bare = dig_of(lot);
  const double half_width = bare.window_width / 2;
  for (const auto& [gap, hit] : std::vector<std::pair<double, bool>>{{20.0 * in, true}, {21.5 * in, false}}) {
    Feature gas = line_feature("gas", FeatureKind::gas,
                               {{bare.position.e + half_width + gap, 0}, {bare.position.e + half_width + gap, -20}});
    gas.size = 6 * in;
    const DigFinding dig = dig_of(with(lot, gas));
    INFO("gap " << gap / in << " in to the centre line");
    // The grid of the share sees the first inch of the hole's edge.
    CHECK((conflict(dig, "tolerance zone") != nullptr) == hit);
  }
}

TEST_CASE("driveways, walls, hydrants and lot lines in the hole are said") {
  const DigFinding drive =
      dig_of(with(plain_lot(), area_feature("drive", FeatureKind::driveway, {{-1, -15}, {3, -15}, {3, 0}, {-1, 0}})));
  REQUIRE(conflict(drive, "driveway") != nullptr);
  CHECK(conflict(drive, "driveway")->share > 0.3);
  CHECK(conflict(dig_of(with(plain_lot(), point_feature("pole", FeatureKind::pole, {2, -7}))), "pole") != nullptr);
  Placed narrow = plain_lot();
  narrow.features[3] =
      area_feature("lot", FeatureKind::lot, {{-12, -12}, {2, -12}, {2, 20}, {-12, 20}}, {"sw", "se", "ne", "nw"});
  REQUIRE(conflict(dig_of(narrow), "lot line") != nullptr);
}

TEST_CASE("what was left on the ground is repeated where the finder needs it") {
  Placed lot = plain_lot();
  Locate locate;
  locate.at = {8};
  locate.position.at = {1, -8};
  locate.marked = "white stake";
  lot.runs[0].locates = {locate};
  const Findings findings = find(lot, straight_posterior(lot));
  CHECK(findings.digs[0].marked == std::vector<std::string>{"white stake"});
  CHECK(findings.items[1].marked == std::vector<std::string>{"white stake"});
}

TEST_CASE("a mark a few steps along the pipe is told with its distance, the nearest first, one far off not at all") {
  Placed lot = plain_lot();
  for (const auto& [at, words] : {std::pair{3.0, "paint on the walk"}, {9.2, "white stake"}, {18.5, "nail"}}) {
    Locate locate;
    locate.at = {at};
    locate.position.at = {1, -at};
    locate.marked = words;
    lot.runs[0].locates.push_back(locate);
  }
  const std::vector<std::string> marked = dig_of(lot).marked;
  REQUIRE(marked.size() == 2);
  CHECK_THAT(
      marked[0],
      Catch::Matches(
          R"(white stake; it stands 3\.9 ft \(3\.. to 4\..\) from this point along the pipe, toward the main)"));
  CHECK_THAT(
      marked[1],
      Catch::Matches(
          R"(paint on the walk; it stands 16\.4 ft \(15\.. to 16\..\) from this point along the pipe, toward the house)"));
}

TEST_CASE("a shored box is held against what stands in the way on its own") {
  Placed lot = plain_lot();
  // 3 m to the side of the spot: inside a sloped hole, outside a box of a metre and a half.
  lot.features.push_back(point_feature("pole", FeatureKind::pole, {4, -8}));
  const DigFinding dig = dig_of(lot);
  const auto meets = [](const std::vector<Conflict>& conflicts, std::string_view what) {
    return std::any_of(conflicts.begin(), conflicts.end(), [&](const Conflict& c) { return c.what == what; });
  };
  CHECK(meets(dig.conflicts, "pole"));
  CHECK_FALSE(meets(dig.box_conflicts, "pole"));
}
