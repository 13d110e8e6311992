// What stands above, trees, separations, grades, fittings and follow-ups.
#include <catch2/catch.hpp>
#include <cmath>

#include "findings/dates.hpp"
#include "findings/lot.hpp"
#include "measure/bearing.hpp"
#include "measure/covariance.hpp"

using namespace swingtie;
using namespace swingtie::test;

namespace {

constexpr double ft = metres_per_foot, in = metres_per_inch;

bool says(const std::vector<std::string>& lines, std::string_view words) {
  for (const std::string& line : lines)
    if (line.find(words) != std::string::npos) return true;
  return false;
}

Feature tree_at(PlanPoint at, double trunk) {
  Feature tree = point_feature("linden", FeatureKind::tree, at);
  tree.trunk = trunk;
  return tree;
}

Findings with(Placed lot, Feature feature, const Spread& spread = {}) {
  lot.features.push_back(std::move(feature));
  return find(lot, straight_posterior(lot, spread));
}

}  // namespace

TEST_CASE("a growth under a tree is probably roots, under bare lawn it is less likely so") {
  Placed lot = plain_lot();
  lot.runs[0].log[1].what = "fine growth at the joint";
  CHECK(says(with(lot, tree_at({3, -8}, 0.5)).items[1].says, "probably roots"));
  CHECK(says(with(lot, tree_at({3, -8}, 0.5)).items[1].says, "from the trunk"));
  CHECK(says(with(lot, tree_at({-24, 18}, 0.3)).items[1].says, "less likely"));
  // With no tree drawn at all nothing is read into its absence.
  CHECK(find(lot, straight_posterior(lot)).items[1].says.empty());
}

TEST_CASE("a possible root at the edge of a root zone stays only possible") {
  Placed lot = plain_lot();
  lot.runs[0].log[1].what = "fine growth at the joint";
  // Root zone 12 x 0.5 = 6 m; the trunk 6.05 m from the item: inside with well under a half.
  const Findings findings = with(lot, tree_at({7.05, -8}, 0.5));
  CHECK(says(findings.items[1].says, "possibly roots"));
}

TEST_CASE("a tree that hardly reaches the spot is only told as a perhaps, whatever was seen there") {
  for (const char* what : {"roots through the joint", "joint offset 1 in"}) {
    Placed lot = plain_lot();
    lot.runs[0].log[1].what = what;
    const Findings findings = with(lot, tree_at({7.05, -8}, 0.5));
    CHECK(says(findings.items[1].says, "Perhaps the spot lies in the root zone"));
    CHECK_FALSE(says(findings.items[1].says, "Roots fit"));
    CHECK_FALSE(says(findings.items[1].says, "invites roots"));
  }
}

TEST_CASE("`no roots` is not read as roots") {
  Placed lot = plain_lot();
  lot.runs[0].log[1].what = "joint open, no roots";
  const Findings findings = with(lot, tree_at({3, -8}, 0.5));
  CHECK(says(findings.items[1].says, "invites roots"));
  CHECK_FALSE(says(findings.items[1].says, "Roots fit"));
}

TEST_CASE("what stands above an item comes with the probability of the draws") {
  Placed lot = plain_lot();
  lot.features.push_back(area_feature("drive", FeatureKind::driveway, {{1, -15}, {5, -15}, {5, 0}, {1, 0}}));
  Posterior posterior = straight_posterior(lot);
  const Findings findings = find(lot, posterior);
  const ItemFinding& item = findings.items[1];
  const auto above = std::find_if(item.above.begin(), item.above.end(),
                                  [&](const Above& a) { return lot.features[a.feature].id == "drive"; });
  REQUIRE(above != item.above.end());
  CHECK(above->relation == "under");
  // The driveway's edge runs through the estimate: about half.
  CHECK(above->probability == Approx(0.5).margin(0.06));
  CHECK(says(item.says, "under the drive"));
}

TEST_CASE("an item beyond the right-of-way line says so with its probability") {
  const Placed lot = plain_lot();
  const Findings findings = find(lot, straight_posterior(lot));
  const auto& above = findings.items[3].above;
  const auto beyond = std::find_if(above.begin(), above.end(), [](const Above& a) { return a.relation == "beyond"; });
  REQUIRE(beyond != above.end());
  CHECK(beyond->probability > 0.99);
  CHECK(beyond->distance == Approx(7).margin(0.2));
}

