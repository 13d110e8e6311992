#include "measure/bearing.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <random>

using namespace swingtie;

namespace {

double degrees(std::string_view text) {
  const auto parsed = parse_bearing(text);
  INFO(text << ": " << parsed.fault.message);
  REQUIRE(parsed.value);
  return parsed.value->radians / degree;
}

std::string bearing_fault(std::string_view text) {
  const auto parsed = parse_bearing(text);
  INFO(text);
  REQUIRE_FALSE(parsed.value);
  return parsed.fault.message;
}

double at(double d, double m, double s) {
  return d + m / 60 + s / 3600;
}

}  // namespace

TEST_CASE("a quadrant bearing reads the same in every usual spelling") {
  for (const char* text :
       {"N 12°30'15\" E", "N 12° 30' 15\" E", "N 12-30-15 E", "N12-30-15E", "N 12 30 15 E", "n 12 30 15 e",
        "N12°30′15″E", "N 12º30’15” E", "N 12d30'15\" E", "North 12 degrees 30 minutes 15 seconds East",
        "N. 12° 30' 15\" E.", "N 12-30-15.0 E", "N 12:30:15 E", "N 12°30'15'' E", "N 12 deg 30 min 15 sec E"}) {
    INFO(text);
    CHECK(degrees(text) == Approx(at(12, 30, 15)).epsilon(1e-14));
  }
  CHECK(degrees("N 12.5 E") == Approx(12.5));
  CHECK(degrees("N12.5E") == Approx(12.5));
  CHECK(degrees("N 12 E") == Approx(12));
  CHECK(degrees("N 12-30 E") == Approx(12.5));
  CHECK(degrees("N 12°30' E") == Approx(12.5));
  CHECK(degrees("N 12 30.5 E") == Approx(at(12, 30.5, 0)));
}

TEST_CASE("each quadrant turns the right way") {
  CHECK(degrees("N 30 E") == Approx(30));
  CHECK(degrees("S 30 E") == Approx(150));
  CHECK(degrees("S 30 W") == Approx(210));
  CHECK(degrees("N 30 W") == Approx(330));
  CHECK(degrees("N 0 E") == Approx(0).margin(1e-12));
  CHECK(degrees("N 90 W") == Approx(270));
  CHECK(degrees("S 0 E") == Approx(180));
}

TEST_CASE("points of the compass are bearings") {
  CHECK(degrees("due north") == 0);
  CHECK(degrees("due West") == Approx(270));
  CHECK(degrees("N") == 0);
  CHECK(degrees("south") == Approx(180));
  CHECK(degrees("NE") == Approx(45));
  CHECK(degrees("southwest") == Approx(225));
  CHECK(degrees("south-west") == Approx(225));
  CHECK(parse_compass_point("nne")->radians == Approx(pi / 8));
  CHECK(parse_compass_point("South East")->radians == Approx(3 * pi / 4));
  CHECK_FALSE(parse_compass_point("up"));
  CHECK_FALSE(parse_compass_point(""));
  CHECK_FALSE(parse_compass_point("ns"));
}

TEST_CASE("azimuths are clockwise from grid north") {
  CHECK(degrees("347.5") == Approx(347.5));
  CHECK(degrees("126-55-17") == Approx(at(126, 55, 17)));
  CHECK(degrees("126°55'17\"") == Approx(at(126, 55, 17)));
  CHECK(degrees("126 55 17") == Approx(at(126, 55, 17)));
  CHECK(degrees("Az 126-55-17") == Approx(at(126, 55, 17)));
  CHECK(degrees("360") == 0);
  CHECK(degrees("0") == 0);
}

TEST_CASE("bearings that cannot be are refused with the reason") {
  CHECK(bearing_fault("N 95 E") == "`95` is more than a quadrant");
  CHECK(bearing_fault("N 12-60-00 E") == "`60` minutes make a whole degree");
  CHECK(bearing_fault("N 12-30-75 E") == "`75` seconds make a whole minute");
  CHECK(bearing_fault("N 12.5-30 E") == "`12.5-30` has a fraction before its last part");
  CHECK(bearing_fault("N 12.30.15 E") == "`12.30.15` has two decimal points");
  CHECK(bearing_fault("N 12 S") == "a quadrant bearing ends with E or W");
  CHECK(bearing_fault("N 12") == "a quadrant bearing ends with E or W");
  CHECK(bearing_fault("E 12 N") == "a quadrant bearing ends with E or W");
  CHECK(bearing_fault("E 12 W") == "a quadrant bearing begins with N or S");
  CHECK(bearing_fault("N.45E") == "the full stop in `N.45E` may be a decimal point");
  CHECK(bearing_fault("361") == "`361` is more than a full circle");
  CHECK(bearing_fault("") == "a bearing is missing");
  CHECK(bearing_fault("uphill") == "`uphill` is not a bearing");
  CHECK(bearing_fault("nan") == "`nan` is not a bearing");
  CHECK(bearing_fault("-5") == "`-5` is not a bearing");
  CHECK(bearing_fault("N 12 E 40") == "`40` cannot follow the bearing");
  CHECK(bearing_fault("N 12- E") == "no minutes after the hyphen");
}

