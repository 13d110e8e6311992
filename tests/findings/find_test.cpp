#include <catch2/catch.hpp>
#include <cmath>

#include "findings/lot.hpp"
#include "measure/bearing.hpp"
#include "measure/covariance.hpp"

using namespace swingtie;
using namespace swingtie::test;

namespace {

constexpr double ft = metres_per_foot;

const ItemFinding& item_at(const Findings& findings, double at) {
  for (const ItemFinding& item : findings.items)
    if (std::abs(item.at.metres - at) < 1e-9) return item;
  FAIL("no item at " << at);
  return findings.items.front();
}

const Crossing& crossing_of(const Placed& lot, const Findings& findings, std::string_view id) {
  for (const Crossing& crossing : findings.crossings)
    if (lot.features[crossing.feature].id == id) return crossing;
  FAIL("no crossing of " << id);
  return findings.crossings.front();
}

bool says(const std::vector<std::string>& lines, std::string_view words) {
  for (const std::string& line : lines)
    if (line.find(words) != std::string::npos) return true;
  return false;
}

bool inside_any(const Region& region, PlanPoint p) {
  bool inside = false;
  for (const auto& ring : region)
    for (std::size_t i = 0, j = ring.size() - 1; i < ring.size(); j = i++)
      if ((ring[i].n > p.n) != (ring[j].n > p.n) &&
          p.e < ring[i].e + (p.n - ring[i].n) * (ring[j].e - ring[i].e) / (ring[j].n - ring[i].n))
        inside = !inside;
  return inside;
}

/// The lot with its right-of-way line moved, known to within a radius.
Placed lot_with_row(double n, double within = 0) {
  Placed lot = plain_lot();
  Feature row = line_feature("row", FeatureKind::right_of_way, {{-25, n}, {25, n}});
  if (within > 0) row.covariance = covariance_within(within);
  lot.features[5] = row;
  return lot;
}

/// Turns and moves everything that has a place in the plan.
struct Moved {
  double turn;
  PlanPoint to;
  PlanPoint operator()(PlanPoint p) const {
    return {to.e + p.e * std::cos(turn) + p.n * std::sin(turn), to.n - p.e * std::sin(turn) + p.n * std::cos(turn)};
  }
  SitePoint operator()(SitePoint p) const {
    const PlanPoint q = (*this)(plan(p));
    return {q.e, q.n, p.up};
  }
};

void move(Placed& lot, Posterior& posterior, const Moved& moved) {
  for (Feature& f : lot.features) {
    f.point = moved(f.point);
    for (auto& part : f.lines)
      for (PlanPoint& p : part) p = moved(p);
    for (auto& part : f.areas)
      for (PlanPoint& p : part.outer) p = moved(p);
    for (Corner& c : f.corners) c.point.at = moved(c.point.at);
  }
  for (Run& run : lot.runs) run.access.at = moved(run.access.at);
  for (RouteDraw& draw : posterior.draws)
    for (auto& course : draw.lines)
      for (SitePoint& p : course.vertices) p = moved(p);
  for (auto& line : posterior.lines)
    for (RouteStation& s : line) {
      s.at = moved(s.at);
      Eigen::Matrix2d r;
      r << std::cos(moved.turn), std::sin(moved.turn), -std::sin(moved.turn), std::cos(moved.turn);
      s.covariance = r * s.covariance * r.transpose();
    }
  for (Alternative& a : posterior.alternatives)
    for (auto& route : a.routes)
      for (SitePoint& p : route) p = moved(p);
}

}  // namespace

TEST_CASE("the right-of-way crossing is where the draws cross it, with their interval") {
  const Placed lot = plain_lot();
  const Posterior posterior = straight_posterior(lot);
  const Findings findings = find(lot, posterior);
  const Crossing& row = crossing_of(lot, findings, "row");
  // Plainly: the station of each draw's own crossing of n = -12.
  std::vector<double> stations;
  for (const RouteDraw& draw : posterior.draws) {
    const auto& c = draw.lines[0];
    for (std::size_t i = 1; i < c.vertices.size(); ++i)
      if (c.vertices[i - 1].n > -12 && c.vertices[i].n <= -12) {
        const double t = (c.vertices[i - 1].n + 12) / (c.vertices[i - 1].n - c.vertices[i].n);
        stations.push_back(c.stations[i - 1] + t * (c.stations[i] - c.stations[i - 1]));
      }
  }
  REQUIRE(stations.size() == 800);
  std::sort(stations.begin(), stations.end());
  double mean = 0;
  for (const double s : stations) mean += s / 800;
  CHECK(row.station.metres == Approx(mean));
  CHECK(row.station95.low == Approx(stations[20]).margin(0.01));
  CHECK(row.station95.high == Approx(stations[779]).margin(0.01));
  CHECK(row.probability == 1.0);
  CHECK(row.limit);
  CHECK_FALSE(row.inward);
  CHECK(row.position.n == Approx(-12).margin(1e-9));
  CHECK_FALSE(crossing_of(lot, findings, "curb").limit);
}

