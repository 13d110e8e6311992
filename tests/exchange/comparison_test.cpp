#include "exchange/comparison.hpp"

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include "measure/length.hpp"

using namespace swingtie;

TEST_CASE("two visits as JSON: in the later job's unit, null where a spot was not seen") {
  Placed later;
  later.unit = LengthUnit::foot;
  later.lines.emplace_back().id = "main";
  Comparison comparison;
  comparison.earlier_inspected = "2024-04-18";
  comparison.later_inspected = "2026-04-18";
  comparison.counter_shift = 2 * metres_per_foot;
  ItemChange grown;
  grown.change = Change::grown;
  grown.earlier_at = {10 * metres_per_foot};
  grown.later_at = {12 * metres_per_foot};
  grown.earlier_what = "joint offset 1/2 in";
  grown.later_what = "joint offset 1 in";
  grown.station = {11 * metres_per_foot};
  grown.station95 = {10.5 * metres_per_foot, 11.5 * metres_per_foot};
  grown.probability = 0.97;
  ItemChange appeared;
  appeared.change = Change::appeared;
  appeared.later_at = {20 * metres_per_foot};
  appeared.later_what = "fine roots \xff";  // a stray byte stops nothing
  comparison.changes = {grown, appeared};

  const auto json = nlohmann::json::parse(write_json(later, comparison));
  CHECK(json.at("units") == "ft");
  CHECK(json.at("counter_shift") == 2.0);
  REQUIRE(json.at("changes").size() == 2);
  const auto& first = json.at("changes").at(0);
  CHECK(first.at("change") == "grown");
  CHECK(first.at("line") == "main");
  CHECK(first.at("station") == 11.0);
  CHECK(first.at("station95") == nlohmann::json({10.5, 11.5}));
  CHECK(first.at("earlier").at("at") == 10.0);
  CHECK(first.at("later").at("what") == "joint offset 1 in");
  CHECK(first.at("probability") == 0.97);
  const auto& second = json.at("changes").at(1);
  CHECK(second.at("change") == "appeared");
  CHECK(second.at("earlier").is_null());
  CHECK(second.at("later").at("at") == 20.0);
}