// Concrete mostly begins near the right-of-way: common practice, no source.
TEST_CASE("a change to concrete is compared with the crossing") {
  Placed lot = plain_lot();
  lot.runs[0].log[2].pipe = Pipe{6 * in, Material::concrete, "6 in concrete"};
  CHECK(says(find(lot, straight_posterior(lot)).items[2].says, "the two agree"));
  CHECK(says(find(lot, straight_posterior(lot)).items[2].says, "common practice, no source"));
  lot.runs[0].log[2].at = {4};
  CHECK(says(find(lot, straight_posterior(lot)).items[2].says, "not near it"));
}

TEST_CASE("the distance from a trunk to the line is that of plain geometry") {
  Spread certain;
  certain.start = certain.heading = certain.scale = certain.zero = 1e-9;
  const Findings findings = with(plain_lot(), tree_at({4, -8}, 16 * in), certain);
  REQUIRE(findings.trees.size() == 1);
  const TreeFinding& tree = findings.trees[0];
  CHECK(tree.distance == Approx(3).margin(1e-6));
  CHECK(tree.nearest.metres == Approx(8).margin(1e-6));
  CHECK(tree.root_zone == Approx(16 * ft));
  CHECK(tree.inside_probability == 1.0);
  CHECK(tree.closer_probability == 1.0);  // 3 m: nearer than 10 ft
  CHECK(tree.says.find("closer than the 10.0 ft") != std::string::npos);
  CHECK(tree.says.find("common practice, no source") != std::string::npos);
}

TEST_CASE("10 ft between tree and sewer at its edges: 9.9 ft is closer, 10.1 ft is not") {
  Spread certain;
  certain.start = certain.heading = certain.scale = certain.zero = 1e-9;
  CHECK(with(plain_lot(), tree_at({1 + 9.9 * ft, -8}, 6 * in), certain).trees[0].closer_probability == 1.0);
  CHECK(with(plain_lot(), tree_at({1 + 10.1 * ft, -8}, 6 * in), certain).trees[0].closer_probability == 0.0);
}

// Ten States Standards 8.8: 10 ft on the level.
TEST_CASE("water at 10.1 ft keeps the published separation, at 9.9 ft it does not") {
  Spread certain;
  certain.start = certain.heading = certain.scale = certain.zero = 1e-9;
  const auto water = [&](double away) {
    return with(plain_lot(), line_feature("water", FeatureKind::water, {{1 + away, 0}, {1 + away, -25}}), certain)
        .separations;
  };
  REQUIRE(water(9.9 * ft).size() == 1);
  CHECK(water(9.9 * ft)[0].closer_probability == 1.0);
  CHECK(water(9.9 * ft)[0].says.find("Ten States") != std::string::npos);
  CHECK(water(10.1 * ft)[0].closer_probability == 0.0);
  CHECK(water(10.1 * ft)[0].distance == Approx(10.1 * ft).margin(1e-6));
  CHECK(water(60 * ft).empty());
}

TEST_CASE("where a line crosses, the height between the two is told") {
  Feature water = line_feature("water", FeatureKind::water, {{-10, -10}, {10, -10}});
  water.depth = 0.5;
  water.size = 1 * in;
  const Findings findings = with(plain_lot(), water);
  REQUIRE(findings.separations.size() == 1);
  const SeparationFinding& s = findings.separations[0];
  CHECK(s.crosses_probability == 1.0);
  CHECK(s.distance == 0.0);
  REQUIRE(s.vertical.has_value());
  // Axis 1.6 + 10 x 2 % = 1.8 m, less half of 4.3 in, less 0.5 m and an inch.
  CHECK(*s.vertical == Approx(1.8 - 2.15 * in - 0.5 - 1 * in).margin(0.02));
  CHECK(s.says.find("above its top") != std::string::npos);
}

namespace {

GradeFinding grade_with(double fall, double sigma) {
  Placed lot = plain_lot();
  Locate locate;
  locate.at = {18.9};
  locate.position.at = {1, -18.9};
  locate.depth.along = 1.5;
  lot.runs[0].locates = {locate};
  Spread spread;
  spread.fall = fall;
  spread.grade = sigma;
  return find(lot, straight_posterior(lot, spread)).grades.front();
}

}  // namespace

