#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <map>
#include <nlohmann/json.hpp>

#include "whole/notes.hpp"
#include "whole/program.hpp"

// What must not matter to the answer: where the grid's origin is and how it is turned, the unit the notes are written
// in, the order of their lines, and from which end the line was walked.

namespace swingtie {
namespace {

struct Answer {
  struct Item {
    PlanPoint at;
    double depth = 0, station = 0;
    double private_probability = 0;
    double region_area = 0;
  };
  std::map<std::string, Item> items;  ///< by what is seen
  std::vector<PlanPoint> route;       ///< every station
  double length = 0;
  double crossing_station = 0, crossing_low = 0, crossing_high = 0;
  PlanPoint crossing;
  std::vector<double> alternatives;
};

double ring_area(const nlohmann::json& polygon) {
  double twice = 0;
  const auto& ring = polygon.at("coordinates").at(0);
  const auto& origin = ring.at(0);
  for (std::size_t i = 0; i + 1 < ring.size(); ++i) {
    const double ax = ring[i][0].get<double>() - origin[0].get<double>(),
                 ay = ring[i][1].get<double>() - origin[1].get<double>();
    const double bx = ring[i + 1][0].get<double>() - origin[0].get<double>(),
                 by = ring[i + 1][1].get<double>() - origin[1].get<double>();
    twice += ax * by - bx * ay;
  }
  return std::abs(twice) / 2;
}

/// The answer in metres, whatever the unit of the job.
Answer answer(const nlohmann::json& solved) {
  const std::string unit = solved.at("units");
  const double metres = unit == "m" ? 1.0 : unit == "ft" ? metres_per_foot : metres_per_us_survey_foot;
  const auto point = [metres](const nlohmann::json& at) {
    return PlanPoint{at.at("e").get<double>() * metres, at.at("n").get<double>() * metres};
  };
  Answer answer;
  for (const auto& item : solved.at("items")) {
    // A pipe is told in the site's unit.
    const std::string what = item.at("what");
    Answer::Item& to = answer.items[what.find("clay") != std::string::npos        ? "clay begins"
                                    : what.find("cast iron") != std::string::npos ? "cast iron begins"
                                                                                  : what];
    to.at = point(item);
    to.depth = item.at("depth").get<double>() * metres;
    to.station = item.at("station").get<double>() * metres;
    to.private_probability = item.at("private_probability");
    const auto& region = item.at("region95");
    to.region_area = region.at("type") == "Polygon" ? ring_area(region) * metres * metres : 0;
  }
  for (const auto& station : solved.at("lines").at(0).at("stations")) {
    answer.route.push_back(point(station));
  }
  answer.length = solved.at("lines").at(0).at("length").get<double>() * metres;
  const auto& crossing = solved.at("crossings").at(0);
  answer.crossing = point(crossing);
  answer.crossing_station = crossing.at("station").get<double>() * metres;
  answer.crossing_low = crossing.at("station95").at(0).get<double>() * metres;
  answer.crossing_high = crossing.at("station95").at(1).get<double>() * metres;
  for (const auto& alternative : solved.at("alternatives")) {
    answer.alternatives.push_back(alternative.at("probability"));
  }
  return answer;
}

Answer answer(const Notes& notes) {
  const ScratchFolder folder;
  return answer(solve_json(folder.write("job.yaml", job_text(notes))));
}

/// The same answer up to `metres` in place. What is counted from random draws (stations, depths, crossings,
/// probabilities) may differ by `drawn` metres and, in probability, by as much as that is of a metre: turned axes
/// draw other numbers.
void check_equal(const Answer& a, const Answer& b, double metres, double drawn) {
  REQUIRE(a.items.size() == b.items.size());
  for (const auto& [what, item] : a.items) {
    INFO(what);
    const auto found = b.items.find(what);
    REQUIRE(found != b.items.end());
    CHECK(distance(item.at, found->second.at) <= metres);
    CHECK(item.depth == Approx(found->second.depth).margin(drawn));
    CHECK(item.station == Approx(found->second.station).margin(drawn));
    CHECK(item.private_probability == Approx(found->second.private_probability).margin(drawn));
    CHECK(item.region_area == Approx(found->second.region_area).epsilon(0.05).margin(metres * metres));
  }
  REQUIRE(a.route.size() == b.route.size());
  double widest = 0;
  for (std::size_t i = 0; i < a.route.size(); ++i) {
    widest = std::max(widest, distance(a.route[i], b.route[i]));
  }
  CHECK(widest <= metres);
  CHECK(a.length == Approx(b.length).margin(drawn));
  CHECK(distance(a.crossing, b.crossing) <= drawn);
  CHECK(a.crossing_station == Approx(b.crossing_station).margin(drawn));
  CHECK(a.crossing_low == Approx(b.crossing_low).margin(3 * drawn));
  CHECK(a.crossing_high == Approx(b.crossing_high).margin(3 * drawn));
  REQUIRE(a.alternatives.size() == b.alternatives.size());
  for (std::size_t i = 0; i < a.alternatives.size(); ++i) {
    CHECK(a.alternatives[i] == Approx(b.alternatives[i]).margin(drawn));
  }
}

Answer mapped(Answer answer, const std::function<PlanPoint(PlanPoint)>& map) {
  for (auto& [what, item] : answer.items) {
    item.at = map(item.at);
  }
  for (auto& p : answer.route) {
    p = map(p);
  }
  answer.crossing = map(answer.crossing);
  return answer;
}

}  // namespace

TEST_CASE("moving the whole job moves the answer") {
  const auto move = [](PlanPoint p) { return p + PlanVector{1234.5, -987.25}; };
  check_equal(mapped(answer(plain_notes()), move), answer(mapped(plain_notes(), move)), 0.002, 0.002);
}

TEST_CASE("a false northing of six thousand kilometres costs nothing") {
  const auto move = [](PlanPoint p) { return p + PlanVector{500000, 6000000}; };
  check_equal(mapped(answer(plain_notes()), move), answer(mapped(plain_notes(), move)), 0.002, 0.002);
}

TEST_CASE("turning the whole job turns the answer") {
  for (const double degrees : {17.0, 90.0, 123.4, 180.0, 301.0}) {
    INFO("turned by " << degrees << " degrees");
    const auto turn = [degrees](PlanPoint p) {
      const double a = degrees / 57.29577951308232;
      return PlanPoint{p.e * std::cos(a) - p.n * std::sin(a), p.e * std::sin(a) + p.n * std::cos(a)};
    };
    check_equal(mapped(answer(plain_notes()), turn), answer(mapped(plain_notes(), turn)), 0.005, 0.04);
  }
}

TEST_CASE("metres, feet and US survey feet give the same route") {
  const Answer metres = answer(plain_notes());
  for (const LengthUnit unit : {LengthUnit::foot, LengthUnit::us_survey_foot}) {
    Notes notes = plain_notes();
    notes.unit = unit;
    check_equal(metres, answer(notes), 0.005, 0.005);
  }
}

TEST_CASE("the order of features, log lines and locates does not matter") {
  const Answer as_written = answer(plain_notes());
  Notes notes = plain_notes();
  notes.order = {4, 2, 0, 3, 1};
  std::rotate(notes.locates.begin(), notes.locates.begin() + 2, notes.locates.end());
  std::rotate(notes.log.begin(), notes.log.begin() + 3, notes.log.end());
  check_equal(as_written, answer(notes), 1e-6, 1e-6);
}

// Walked from the main, each reading is what is left of the line and each left is a right. The two are not the same
// readings (the counter's zero belongs to the other end), so the routes agree within a fraction of their 95 %
// regions, which are some 0.3 m wide, not to the digit.
TEST_CASE("a run walked from the other end, left and right swapped, gives the same route") {
  const double whole = 21.0;
  Notes down = plain_notes();
  down.end = PlanPoint{-0.313, -19.713};

  Notes up = down;
  up.upstream = true;
  up.access = *down.end;
  up.drop = 2.25;
  up.end.reset();
  up.log.clear();
  up.log.push_back({0, "pipe: 6 in clay", {}});
  for (const auto& line : down.log) {
    if (line.bend) {
      up.log.push_back({whole - line.at, "", -*line.bend});
    } else if (line.what.starts_with("see")) {
      up.log.push_back({whole - line.at, line.what, {}});
    }
  }
  for (auto& line : up.locates) {
    // The transmitter trails the lens: it stood at whole - (at - behind) from the main when the lens read that much
    // more.
    line.at = whole - (line.at - down.sonde_behind_lens) + up.sonde_behind_lens;
  }
  up.locates.push_back({whole - 0.3 + up.sonde_behind_lens, {4.0, -0.8}, 1.91, false});
  down.locates.push_back({0.3 + down.sonde_behind_lens, {4.0, -0.8}, 1.91, false});

  const Answer a = answer(down), b = answer(up);
  for (const std::string what : {"roots at a joint", "crack"}) {
    INFO(what);
    REQUIRE(a.items.count(what) == 1);
    REQUIRE(b.items.count(what) == 1);
    CHECK(distance(a.items.at(what).at, b.items.at(what).at) < 0.10);
    CHECK(a.items.at(what).depth == Approx(b.items.at(what).depth).margin(0.10));
    // 800 draws each know a probability of 0.85 to +- 0.013: three standard deviations of the difference.
    CHECK(a.items.at(what).private_probability == Approx(b.items.at(what).private_probability).margin(0.054));
  }
  CHECK(distance(a.crossing, b.crossing) < 0.10);
}

}  // namespace swingtie