TEST_CASE("a limit known only to a foot widens the crossing and softens the sides") {
  const auto width = [](const Crossing& c) { return c.station95.high - c.station95.low; };
  const Placed sharp = lot_with_row(-12), soft = lot_with_row(-12, 0.6);
  const Findings a = find(sharp, straight_posterior(sharp)), b = find(soft, straight_posterior(soft));
  CHECK(width(crossing_of(soft, b, "row")) > 1.5 * width(crossing_of(sharp, a, "row")));
}

TEST_CASE("stated side probabilities are reliable: among items told p a share p is private") {
  // One limit, true routes drawn from the very distribution the posterior states, items all around the limit.
  std::vector<int> told(10, 0), really(10, 0);
  for (unsigned seed = 0; seed < 40; ++seed) {
    Placed lot = lot_with_row(-8 - 0.02 * seed, 0.3);
    Spread spread;
    spread.zero = 0.15;
    const Posterior posterior = straight_posterior(lot, spread, 800, 100 + seed);
    const Findings findings = find(lot, posterior);
    const Posterior truths = straight_posterior(lot, spread, 50, 5000 + seed);
    Normal normal(seed);
    const double p = *item_at(findings, 8).private_probability;
    const auto bin = static_cast<std::size_t>(std::min(9.0, 10 * p));
    for (const RouteDraw& truth : truths.draws) {
      const double reading_error = normal(0.175 * ft), row_error = normal(std::sqrt(covariance_within(0.3)(1, 1)));
      const double station = (8 + reading_error - truth.runs[0].zero) * truth.runs[0].scale;
      const SitePoint at = point_at(truth, 0, {station});
      ++told[bin];
      really[bin] += at.n > -8 - 0.02 * seed + row_error ? 1 : 0;
    }
  }
  for (std::size_t bin = 0; bin < 10; ++bin) {
    if (told[bin] < 100) continue;
    const double middle = (static_cast<double>(bin) + 0.5) / 10;
    INFO("told about " << middle << ", " << told[bin] << " truths");
    CHECK(really[bin] / static_cast<double>(told[bin]) == Approx(middle).margin(0.12));
  }
}

TEST_CASE("each ownership rule puts its end where it says") {
  Placed lot = plain_lot();
  const Posterior posterior = straight_posterior(lot);
  const auto probability = [&](double at) { return *item_at(find(lot, posterior), at).private_probability; };

  CHECK(probability(8) > 0.99);
  CHECK(probability(19) < 0.01);
  SECTION("the curb") {
    lot.ownership.until = PrivateUntil::curb;
    lot.ownership.feature = index_of(lot, "curb");
    CHECK(probability(8) > 0.99);
    CHECK(probability(19) < 0.01);
    CHECK(crossing_of(lot, find(lot, posterior), "curb").limit);
  }
  SECTION("the lot line") {
    lot.ownership.until = PrivateUntil::lot_line;
    lot.ownership.feature = index_of(lot, "lot");
    CHECK(probability(11.5) > 0.9);
    CHECK(probability(19) < 0.01);
  }
  SECTION("the main") {
    lot.ownership.until = PrivateUntil::main;
    lot.ownership.feature.reset();
    CHECK(probability(19) == 1.0);
  }
  SECTION("a station") {
    lot.ownership.until = PrivateUntil::station;
    lot.ownership.feature.reset();
    lot.ownership.station = {10};
    CHECK(probability(8) > 0.99);
    CHECK(probability(11.5) < 0.01);
  }
  SECTION("a clean-out") {
    lot.ownership.until = PrivateUntil::clean_out;
    lot.ownership.feature.reset();
    lot.ownership.point = PlacedPoint{{1, -10}, PlanCovariance::Zero()};
    CHECK(probability(8) > 0.99);
    CHECK(probability(11.5) < 0.01);
  }
  SECTION("nothing stated") {
    lot.ownership = {};
    const Findings findings = find(lot, posterior);
    CHECK_FALSE(findings.items[0].private_probability.has_value());
    CHECK(findings.sides.empty());
    CHECK(findings.ownership.says.find("confirm with the city") != std::string::npos);
  }
}