// International Plumbing Code, Table 704.1: 1/8 in per ft (1.04 %) for 3 to 6 in.
TEST_CASE("a grade is called adverse only when its interval excludes a fall") {
  CHECK(grade_with(-0.02, 0.003).says.find("uphill") != std::string::npos);
  CHECK(grade_with(-0.02, 0.02).says.find("cannot tell whether it falls") != std::string::npos);
  CHECK(grade_with(0.01, 0.02).says.find("cannot tell whether it falls") != std::string::npos);
  CHECK(grade_with(0.02, 0.003).says.find("it falls 2.0 %") != std::string::npos);
  CHECK(grade_with(0.02, 0.003).says.find("steeper than that") != std::string::npos);
  CHECK(grade_with(0.005, 0.001).says.find("flatter than that") != std::string::npos);
  CHECK(grade_with(0.0104, 0.002).says.find("which of the two is more cannot be told") != std::string::npos);
  CHECK(*grade_with(0.02, 0.003).published_minimum == Approx(1.0 / 96));
}

TEST_CASE("without a second depth the fall is not told at all") {
  const Placed lot = plain_lot();
  CHECK(find(lot, straight_posterior(lot)).grades.front().says.find("no depth was read") != std::string::npos);
}

// International Plumbing Code 708.1.4: each change of more than 45 degrees; Uniform Plumbing Code 719: 135 in all.
TEST_CASE("bends and clean-out spacing are laid beside the tables as information") {
  Placed lot = plain_lot();
  const auto bend = [](double at, double angle_deg) {
    LogItem item;
    item.at = {at};
    item.bend = Bend{Hand::left, angle_deg * degree};
    return item;
  };
  lot.runs[0].log.insert(lot.runs[0].log.begin() + 1, bend(3, 45));
  CHECK(find(lot, straight_posterior(lot)).fittings.empty());  // 45 is the table's own limit
  lot.runs[0].log.insert(lot.runs[0].log.begin() + 2, bend(5, 90));
  const Findings findings = find(lot, straight_posterior(lot));
  REQUIRE(findings.fittings.size() == 1);
  CHECK(findings.fittings[0].what == "direction change");
  CHECK(findings.fittings[0].says.find("asks for") != std::string::npos);
  lot.runs[0].log.insert(lot.runs[0].log.begin() + 3, bend(7, 22.5));
  CHECK(find(lot, straight_posterior(lot)).fittings.back().what == "aggregate change");
}

// International Plumbing Code 708.1: 100 ft.
TEST_CASE("clean-outs 99 ft apart pass the table, 101 ft apart are mentioned") {
  const auto fittings = [](double length) {
    Placed lot = plain_lot();
    lot.runs[0].log.back().at = {length};
    Spread spread;
    spread.length = length;
    return find(lot, straight_posterior(lot, spread)).fittings;
  };
  CHECK(fittings(99 * ft).empty());
  REQUIRE(fittings(101 * ft).size() == 1);
  CHECK(fittings(101 * ft)[0].what == "clean-out spacing");
}

TEST_CASE("months later keeps to the calendar") {
  CHECK(months_later("2026-04-18", 9) == "2027-01-18");
  CHECK(months_later("2026-04-18", 12) == "2027-04-18");
  CHECK(months_later("2026-05-31", 9) == "2027-02-28");
  CHECK(months_later("2027-05-31", 9) == "2028-02-29");
  CHECK(months_later("last spring", 9).empty());
  CHECK(months_later("2026-02-30", 1).empty());
  CHECK(date_words("2026-04-08") == "8 April 2026");
  CHECK(date_words("spring") == "spring");
}

// Common practice, no source: again 9 to 12 months later; after a repair once the backfill has settled.
TEST_CASE("each act leads to a follow-up with its dates") {
  Placed lot = plain_lot();
  const auto ups = [&] { return find(lot, straight_posterior(lot)).follow_ups; };
  REQUIRE(ups().size() == 3);
  CHECK(ups()[1].what == "look again after backfill");
  CHECK(ups()[1].says.find("not before") != std::string::npos);
  CHECK(ups()[2].from == "2027-01-18");
  CHECK(ups()[2].to == "2027-04-18");
  lot.runs[0].log[1].act = Act::watch;
  REQUIRE(ups().size() == 1);
  CHECK(ups()[0].what == "look again");
  CHECK(ups()[0].says.find("18 January 2027 and 18 April 2027") != std::string::npos);
  lot.inspected.clear();
  CHECK(ups()[0].from.empty());
  CHECK(ups()[0].says.find("9 to 12 months after moving in") != std::string::npos);
  lot.runs[0].log[1].act = Act::none;
  CHECK(ups().empty());
}
