#include "place/traverse.hpp"

#include <cmath>
#include <map>

#include <catch2/catch.hpp>

#include "measure/bearing.hpp"
#include "place/shapes.hpp"
#include "reference/table.hpp"

using namespace swingtie;

namespace {

/// The printed courses of a traverse of tests/reference, lengths in its own unit.
std::vector<TraverseCourse> printed_courses(const std::string& id) {
  std::vector<TraverseCourse> courses;
  for (const auto& row : reference::table("traverse-input.csv")) {
    if (row.text("id") != id) continue;
    const auto bearing = parse_bearing(row.text("direction"));
    REQUIRE(bearing.value);
    courses.push_back({row.number("length") * direction(*bearing.value), std::nullopt});
  }
  return courses;
}

double angle(const std::string& text) {
  const auto parsed = parse_angle(text);
  REQUIRE(parsed.value);
  return *parsed.value;
}

}  // namespace

// Textbook and course pages named in tests/reference/traverse-summary.csv; unrounded values of an independent script.
TEST_CASE("misclosure, perimeter and balanced area are those of the published traverses") {
  for (const auto& row : reference::table("traverse-summary.csv")) {
    INFO(row.text("id"));
    const auto courses = printed_courses(row.text("id"));
    const PlanVector gap = misclosure(courses);
    CHECK(gap.dn == Approx(row.number("lat_misclosure")).margin(1e-5));
    CHECK(gap.de == Approx(row.number("dep_misclosure")).margin(1e-5));
    CHECK(length(gap) == Approx(row.number("linear_misclosure")).margin(1e-5));
    CHECK(perimeter(courses) == Approx(row.number("perimeter")).margin(1e-6));
    CHECK(perimeter(courses) / length(gap) == Approx(row.number("precision_denominator")).margin(0.06));
    CHECK(enclosed_area(balanced_by_compass_rule(courses)) ==
          Approx(row.number("area_after_compass_rule")).margin(0.01));
  }
}

// The same pages, course by course: printed latitudes and departures to the digits printed, balanced ones likewise.
TEST_CASE("latitudes, departures and compass-rule values are those printed, course by course") {
  std::map<std::string, double> printed_to{{"T1", 0.015}, {"T2", 0.001},  {"T3", 0.001},
                                           {"T4", 0.001}, {"T5", 0.0001}, {"T6", 0.011}};
  for (const auto& row : reference::table("traverse-expected.csv")) {
    INFO(row.text("id") << " course " << row.text("seq"));
    const auto courses = printed_courses(row.text("id"));
    const auto balanced = balanced_by_compass_rule(courses);
    const auto i = static_cast<std::size_t>(row.number("seq")) - 1;
    const double tolerance = printed_to.at(row.text("id"));
    CHECK(courses[i].chord.dn == Approx(row.number("pub_lat")).margin(tolerance));
    CHECK(courses[i].chord.de == Approx(row.number("pub_dep")).margin(tolerance));
    if (!row.empty("pub_bal_lat")) {
      CHECK(balanced[i].chord.dn == Approx(row.number("pub_bal_lat")).margin(tolerance));
      CHECK(balanced[i].chord.de == Approx(row.number("pub_bal_dep")).margin(tolerance));
    }
    CHECK(balanced[i].chord.dn == Approx(row.number("own_bal_lat")).margin(1e-5));
    CHECK(balanced[i].chord.de == Approx(row.number("own_bal_dep")).margin(1e-5));
  }
}

// Hicks, Handbook of Civil Engineering Calculations, area of a tract by double meridian distances: balanced latitudes
// and departures as printed; the area by the DMDs of the same table is 72106.19 square feet.
TEST_CASE("the area of a handbook tract agrees with its double meridian distances") {
  const double lat[] = {-132.3, 9.6, 97.9, 161.9, -35.3, -101.8}, dep[] = {-135.6, -77.5, -198.5, 143.6, 246.7, 21.3};
  std::vector<TraverseCourse> courses;
  for (int i = 0; i < 6; ++i) courses.push_back({{dep[i], lat[i]}, std::nullopt});
  CHECK(enclosed_area(courses) == Approx(72106.19).margin(0.01));
}

// City of Miami FL, Exhibit A, less-out parcel: printed in metres and in feet. Misclosure and area computed
// independently.
TEST_CASE("a recorded triangle closes alike in metres and feet") {
  const auto deed = [](double a, double b, double c) {
    return std::vector<TraverseCourse>{{a * direction(*parse_bearing("S 87-42-40 W").value), std::nullopt},
                                       {b * direction(*parse_bearing("N 00-30-14 W").value), std::nullopt},
                                       {c * direction(*parse_bearing("S 02-15-35 E").value), std::nullopt}};
  };
  const auto metres = deed(2.315, 75.56, 75.525), feet = deed(7.60, 247.90, 247.78);
  CHECK(misclosure(metres).dn == Approx(-0.001647).margin(1e-5));
  CHECK(misclosure(metres).de == Approx(0.000245).margin(1e-5));
  CHECK(perimeter(metres) / length(misclosure(metres)) == Approx(92112).epsilon(0.002));
  CHECK(enclosed_area(metres) == Approx(87.427).margin(0.01));
  CHECK(length(misclosure(feet)) == Approx(0.0043).margin(1e-4));
  CHECK(enclosed_area(feet) == Approx(941.034).margin(0.01));
}

