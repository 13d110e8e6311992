#include "findings/rules.hpp"

#include <catch2/catch.hpp>
#include <cmath>

#include "measure/bearing.hpp"

using namespace swingtie;

namespace {

const RuleSet& us() {
  return *built_in_rules("us");
}

bool asks(const RuleSet& rules, double depth, std::string_view words) {
  for (const auto& threshold : rules.passed(depth))
    if (threshold.says.find(words) != std::string::npos) return true;
  return false;
}

constexpr double ft = metres_per_foot;

}  // namespace

// 29 CFR 1926.651(c)(2): "4 feet or more in depth".
TEST_CASE("a hole of 4.00 ft needs a ladder, one of 3.99 ft does not") {
  CHECK(asks(us(), 4.00 * ft, "ladder"));
  CHECK_FALSE(asks(us(), 3.99 * ft, "ladder"));
}

// 29 CFR 1926.651(g)(1)(i): "greater than 4 feet".
TEST_CASE("the air is tested above 4 ft, not at 4.00 ft") {
  CHECK_FALSE(asks(us(), 4.00 * ft, "air"));
  CHECK(asks(us(), 4.01 * ft, "air"));
}

// 29 CFR 1926.652(a)(1)(ii): excavations "less than 5 feet" may go without when a competent person sees no sign of a
// cave-in.
TEST_CASE("a hole of 5.00 ft needs protection, one of 4.99 ft does not by its depth alone") {
  CHECK(asks(us(), 5.00 * ft, "shoring"));
  CHECK_FALSE(asks(us(), 4.99 * ft, "shoring"));
  CHECK(asks(us(), 4.99 * ft, "no sign that it could cave in"));
  CHECK_FALSE(asks(us(), 5.00 * ft, "no sign that it could cave in"));
}

// 29 CFR 1926 Subpart P Appendix B: deeper than 20 ft is designed by a registered professional engineer.
TEST_CASE("an engineer designs what is deeper than 20 ft; at 20.00 ft the table still holds") {
  CHECK_FALSE(asks(us(), 20.00 * ft, "engineer"));
  CHECK(asks(us(), 20.01 * ft, "engineer"));
  CHECK(us().slope_limit == Approx(20 * ft).margin(1e-9));
}

// 29 CFR 1926 Subpart P Appendix B, Table B-1: H:V and the angle printed beside it, in whole degrees.
TEST_CASE("slopes are those of Table B-1, and agree with the angles printed there") {
  const std::vector<std::tuple<Soil, double, double>> table{
      {Soil::rock, 0.0, 90}, {Soil::a, 0.75, 53}, {Soil::b, 1.0, 45}, {Soil::c, 1.5, 34}};
  for (const auto& [soil, ratio, angle_deg] : table) {
    const auto row =
        std::find_if(us().slopes.begin(), us().slopes.end(), [s = soil](const auto& x) { return x.soil == s; });
    REQUIRE(row != us().slopes.end());
    CHECK(row->ratio == ratio);
    CHECK(std::atan2(1, row->ratio) / degree == Approx(angle_deg).margin(0.5));
  }
}

// 29 CFR 1926 Subpart P Appendix A: soil that was disturbed before is never type A; Appendix B: without a
// classification the sides are those of type C.
TEST_CASE("soil that the job does not name is type C") {
  CHECK(us().unsaid_soil == Soil::c);
}

// 29 CFR 1926.651(j)(2): "at least 2 feet".
TEST_CASE("spoil stays 2 ft from the edge") {
  CHECK(us().spoil_setback == Approx(2 * ft));
}

// 18 in each side: Mississippi and Colorado one-call centers.
TEST_CASE("the tolerance zone is 18 in each side") {
  CHECK(us().tolerance_zone == Approx(18 * metres_per_inch));
}

// Model WHS Regulations (Australia) r. 306: a trench "at least 1.5 m" deep.
TEST_CASE("the Australian set asks for secured sides at 1.50 m and not at 1.49 m") {
  const RuleSet& au = *built_in_rules("au");
  CHECK(asks(au, 1.50, "shored, benched or battered"));
  CHECK_FALSE(asks(au, 1.49, "shored, benched or battered"));
  CHECK(au.slopes.empty());
}

TEST_CASE("the empty set knows no thresholds and no slopes") {
  CHECK(built_in_rules("none")->passed(30).empty());
  CHECK(built_in_rules("none")->slopes.empty());
  CHECK(built_in_rules("mars") == nullptr);
}

