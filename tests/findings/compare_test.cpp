#include "findings/compare.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>

#include "findings/lot.hpp"
#include "findings/matching.hpp"
#include "measure/bearing.hpp"

using namespace swingtie;
using namespace swingtie::test;

namespace {

LogItem seen(double at, std::string what) {
  LogItem item;
  item.at = {at};
  item.what = std::move(what);
  item.act = Act::watch;
  return item;
}

/// The plain lot with its items, its locates written at counters that are off by `shift`.
Placed visit(const std::vector<LogItem>& items, double shift = 0) {
  Placed lot = plain_lot();
  lot.runs[0].log.erase(lot.runs[0].log.begin() + 1);
  for (const LogItem& item : items) lot.runs[0].log.push_back(item);
  for (LogItem& item : lot.runs[0].log) item.at.metres += item.at.metres > 0 ? shift : 0;
  std::stable_sort(lot.runs[0].log.begin(), lot.runs[0].log.end(),
                   [](const LogItem& a, const LogItem& b) { return a.at < b.at; });
  if (shift != 0) {
    lot.runs[0].zero = CounterZero::stated;
    lot.runs[0].zero_reading = {shift};
  }
  for (const double station : {5.0, 10.0, 15.0}) {
    Locate locate;
    locate.at = {station + shift};
    locate.position.at = {1, -station};
    locate.position.covariance = 0.01 * PlanCovariance::Identity();
    locate.by = LocateMethod::nulls;
    lot.runs[0].locates.push_back(locate);
  }
  return lot;
}

const ItemChange& change_of(const Comparison& comparison, std::string_view what) {
  for (const ItemChange& change : comparison.changes)
    if (change.later_what == what || change.earlier_what == what) return change;
  FAIL("no change of " << what);
  return comparison.changes.front();
}

}  // namespace

TEST_CASE("matchings of two by two weigh as counted by hand") {
  // Matchings: none 1, a-x 4, a-y 2, b-x 1, b-y 3, a-x b-y 12, a-y b-x 2; in all 25.
  const Matching m = weigh_matchings({{4, 2}, {1, 3}});
  CHECK(m.pair[0][0] == Approx(16.0 / 25));
  CHECK(m.pair[0][1] == Approx(4.0 / 25));
  CHECK(m.pair[1][0] == Approx(3.0 / 25));
  CHECK(m.pair[1][1] == Approx(15.0 / 25));
  CHECK(weigh_matchings({}).pair.empty());
}

TEST_CASE("no entry has more than one partner in all, however many there are") {
  std::vector<std::vector<double>> odds(20, std::vector<double>(20));
  Normal normal(3);
  for (auto& row : odds)
    for (double& o : row) o = std::exp(3 * normal());
  const Matching m = weigh_matchings(odds);
  for (std::size_t i = 0; i < 20; ++i) {
    double row = 0;
    for (std::size_t j = 0; j < 20; ++j) row += m.pair[i][j];
    CHECK(row <= 1 + 1e-9);
  }
}

TEST_CASE("sizes in notes are read on their own scales") {
  CHECK(note_size("joint offset 1 1/4 in, soil")->value == Approx(1.25 * metres_per_inch));
  CHECK(note_size("joint open 10 mm, no roots")->value == Approx(0.010));
  CHECK(note_size("roots, half the bore")->value == Approx(0.5));
  CHECK(note_size("roots fill 30 % of it")->value == Approx(0.3));
  CHECK(note_size("heavy roots")->value > note_size("light roots")->value);
  CHECK(note_size("heavy roots")->scale == NoteSize::Scale::word);
  CHECK_FALSE(note_size("a joint").has_value());
  CHECK(note_kind("roots through the joint") == "roots");
  CHECK(note_kind("joint open 10 mm, no roots") == "joint");
  CHECK(note_kind("something odd").empty());
}

TEST_CASE("two visits with another zero: one spot stays one spot, what grew has grown, what is new is new") {
  const Placed before = visit({seen(4, "joint offset 1/2 in"), seen(8, "fine roots"), seen(13, "crack, hairline")});
  const Placed after = visit(
      {seen(4, "joint offset 1 1/2 in"), seen(13, "crack, hairline"), seen(16, "belly, a third of the bore")}, 1.1);
  const Comparison comparison = compare(before, after);

  CHECK(change_of(comparison, "joint offset 1 1/2 in").change == Change::grown);
  CHECK(change_of(comparison, "joint offset 1 1/2 in").probability > 0.9);
  CHECK(change_of(comparison, "joint offset 1 1/2 in").counter_shifted);
  CHECK(change_of(comparison, "crack, hairline").change == Change::same);
  CHECK(change_of(comparison, "fine roots").change == Change::gone);
  CHECK(change_of(comparison, "belly, a third of the bore").change == Change::appeared);
  CHECK(comparison.counter_shift == Approx(1.1).margin(0.05));
  CHECK(comparison.changes.size() == 4);
  for (std::size_t i = 1; i < comparison.changes.size(); ++i)
    CHECK(comparison.changes[i - 1].station <= comparison.changes[i].station);
}