// Deeds and course problems named in tests/reference/curves.csv, to the digits printed.
TEST_CASE("arc, chord and middle ordinate are those of the published curves") {
  for (const auto& row : reference::table("curves.csv")) {
    INFO(row.text("id"));
    const CurveElements c = curve_elements(row.number("R"), angle(row.text("delta_dms")));
    const double tolerance = row.number("tol");
    if (!row.empty("pub_L")) CHECK(c.arc == Approx(row.number("pub_L")).margin(tolerance));
    if (!row.empty("pub_C")) CHECK(c.chord == Approx(row.number("pub_C")).margin(tolerance));
    if (!row.empty("pub_M")) CHECK(c.middle_ordinate == Approx(row.number("pub_M")).margin(tolerance));
  }
}

TEST_CASE("a circle of two half arcs has the circle's area and its points lie on it") {
  const double r = 12.5;
  const std::vector<TraverseCourse> circle{{{2 * r, 0}, ArcShape{true, r, pi}}, {{-2 * r, 0}, ArcShape{true, r, pi}}};
  CHECK(enclosed_area(circle) == Approx(pi * r * r));
  for (const PlanPoint p : arc_points({0, 0}, circle[0], 0.003)) {
    CHECK(distance(p, {r, 0}) == Approx(r));
    CHECK(p.n < 0);  // turning left from the west end, the way goes round by the south
  }
  Ring ring{{0, 0}};
  for (const PlanPoint p : arc_points({0, 0}, circle[0], 0.003)) ring.push_back(p);
  ring.push_back({2 * r, 0});
  for (const PlanPoint p : arc_points({2 * r, 0}, circle[1], 0.003)) ring.push_back(p);
  CHECK(signed_area(ring) == Approx(pi * r * r).epsilon(0.001));
}

TEST_CASE("a corner cut by an arc to the right loses the spandrel") {
  // A square of 20, run clockwise, its north-east corner rounded with a radius of 5.
  const std::vector<TraverseCourse> courses{{{0, 20}, std::nullopt},
                                            {{15, 0}, std::nullopt},
                                            {{5, -5}, ArcShape{false, 5, pi / 2}},
                                            {{0, -15}, std::nullopt},
                                            {{-20, 0}, std::nullopt}};
  CHECK(length(misclosure(courses)) < 1e-12);
  CHECK(enclosed_area(courses) == Approx(400 - (1 - pi / 4) * 25));
}

TEST_CASE("the one mistyped course is found, whatever is wrong with it") {
  const std::vector<TraverseCourse> right{
      {{3, 36}, std::nullopt}, {{21, -2}, std::nullopt}, {{-2, -36}, std::nullopt}, {{-22, 2}, std::nullopt}};
  REQUIRE(length(misclosure(right)) == 0);
  const auto first = [](std::vector<TraverseCourse> courses) {
    const auto found = explain_misclosure(courses, 0.05);
    REQUIRE(!found.empty());
    return found[0];
  };
  auto wrong = right;
  wrong[1].chord = -wrong[1].chord;
  CHECK(first(wrong).kind == CourseMistake::Kind::reversed);
  CHECK(first(wrong).course == 1);
  wrong = right;
  wrong[0].chord.de = -wrong[0].chord.de;
  CHECK(first(wrong).kind == CourseMistake::Kind::east_for_west);
  CHECK(first(wrong).course == 0);
  wrong = right;
  wrong[3].chord.dn = -wrong[3].chord.dn;
  CHECK(first(wrong).kind == CourseMistake::Kind::north_for_south);
  wrong = right;
  wrong[2].chord = 1.4 * wrong[2].chord;
  CHECK(first(wrong).kind == CourseMistake::Kind::length);
  CHECK(first(wrong).course == 2);
  CHECK(first(wrong).length == Approx(length(right[2].chord)).epsilon(0.01));
  wrong = right;
  wrong[1].chord = length(wrong[1].chord) * direction({1.1});
  CHECK(first(wrong).kind == CourseMistake::Kind::bearing);
  CHECK(first(wrong).course == 1);
  CHECK(first(wrong).bearing.radians == Approx(azimuth(right[1].chord).radians).margin(0.01));
}