TEST_CASE("the source of the ownership rule is repeated, and that the city is to confirm it") {
  const Placed lot = plain_lot();
  const Findings findings = find(lot, straight_posterior(lot));
  CHECK(findings.ownership.says ==
        "Taken as private up to the right-of-way line (city sewer code; confirm with the city).");
}

TEST_CASE("lengths on each side add up to the line and follow the pipes") {
  const Placed lot = plain_lot();
  const Findings findings = find(lot, straight_posterior(lot));
  REQUIRE(findings.sides.size() == 3);
  CHECK(findings.sides[0].is_private);
  CHECK(findings.sides[0].pipe == "4 in cast iron");
  CHECK(findings.sides[0].length == Approx(11.5).margin(0.1));
  CHECK(findings.sides[1].is_private);
  CHECK(findings.sides[1].pipe == "6 in clay");
  CHECK(findings.sides[1].length == Approx(0.5).margin(0.1));
  CHECK_FALSE(findings.sides[2].is_private);
  double sum = 0;
  for (const SideLength& side : findings.sides) {
    sum += side.length;
    CHECK(side.length95.low <= side.length);
    CHECK(side.length95.high >= side.length);
  }
  CHECK(sum == Approx(findings.lines[0].length).margin(0.01));
}

TEST_CASE("a line that crosses twice is found to cross twice, and is private again beyond") {
  Placed lot = plain_lot();
  // A bay in the right-of-way line: the line enters it at n = -5 and leaves at -9.
  lot.features[5] =
      line_feature("row", FeatureKind::right_of_way, {{25, -5}, {-2, -5}, {-2, -9}, {25, -9}, {25, -12}, {-25, -12}});
  const Findings findings = find(lot, straight_posterior(lot));
  std::vector<const Crossing*> row;
  for (const Crossing& c : findings.crossings)
    if (lot.features[c.feature].id == "row") row.push_back(&c);
  REQUIRE(row.size() == 3);
  CHECK(row[0]->station.metres == Approx(5).margin(0.1));
  CHECK(row[1]->station.metres == Approx(9).margin(0.1));
  CHECK(row[1]->inward);
  CHECK(row[2]->station.metres == Approx(12).margin(0.1));
  CHECK(row[1]->says.find("comes back over") != std::string::npos);
  CHECK(*item_at(findings, 8).private_probability < 0.01);
  CHECK(*item_at(findings, 11.5).private_probability > 0.95);
}

TEST_CASE("a line that runs along a limit is said to, with the stretch") {
  Placed lot = plain_lot();
  lot.features[5] = line_feature("row", FeatureKind::right_of_way, {{1, 30}, {1.02, -30}});
  lot.ownership = {};
  const Findings findings = find(lot, straight_posterior(lot));
  REQUIRE(findings.along_limits.size() == 1);
  CHECK(findings.along_limits[0].to - findings.along_limits[0].from > 10);
  CHECK(findings.along_limits[0].says.find("cannot be told") != std::string::npos);
}

TEST_CASE("a right-of-way line drawn short of the lateral is continued straight, and that is said") {
  Placed lot = plain_lot();
  lot.features[5] = line_feature("row", FeatureKind::right_of_way, {{-25, -12}, {-2, -12}});
  const Findings findings = find(lot, straight_posterior(lot));
  const Crossing& row = crossing_of(lot, findings, "row");
  CHECK(row.station.metres == Approx(12).margin(0.1));
  CHECK(row.straightened);
  CHECK(row.says.find("continued straight") != std::string::npos);
}

