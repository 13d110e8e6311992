#include "measure/length.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <random>

using namespace swingtie;

namespace {

double metres(std::string_view text, LengthUnit unit = LengthUnit::foot) {
  const auto parsed = parse_length(text, unit);
  INFO(text << ": " << parsed.fault.message);
  REQUIRE(parsed.value);
  return *parsed.value;
}

TextFault fault(std::string_view text, LengthUnit unit = LengthUnit::foot) {
  const auto parsed = parse_length(text, unit);
  INFO(text);
  REQUIRE_FALSE(parsed.value);
  return parsed.fault;
}

}  // namespace

// NIST Special Publication 811 (2008), Appendix B.6: 1 ft = 0.3048 m exactly; 1 US survey foot = 1200/3937 m,
// printed 3.048006 E-01.
TEST_CASE("both feet are those of their definitions") {
  CHECK(metres("1 ft") == 0.3048);
  CHECK(metres("1 ft", LengthUnit::us_survey_foot) == 1200.0 / 3937.0);
  CHECK(metres("1 us-ft") == Approx(0.3048006).margin(5e-8));
  CHECK(metres("1 in") == Approx(0.0254).epsilon(1e-15));
  CHECK(metres("1 yd") == Approx(0.9144).epsilon(1e-15));
  CHECK(metres("39.37 in", LengthUnit::us_survey_foot) == Approx(1.0).epsilon(1e-15));
}

// Gunter's chain of 66 ft, 100 links, 4 rods: NIST SP 811, Appendix B.6, note 22 lists them on the survey foot.
TEST_CASE("the units of old deeds follow the site's foot") {
  CHECK(metres("1 chain", LengthUnit::us_survey_foot) == Approx(20.11684).margin(5e-6));
  CHECK(metres("2 ch 50 lk") == Approx(165 * 0.3048));
  CHECK(metres("4 rods") == Approx(66 * 0.3048));
  CHECK(metres("100 links") == Approx(66 * 0.3048));
}

TEST_CASE("a length reads the same in every written form") {
  const double expected = 66 * 0.0254;
  for (const char* text : {"5.5",
                           "5.5'",
                           "5'6\"",
                           "5' 6\"",
                           "5'-6\"",
                           "5′6″",
                           "5′ 6″",
                           "5’6”",
                           "5'6''",
                           "5'6",
                           "5 ft 6 in",
                           "5ft6in",
                           "5 ft. 6 in.",
                           "5 feet 6 inches",
                           "5 foot 6 inches",
                           "5 FT 6 IN",
                           "66 in",
                           "66\"",
                           "66″",
                           "66 inches",
                           "+5.5",
                           " 5.5 ft ",
                           "5 1/2",
                           "5 1/2 ft",
                           "5-1/2 ft",
                           "5½'",
                           "5 ½ ft",
                           "5'5 2/2\"",
                           "5.50 ft",
                           "1.6764 m",
                           "167.64 cm",
                           "1676.4 mm",
                           "1676.4mm",
                           "1 m 67.64 cm",
                           "5\u00A0ft 6 in",
                           "5 ft, 6 in"}) {
    if (std::string_view(text) == "5'5 2/2\"") {
      CHECK_FALSE(parse_length(text, LengthUnit::foot).value);
      continue;
    }
    INFO(text);
    CHECK(metres(text) == Approx(expected).epsilon(1e-14));
  }
  CHECK(metres("14'3 1/2\"") == Approx(171.5 * 0.0254).epsilon(1e-14));
  CHECK(metres("14'3½\"") == Approx(171.5 * 0.0254).epsilon(1e-14));
  CHECK(metres("14' 3-1/2\"") == Approx(171.5 * 0.0254).epsilon(1e-14));
  CHECK(metres("14'1/2\"") == Approx(168.5 * 0.0254).epsilon(1e-14));
  CHECK(metres("3/4 in") == Approx(0.75 * 0.0254).epsilon(1e-14));
  CHECK(metres(".5") == Approx(0.1524).epsilon(1e-14));
}

TEST_CASE("the sign stands before the whole length") {
  CHECK(metres("-0.3") == Approx(-0.3 * 0.3048));
  CHECK(metres("-5'6\"") == Approx(-66 * 0.0254));
  CHECK(metres("−5'6\"") == Approx(-66 * 0.0254));
}

TEST_CASE("a plain number is in the site's unit, a marked one in its own") {
  CHECK(metres("2", LengthUnit::metre) == 2.0);
  CHECK(metres("2 ft", LengthUnit::metre) == Approx(0.6096));
  CHECK(metres("2 m", LengthUnit::us_survey_foot) == 2.0);
  CHECK(metres("5'6\"", LengthUnit::us_survey_foot) == Approx(5.5 * metres_per_us_survey_foot).epsilon(1e-15));
}

