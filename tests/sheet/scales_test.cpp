#include <catch2/catch.hpp>

#include "sheet/make_sheets.hpp"
#include "sheet/scales.hpp"

using namespace swingtie;

// Engineer's scales 1 in = 10, 20 … 60 ft are 1:120, 240 … 720 (arithmetic; tests/reference/sheets).
TEST_CASE("scales are read as people write them") {
  CHECK(*parse_scale("1:240").value == 240);
  CHECK(*parse_scale("240").value == 240);
  CHECK(*parse_scale("1\"=20'").value == Approx(240));
  CHECK(*parse_scale("1 in = 20 ft").value == Approx(240));
  CHECK(*parse_scale("1 : 250").value == 250);
  CHECK(*parse_scale("1/8 in = 1 ft").value == Approx(96));
  for (const char* wrong : {"", "big", "1:0", "0:5", "1:-5", "1:nan", "1=1", "3", "1:99999999", "inch = foot"}) {
    INFO(wrong);
    CHECK(!parse_scale(wrong).value);
  }
}

TEST_CASE("scales are printed in the site's unit") {
  CHECK(format_scale(240, LengthUnit::foot) == "1\" = 20'");
  CHECK(format_scale(250, LengthUnit::metre) == "1:250");
  CHECK(format_scale(250, LengthUnit::foot) == "1:250");
}

// A lot of 50 by 120 ft on 11 x 17 with half-inch margins (16 x 10 in): 1 in = 10 ft needs 12 x 5 in and fits. On
// letter (10 x 7.5 in) 10 ft fails and 20 ft fits (arithmetic; tests/reference/sheets).
TEST_CASE("the largest standard scale that fits is taken") {
  const double long_side = 120 * 0.3048, short_side = 50 * 0.3048;
  CHECK(scale_to_fit(LengthUnit::foot, long_side, short_side, 16 * 25.4, 10 * 25.4) == 120);
  CHECK(scale_to_fit(LengthUnit::foot, long_side, short_side, 10 * 25.4, 7.5 * 25.4) == 240);
}

TEST_CASE("kinds and papers are known by name") {
  for (const std::string& name : sheet_kind_names()) CHECK(sheet_kind_name(*sheet_kind(name)) == name);
  for (const std::string& name : paper_names()) CHECK(paper_name(*paper(name)) == name);
  CHECK(paper("ANSI-D") == Paper::ansi_d);
  CHECK(!paper("b5"));
  CHECK(!sheet_kind("pretty"));
}