TEST_CASE("an item whose side is open says so and names what would settle it") {
  const auto item_with = [](double n, double within, double zero = 0.4) {
    const Placed lot = lot_with_row(n, within);
    Spread spread;
    spread.zero = zero;
    return item_at(find(lot, straight_posterior(lot, spread)), 8);
  };
  const ItemFinding open = item_with(-8.5, 0);
  CHECK(*open.private_probability > 0.05);
  CHECK(*open.private_probability < 0.95);
  CHECK(says(open.says, "cannot be told"));
  // Half a metre from a line that is known: one locate tells.
  CHECK(says(open.says, "midway between the nulls, would mostly settle it"));
  CHECK(says(open.says, "Along the pipe it is anywhere from "));
  // Known already as well as a receiver could tell, and on the very line: only the open hole tells.
  const ItemFinding on_the_line = item_with(-8, 0, 0.08);
  CHECK(says(on_the_line.says, "No single locate would settle it"));
  CHECK(says(on_the_line.says, "measure in the open hole"));
  // Where the limit itself is not known, the limit is what to measure.
  CHECK(says(item_with(-8, 3.0).says, "staked by a surveyor"));
}

TEST_CASE("a bend whose hand the readings contradict is told with the hand they give it") {
  Placed lot = plain_lot();
  LogItem bend;
  bend.at = {5};
  bend.bend = Bend{Hand::left, 45 * degree};
  lot.runs[0].log.insert(lot.runs[0].log.begin() + 1, bend);
  Posterior posterior = straight_posterior(lot);
  CHECK(item_at(find(lot, posterior), 5).what == "bend left 45°");
  Explanation wrong;
  wrong.what = MistakeKind::wrong_hand;
  wrong.at = {5};
  wrong.probability = 0.97;
  posterior.explanations = {wrong};
  CHECK(item_at(find(lot, posterior), 5).what == "bend right 45° (written as left)");
}

TEST_CASE("the corridor holds the line at each station with 95 %, and no more than it must") {
  const Placed lot = plain_lot();
  Spread spread;
  const Posterior posterior = straight_posterior(lot, spread, 800, 3);
  const Findings findings = find(lot, posterior);
  const Posterior truths = straight_posterior(lot, spread, 800, 4000);
  for (const double station : {2.0, 6.0, 10.0, 14.0}) {
    int inside = 0;
    for (const RouteDraw& truth : truths.draws)
      inside += inside_any(findings.lines[0].corridor95, plan(point_at(truth, 0, {station}))) ? 1 : 0;
    INFO("station " << station);
    CHECK(inside / 800.0 > 0.93);
    CHECK(inside / 800.0 < 0.98);
  }
}

TEST_CASE("two courses give a corridor that covers both") {
  const Placed lot = plain_lot();
  Spread spread;
  spread.bow = 0.6;
  spread.bow_share = 0.4;
  const Posterior posterior = straight_posterior(lot, spread);
  const Findings findings = find(lot, posterior);
  int inside = 0;
  for (const RouteDraw& draw : posterior.draws)
    inside += inside_any(findings.lines[0].corridor95, plan(point_at(draw, 0, {17}))) ? 1 : 0;
  CHECK(inside / 800.0 > 0.93);
  // Between the two courses, near their ends, there is nothing to find.
  const SitePoint one = point_at(posterior.draws.front(), 0, {18}), other = point_at(posterior.draws.back(), 0, {18});
  CHECK_FALSE(inside_any(findings.lines[0].corridor95, {(one.e + other.e) / 2, (one.n + other.n) / 2}));
  CHECK(findings.lines[0].alternatives.size() == 2);
}

TEST_CASE("turning and moving the lot turns and moves the findings") {
  Placed lot = plain_lot();
  Feature tree = point_feature("linden", FeatureKind::tree, {4, -8});
  tree.trunk = 0.4;
  lot.features.insert(lot.features.begin() + 3, tree);
  lot.ownership.feature = index_of(lot, "row");
  Posterior posterior = straight_posterior(lot);
  const Findings before = find(lot, posterior);
  const Moved moved{0.7, {4000, 7000}};
  move(lot, posterior, moved);
  const Findings after = find(lot, posterior);
  REQUIRE(after.items.size() == before.items.size());
  for (std::size_t i = 0; i < before.items.size(); ++i) {
    CHECK(distance(plan(after.items[i].position), moved(plan(before.items[i].position))) < 1e-6);
    CHECK(after.items[i].private_probability == before.items[i].private_probability);
    CHECK(after.items[i].says == before.items[i].says);
  }
  CHECK(after.digs[0].ties.offset_words == before.digs[0].ties.offset_words);
  CHECK(after.digs[0].ties.side == before.digs[0].ties.side);
  CHECK(after.digs[0].window_length == Approx(before.digs[0].window_length));
  CHECK(after.crossings[0].station.metres == Approx(before.crossings[0].station.metres));
  CHECK(after.trees[0].says == before.trees[0].says);
}