TEST_CASE("what can be read in two ways is refused") {
  CHECK(fault("5-6").message == "`5-6` can be read in more than one way");
  CHECK(fault("5 6").message == "`5 6` can be read in more than one way");
  CHECK(fault("1,500").message == "`1,500` has a comma");
  CHECK(fault("5'14\"").message == "`14\"` is not less than the larger unit");
  CHECK(fault("5.5'6\"").message == "`5.5'` has a fraction although smaller units follow");
  CHECK(fault("5 3/2 ft").message == "`5 3/2` is not a proper fraction");
  CHECK(fault("1/0 in").message == "`1/0` is not a proper fraction");
}

TEST_CASE("what is not a length says where it stops being one") {
  CHECK(fault("").message == "a length is missing");
  CHECK(fault("twelve").message == "`twelve` is not a length");
  CHECK(fault("nan").message == "`nan` is not a length");
  CHECK(fault(".inf").message == "`.inf` is not a length");
  CHECK(fault("1e400").message == "`1e400` has an exponent");
  CHECK(fault("2e9 m").message == "`2e9 m` has an exponent");
  CHECK(fault("2000000000 m").message == "`2000000000 m` is too long to be a length here");
  CHECK(fault("40 fet").message == "`fet` is not a unit of length");
  CHECK(fault("40 fet").offset == 3);
  CHECK(fault("40 fet").length == 3);
  CHECK(fault("5'6\" deep").message == "`deep` cannot follow the length");
  CHECK(fault("5′6″ deep").offset == 5);
  CHECK(fault("5 ft 6 cm").message == "the second unit does not follow the first");
}

TEST_CASE("lengths print as a person reads them off a tape") {
  const double foot = 0.3048;
  CHECK(format_length(40.25 * foot, LengthUnit::foot, LengthStyle::decimal, 2) == "40.25 ft");
  CHECK(format_length(40.25 * foot, LengthUnit::foot, LengthStyle::tape) == "40'3\"");
  CHECK(format_length(40.27 * foot, LengthUnit::foot, LengthStyle::fine_tape) == "40'3 1/4\"");
  CHECK(format_length(40.295 * foot, LengthUnit::foot, LengthStyle::fine_tape) == "40'3 1/2\"");
  CHECK(format_length(39.97 * foot, LengthUnit::foot, LengthStyle::tape) == "40'0\"");
  CHECK(format_length(-0.01 * foot, LengthUnit::foot, LengthStyle::tape) == "0'0\"");
  CHECK(format_length(-5.5 * foot, LengthUnit::foot, LengthStyle::tape) == "-5'6\"");
  CHECK(format_length(12.2682, LengthUnit::metre, LengthStyle::tape) == "12.27 m");
  CHECK(format_length(12.2682, LengthUnit::metre, LengthStyle::fine_tape) == "12.268 m");
  CHECK(format_length(-0.0001, LengthUnit::metre, LengthStyle::decimal, 1) == "0.0 m");
  CHECK(format_length(metres_per_us_survey_foot, LengthUnit::us_survey_foot, LengthStyle::decimal, 2) == "1.00 ft");
}

TEST_CASE("what is printed reads back as the length it stands for") {
  const unsigned seed = 20260418;
  INFO("seed " << seed);
  std::mt19937 random(seed);
  for (int i = 0; i < 20000; ++i) {
    const double value = (static_cast<double>(random()) / 4294967296.0 - 0.5) * 2000;
    for (const LengthUnit unit : {LengthUnit::foot, LengthUnit::us_survey_foot, LengthUnit::metre}) {
      const double step = is_feet(unit) ? metres_per(unit) / 12 : 0.01;
      const std::string tape = format_length(value, unit, LengthStyle::tape);
      INFO(tape);
      REQUIRE(std::abs(metres(tape, unit) - value) <= step * 0.5001);
      REQUIRE(format_length(metres(tape, unit), unit, LengthStyle::tape) == tape);
      const std::string fine = format_length(value, unit, LengthStyle::fine_tape);
      INFO(fine);
      REQUIRE(std::abs(metres(fine, unit) - value) <= (is_feet(unit) ? step / 4 : 0.001) * 0.5001);
      const std::string decimal = format_length(value, unit, LengthStyle::decimal, 3);
      INFO(decimal);
      REQUIRE(std::abs(metres(decimal, unit) - value) <= 0.00050001 * metres_per(unit));
    }
  }
}
