#include <catch2/catch.hpp>

#include "sheet/drafting.hpp"
#include "sheet/style.hpp"

using namespace swingtie;

TEST_CASE("every built-in style has every look and type of the colour style") {
  const Style colour = *built_in_style("colour");
  for (const std::string& name : built_in_style_names()) {
    const Style style = *built_in_style(name);
    CHECK(style.looks.size() == colour.looks.size());
    CHECK(style.types.size() == colour.types.size());
    for (const auto& [type, look] : style.types) CHECK(look.size_pt >= 6);
  }
  CHECK(!built_in_style("sepia"));
}

TEST_CASE("utility colours are those of the public-works code") {
  // APWA uniform colour code: red electric, yellow gas, orange communication, blue water, green sewer
  // (tests/reference/utilities: each hue by its largest and smallest part).
  const Style s = *built_in_style("colour");
  const auto line = [&](const char* of) { return *s.look(of).line; };
  CHECK((line("electric").red > 180 && line("electric").green < 60 && line("electric").blue < 60));
  CHECK((line("gas").red > 180 && line("gas").green > 130 && line("gas").blue < 60));
  CHECK(
      (line("comms").red > 200 && line("comms").green > 80 && line("comms").green < 150 && line("comms").blue < 80));
  CHECK((line("water").blue > 150 && line("water").red < 60));
  CHECK((line("main").green > line("main").red + 80 && line("main").green > line("main").blue + 40));
}

TEST_CASE("utilities differ without their colour") {
  // Each carries its letter; the dashes differ as well.
  const Style s = *built_in_style("mono");
  CHECK(s.look("water").dash != s.look("gas").dash);
  CHECK(s.look("gas").dash != s.look("electric").dash);
  CHECK(s.look("electric").dash != s.look("comms").dash);
}

TEST_CASE("a style file changes a part and keeps the rest") {
  const auto read = read_style("based-on: mono\nlooks:\n  house: {width: 1.2}\ntypes:\n  item: {size: 9}\n");
  REQUIRE(read.value);
  CHECK(read.value->look("house").width == 1.2);
  CHECK(read.value->look("curb").line == built_in_style("mono")->look("curb").line);
  CHECK(read.value->type("item").size_pt == 9);
  CHECK(read_style("").value);
}

TEST_CASE("a wrong style file is told everything at once, with the place and the nearest name") {
  const std::string text =
      "based-on: colour\n"
      "looks:\n"
      "  hose: {width: 0.5}\n"
      "  house: {colour: \"#123456\", line: green, width: 90}\n"
      "types:\n"
      "  item: {size: 4}\n";
  const auto read = read_style(text);
  CHECK(!read.value);
  REQUIRE(read.diagnostics.size() == 5);
  CHECK(read.diagnostics[0].message == "unknown look `hose`");
  CHECK(read.diagnostics[0].hint == "did you mean `house`?");
  CHECK((read.diagnostics[0].at == Span{3, 3, 4}));
  CHECK(read.diagnostics[1].message == "unknown key `colour`");
  CHECK(read.diagnostics[2].message == "not a colour");
  CHECK((read.diagnostics[2].at == Span{4, 36, 5}));
  CHECK(read.diagnostics[3].message == "not a usable number");
  CHECK(read.diagnostics[4].expected == "a number from 6 to 72");
  CHECK(!read_style("[1, 2").value);
  CHECK(!read_style("- 1").value);
  CHECK(!read_style("based-on: sepia").value);
  CHECK(!read_style(std::string(70000, 'x')).value);
}

// WCAG 2.1, success criterion 1.4.3, and its definition of contrast ratio: black on white is 21 to 1, #767676 the
// lightest grey above 4.5 to 1 (4.54), #777777 below it (4.48).
TEST_CASE("a colour for letters is darkened as far as it must be to be read on white") {
  CHECK(legible(Colour{0, 0, 0}) == Colour{0, 0, 0});
  CHECK(legible(Colour{0x76, 0x76, 0x76}) == Colour{0x76, 0x76, 0x76});
  CHECK(!(legible(Colour{0x77, 0x77, 0x77}) == Colour{0x77, 0x77, 0x77}));
  const Colour gas = legible(Colour{0xc7, 0x9a, 0x00});
  CHECK(gas.red < 0xc7);
  CHECK(gas.red > gas.green);
  CHECK(gas.green > gas.blue);
}