TEST_CASE("the same input gives the same findings") {
  const Placed lot = lot_with_row(-12, 0.5);
  const Posterior posterior = straight_posterior(lot);
  const Findings a = find(lot, posterior), b = find(lot, posterior);
  CHECK(a.crossings[0].station95.low == b.crossings[0].station95.low);
  CHECK(a.lines[0].corridor95.size() == b.lines[0].corridor95.size());
  CHECK(a.next_locates[0].says == b.next_locates[0].says);
}

TEST_CASE("marks stand at round stations and end before the line does") {
  const Placed lot = plain_lot();
  const Findings findings = find(lot, straight_posterior(lot));
  const auto& marks = findings.lines[0].marks;
  REQUIRE(marks.size() == 7);  // 62 ft, every 10 ft
  for (std::size_t i = 0; i < marks.size(); ++i)
    CHECK(marks[i].station.metres == Approx(10 * ft * static_cast<double>(i)));
}

TEST_CASE(
    "a lot in feet that names no rules gets the federal set, one in metres none: whose law holds there is not "
    "known") {
  Placed lot = plain_lot();
  lot.digging.rules.clear();
  CHECK(find(lot, straight_posterior(lot)).rules.name == "us");
  lot = plain_lot(LengthUnit::metre);
  lot.digging.rules.clear();
  const Findings findings = find(lot, straight_posterior(lot));
  CHECK(findings.rules.name == "none");
  CHECK(says(findings.digs.front().thresholds, "ask locally"));
  CHECK(says(findings.cautions, "No trench rules were named"));
  lot.digging.rules = "au";
  CHECK(find(lot, straight_posterior(lot)).rules.name == "au");
}

TEST_CASE("a rule set that the job names and nobody knows is remarked on, with the nearest name") {
  Placed lot = plain_lot();
  lot.digging.rules = "uss";
  const Findings findings = find(lot, straight_posterior(lot));
  REQUIRE(findings.remarks.size() == 1);
  CHECK(findings.remarks[0].message == "no rule set `uss` is known: no trench figures are given");
  CHECK(findings.remarks[0].hint == "did you mean `us`?");
  REQUIRE(findings.digs[0].thresholds.size() == 1);
  CHECK(findings.digs[0].thresholds[0].find("ask locally what a hole of this depth needs; whatever the rules") == 0);
}

TEST_CASE("a line that no run has seen has no findings, and does not disturb the others") {
  Placed lot = plain_lot();
  Line unseen;
  unseen.id = "studio";
  lot.lines.push_back(unseen);
  Run idle;  // pushed in, nothing written
  idle.id = "R2";
  idle.line = 1;
  lot.runs.push_back(idle);
  Posterior posterior = straight_posterior(lot);
  for (RouteDraw& draw : posterior.draws) {
    draw.lines.emplace_back();
    draw.runs.emplace_back();
  }
  posterior.lines.emplace_back();
  for (Alternative& a : posterior.alternatives) a.routes.emplace_back();
  const Findings findings = find(lot, posterior);
  REQUIRE(findings.lines.size() == 2);
  CHECK(findings.lines[1].stations.empty());
  CHECK(findings.crossings.size() == 3);
  CHECK(findings.digs.size() == 1);
}

TEST_CASE("no runs at all: nothing is found, the cautions stand") {
  Placed lot = plain_lot();
  lot.runs.clear();
  Posterior posterior;
  RouteDraw draw;
  draw.lines.emplace_back();
  posterior.draws.assign(800, draw);
  posterior.lines.emplace_back();
  const Findings findings = find(lot, posterior);
  CHECK(findings.items.empty());
  CHECK(findings.crossings.empty());
  CHECK_FALSE(findings.cautions.empty());
}

TEST_CASE("cautions are never left out") {
  const Placed lot = plain_lot();
  for (const Findings& findings : {find(lot, straight_posterior(lot)), find(lot, Posterior{})}) {
    CHECK(says(findings.cautions, "estimates"));
    CHECK(says(findings.cautions, "before digging"));
    CHECK(says(findings.cautions, "by hand or vacuum"));
    CHECK(says(findings.cautions, "competent person"));
    CHECK(says(findings.cautions, "not a boundary survey"));
    CHECK(says(findings.cautions, "Local codes and licensed practice rule"));
  }
}