TEST_CASE("the second visit from a street-side clean-out, pushed upstream, is laid onto the same route") {
  const Placed before = visit({seen(4, "joint offset 1/2 in"), seen(9, "fine roots"), seen(13, "crack, hairline")});
  // In at station 17, up the line: what lies at station s is seen at the counter 17 - s.
  Placed after = visit({});
  Run& run = after.runs[0];
  run.id = "up";
  run.toward = Travel::toward_house;
  run.access.at = {1, -17};
  LogItem pipe = run.log.front(), end;
  end.at = {16};
  end.end = "blockage";
  run.log = {pipe, seen(4, "crack, hairline"), seen(6, "belly, a third of the bore"),
             seen(13, "joint offset 1 1/2 in"), end};
  for (Locate& locate : run.locates) locate.at = {17 - locate.at.metres};
  std::erase_if(run.locates, [](const Locate& l) { return l.at.metres < 0.5 || l.at.metres > 16; });
  std::reverse(run.locates.begin(), run.locates.end());
  const Comparison comparison = compare(before, after);

  CHECK(change_of(comparison, "joint offset 1 1/2 in").change == Change::grown);
  CHECK(change_of(comparison, "joint offset 1 1/2 in").station.metres == Approx(4).margin(0.4));
  CHECK(change_of(comparison, "crack, hairline").change == Change::same);
  CHECK(change_of(comparison, "fine roots").change == Change::gone);
  CHECK(change_of(comparison, "belly, a third of the bore").change == Change::appeared);
  // Two counters that run opposite ways have no common shift.
  CHECK(comparison.counter_shift == 0);
}

TEST_CASE("a spot where the camera did not come again is not called gone") {
  const Placed before = visit({seen(17, "joint offset 1/2 in")});
  Placed after = visit({});
  after.runs[0].log.back().at = {12};
  after.runs[0].log.back().end = "blockage";
  after.runs[0].log.back().ends_at_main = false;
  after.runs[0].locates.pop_back();
  CHECK(change_of(compare(before, after), "joint offset 1/2 in").change == Change::unseen);
}

TEST_CASE("an earlier job on a turned local grid is laid onto the later one by the house") {
  Placed before = visit({seen(8, "joint offset 1/2 in")});
  const double turn = 0.9;
  const auto moved = [&](PlanPoint p) {
    return PlanPoint{900 + p.e * std::cos(turn) + p.n * std::sin(turn),
                     300 - p.e * std::sin(turn) + p.n * std::cos(turn)};
  };
  for (Feature& f : before.features)
    for (Corner& c : f.corners) c.point.at = moved(c.point.at);
  before.runs[0].access.at = moved(before.runs[0].access.at);
  for (Locate& l : before.runs[0].locates) l.position.at = moved(l.position.at);
  const Comparison comparison = compare(before, visit({seen(8, "joint offset 1/2 in")}));
  CHECK(comparison.moved);
  CHECK(comparison.fit < 1e-6);
  CHECK(change_of(comparison, "joint offset 1/2 in").change == Change::same);
}

TEST_CASE("two different lots are told apart rather than compared in silence") {
  Placed other = visit({});
  for (Feature& f : other.features)
    for (std::size_t i = 0; i < f.corners.size(); ++i) f.corners[i].point.at.e += 7.0 * static_cast<double>(i * i);
  const Comparison comparison = compare(other, visit({}));
  REQUIRE_FALSE(comparison.remarks.empty());
  CHECK(comparison.remarks[0].message.find("do not show one lot") != std::string::npos);
}

TEST_CASE("the words of a comparison say what changed, and with which probability") {
  const Placed before = visit({seen(4, "joint offset 1/2 in")});
  const Placed after = visit({seen(4, "joint offset 1 in")}, 1.0);
  const std::string words = tell(after, compare(before, after));
  CHECK(words.find("seen again, joint offset 1 in (before: joint offset 1/2 in): it has grown") != std::string::npos);
  CHECK(words.find("the counter shifted, the spot did not") != std::string::npos);
  CHECK(words.find("%)") != std::string::npos);
}
