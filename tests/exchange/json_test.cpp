#include "exchange/json.hpp"

#include <catch2/catch.hpp>
#include <limits>
#include <nlohmann/json.hpp>

#include "exchange/invented.hpp"

using namespace swingtie;
using Json = nlohmann::json;

namespace {

Json json_of(const invented::Lot& lot) {
  return Json::parse(write_json(lot.result()));
}

}  // namespace

TEST_CASE("JSON has the keys that programs outside rely on, in the site's unit and in degrees") {
  const Json all = json_of(invented::lot());
  CHECK(all.at("swingtie") == 1);
  CHECK(all.at("units") == "ft");

  const Json& line = all.at("lines").at(0);
  CHECK(line.at("id") == "main");
  CHECK(line.at("length") == 60.0);
  const Json& station = line.at("stations").at(1);
  CHECK(station.at("station") == 10.0);
  CHECK(station.at("e") == 9.0);
  CHECK(station.at("n") == -11.0);
  CHECK(station.at("depth") == 4.2);
  CHECK(station.at("depth95") == Json::array({3.7, 4.7}));
  CHECK(station.at("ellipse95").at("major") == 0.6);
  CHECK(station.at("ellipse95").at("minor") == 0.4);
  CHECK(station.at("ellipse95").at("azimuth") == 17.19);  // 0.3 rad

  const Json& item = all.at("items").at(0);
  CHECK(item.at("run") == "R1");
  CHECK(item.at("at") == 21.0);
  CHECK(item.at("line") == "main");
  CHECK(item.at("station") == 20.0);
  CHECK(item.at("what") == "joint offset 1 in");
  CHECK(item.at("act") == "dig");
  CHECK(item.at("private_probability") == 0.9987);
  CHECK(item.at("region95").at("type") == "Polygon");
  const Json& ring = item.at("region95").at("coordinates").at(0);
  CHECK(ring.size() == 5);
  CHECK(ring.front() == ring.back());

  const Json& crossing = all.at("crossings").at(0);
  CHECK(crossing.at("feature") == "row");
  CHECK(crossing.at("station95") == Json::array({38.2, 39.8}));

  CHECK(all.at("explanations").at(0).at("what") == "wrong-hand");
  CHECK(all.at("alternatives").at(0).at("probability") == 0.9);
  CHECK(all.at("alternatives").at(0).at("route").size() == 2);
  const Json& dig = all.at("dig").at(0);
  CHECK(dig.at("window").at("type") == "Polygon");
  CHECK(dig.at("contains_probability") == 0.957);
  CHECK(dig.at("ties").at(0).at("from") == "house.sw");
  CHECK(dig.at("ties").at(0).at("distance") == 22.85);
  const Json& next = all.at("next_locates").at(0);
  CHECK(next.at("for") == "crossing row");
  CHECK(next.at("now95") == 2.9);
  CHECK(next.at("then95") == 1.1);
  // Its answer is a probability, which no unit of length may touch.
  CHECK(all.at("next_locates").at(1).at("now95") == 0.91);
}

TEST_CASE("JSON says null where a stage had no number, and stays JSON") {
  invented::Lot lot = invented::lot();
  lot.findings.items[0].private_probability.reset();
  lot.findings.items[0].depth = std::numeric_limits<double>::quiet_NaN();
  lot.findings.lines[0].stations[0].depth95.high = std::numeric_limits<double>::infinity();
  lot.placed.site_name = "stray \xff byte";
  const Json all = json_of(lot);
  CHECK(all.at("items").at(0).at("private_probability").is_null());
  CHECK(all.at("items").at(0).at("depth").is_null());
  CHECK(all.at("lines").at(0).at("stations").at(0).at("depth95").at(1).is_null());
}

TEST_CASE("a region of two parts is a MultiPolygon") {
  invented::Lot lot = invented::lot();
  lot.findings.items[0].region95.push_back(invented::box(20, 20, 21, 21));
  const Json region = json_of(lot).at("items").at(0).at("region95");
  CHECK(region.at("type") == "MultiPolygon");
  CHECK(region.at("coordinates").size() == 2);
}

TEST_CASE("the same findings give the same JSON bytes") {
  CHECK(write_json(invented::lot().result()) == write_json(invented::lot().result()));
}