// 1 ft per inch: Vancouver (Washington) VMC 20.170.100. 1.25 ft per inch, at least 6 ft: North Carolina Urban Forest
// Council (its own example, 30 ft for 20 in, contradicts its rule and is not used). 1.5 ft per inch, 10 in -> 15 ft:
// City of Edina (Minnesota) FAQ 975.
TEST_CASE("root zones of a 20 in trunk are 20, 25 and 30 ft by the three published rules") {
  REQUIRE(us().root_zones.size() == 3);
  const double trunk = 20 * metres_per_inch;
  CHECK(radius_of(us().root_zones[0], trunk) == Approx(20 * ft));
  CHECK(radius_of(us().root_zones[1], trunk) == Approx(25 * ft));
  CHECK(radius_of(us().root_zones[2], trunk) == Approx(30 * ft));
  CHECK(radius_of(us().root_zones[1], 3 * metres_per_inch) == Approx(6 * ft));
  CHECK(radius_of(us().root_zones[2], 10 * metres_per_inch) == Approx(15 * ft));
  CHECK(us().root_zone(std::nullopt) == 0);
}

// BS 5837:2012, 4.6 and Annex D: radius 12 times the stem diameter, area capped at 707 m2 (radius 15.0 m).
TEST_CASE("the metric root zone is 12 stem diameters, at most 15 m") {
  const auto& zone = built_in_rules("none")->root_zones.front();
  CHECK(radius_of(zone, 0.50) == Approx(6.0));
  CHECK(pi * std::pow(radius_of(zone, 0.50), 2) == Approx(113.097).margin(0.0005));
  CHECK(radius_of(zone, 1.25) == Approx(15.0));
  CHECK(pi * std::pow(radius_of(zone, 1.25), 2) == Approx(706.858).margin(0.0005));
  CHECK(radius_of(zone, 1.5) == Approx(15.0));
}

// International Plumbing Code, Table 704.1.
TEST_CASE("least slopes by pipe size are those of the published table") {
  CHECK(*us().minimum_slope(2.5 * metres_per_inch) == Approx(0.0208333).margin(5e-8));
  CHECK(*us().minimum_slope(3 * metres_per_inch) == Approx(0.0104167).margin(5e-8));
  CHECK(*us().minimum_slope(6 * metres_per_inch) == Approx(0.0104167).margin(5e-8));
  CHECK(*us().minimum_slope(8 * metres_per_inch) == Approx(0.00520833).margin(5e-9));
  // 100 ft at 1/4 in per ft: 25 in.
  CHECK(100 * ft * *us().minimum_slope(2 * metres_per_inch) == Approx(25 * metres_per_inch));
  CHECK_FALSE(built_in_rules("au")->minimum_slope(0.1).has_value());
}

// Ten States Standards 8.8: 10 ft on the level, 18 in between the pipes where closer.
TEST_CASE("separation from water is 10 ft on the level, 18 in up and down") {
  REQUIRE(us().separations.size() == 1);
  CHECK(us().separations[0].kind == "water");
  CHECK(us().separations[0].horizontal == Approx(10 * ft));
  CHECK(us().separations[0].vertical == Approx(18 * metres_per_inch));
}

TEST_CASE("a rule set that somebody else wrote is read, with its own units") {
  const auto read = read_rules(
      "rules: alberta\ntitle: OHS Code\nunits: m\nthresholds:\n"
      "  - {depth: 1.5 m, when: above, says: shored or cut back, cite: OHS Code 450}\n"
      "slopes: {c: 1}\nslope_names: {c: likely to crack or crumble}\nslope_limit: 3\n");
  REQUIRE(read.value);
  CHECK(read.value->passed(1.5).empty());
  CHECK(read.value->passed(1.51).size() == 1);
  CHECK(read.value->slope_limit == 3.0);
}

TEST_CASE("faults of a rule set are all told, with their lines") {
  const auto read =
      read_rules("rules: x\nbuket: 2 ft\nspoil_setback: far\nthresholds:\n  - {depth: -4 ft, wen: above}\n");
  CHECK_FALSE(read.value);
  REQUIRE(read.diagnostics.size() == 4);
  CHECK(read.diagnostics[0].message == "unknown key `buket`");
  CHECK(read.diagnostics[0].hint == "did you mean `bucket`?");
  CHECK(read.diagnostics[0].at.line == 2);
  CHECK(read.diagnostics[1].at.line == 5);
  CHECK(read.diagnostics[2].at.line == 5);
  CHECK(read.diagnostics[3].at.line == 3);
  CHECK_FALSE(read_rules("[1, 2").value);
  CHECK_FALSE(read_rules("").value);
}