TEST_CASE("angles are in degrees with fractions and signs") {
  CHECK(*parse_angle("45").value == Approx(pi / 4));
  CHECK(*parse_angle("22.5").value == Approx(pi / 8));
  CHECK(*parse_angle("22 1/2").value == Approx(pi / 8));
  CHECK(*parse_angle("22½°").value == Approx(pi / 8));
  CHECK(*parse_angle("-3").value == Approx(-3 * degree));
  CHECK(*parse_angle("28-49-34").value == Approx(at(28, 49, 34) * degree));
  CHECK(*parse_angle("28°49'34\"").value == Approx(at(28, 49, 34) * degree));
  CHECK_FALSE(parse_angle("361").value);
  CHECK_FALSE(parse_angle("left").value);
  CHECK_FALSE(parse_angle("1/0").value);
}

TEST_CASE("a course is a bearing and how far to go") {
  const auto check = [](std::string_view text, double bearing_deg, double metres) {
    const auto parsed = parse_course(text, LengthUnit::foot);
    INFO(text << ": " << parsed.fault.message);
    REQUIRE(parsed.value);
    CHECK(parsed.value->bearing.radians / degree == Approx(bearing_deg));
    CHECK(parsed.value->distance == Approx(metres));
  };
  check("N 04 30 00 E 118.00", 4.5, 118 * 0.3048);
  check("N 04°30'00\" E, 118.00'", 4.5, 118 * 0.3048);
  check("N 04-30-00 E for 118 feet", 4.5, 118 * 0.3048);
  check("N 12 E 40'6\"", 12, 40.5 * 0.3048);
  check("N 12 E 14'3 1/2\"", 12, 171.5 * 0.0254);
  check("due west 20", 270, 20 * 0.3048);
  check("W 20 m", 270, 20);
  check("NE 12.5", 45, 12.5 * 0.3048);
  check("347.5 40", 347.5, 40 * 0.3048);
  check("90 14 1/2", 90, 14.5 * 0.3048);
  check("126-55-17 118.00", at(126, 55, 17), 118 * 0.3048);
  check("126 55 17 118.00", at(126, 55, 17), 118 * 0.3048);
  check("126°55'17\" 118.00", at(126, 55, 17), 118 * 0.3048);
}

TEST_CASE("a course says what is missing, and where") {
  const auto fault = [](std::string_view text) { return parse_course(text, LengthUnit::foot).fault; };
  CHECK(fault("N 04 30 00 E").message == "`N 04 30 00 E` has no distance after the bearing");
  CHECK(fault("N 95 E 40").message == "`95` is more than a quadrant");
  CHECK(fault("N 95 E 40").offset == 2);
  CHECK(fault("N 45 E 40 fet").message == "`fet` is not a unit of length");
  CHECK(fault("N 45 E 40 fet").offset == 10);
  CHECK(fault("N 45 E -40").message == "a distance cannot be negative");
}

TEST_CASE("directions print to the nearest second and carry") {
  const auto quadrant = [](double deg) { return format_bearing({deg * degree}, BearingStyle::quadrant); };
  CHECK(quadrant(at(12, 30, 15)) == "N 12°30'15\" E");
  CHECK(quadrant(at(12, 59, 59.6)) == "N 13°00'00\" E");
  CHECK(quadrant(at(89, 59, 59.6)) == "N 90°00'00\" E");
  CHECK(quadrant(150) == "S 30°00'00\" E");
  CHECK(quadrant(210) == "S 30°00'00\" W");
  CHECK(quadrant(330) == "N 30°00'00\" W");
  CHECK(quadrant(-30) == "N 30°00'00\" W");
  CHECK(quadrant(at(359, 59, 59.7)) == "N 00°00'00\" E");
  CHECK(format_bearing({at(347, 30, 0) * degree}, BearingStyle::azimuth) == "347°30'00\"");
}

TEST_CASE("a printed bearing reads back to within half a second") {
  const unsigned seed = 41;
  INFO("seed " << seed);
  std::mt19937 random(seed);
  for (int i = 0; i < 20000; ++i) {
    const double radians = (static_cast<double>(random()) / 4294967296.0 * 6 - 3) * pi;
    for (const BearingStyle style : {BearingStyle::quadrant, BearingStyle::azimuth}) {
      const std::string text = format_bearing({radians}, style);
      INFO(text);
      const auto parsed = parse_bearing(text);
      REQUIRE(parsed.value);
      REQUIRE(std::abs(std::remainder(parsed.value->radians - radians, 2 * pi)) <= 0.5001 / 3600 * degree);
      REQUIRE(format_bearing(*parsed.value, style) == text);
    }
  }
}
