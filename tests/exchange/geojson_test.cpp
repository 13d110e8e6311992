#include "exchange/geojson.hpp"

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include "exchange/formats.hpp"
#include "exchange/invented.hpp"

using namespace swingtie;
using Json = nlohmann::json;

namespace {

std::string bytes_of(const invented::Lot& lot) {
  const std::vector<JobFindings> jobs{lot.result()};
  return write_geojson(jobs);
}

/// Twice the signed area of a closed ring in degrees: positive when counter-clockwise.
double shoelace(const Json& ring) {
  double sum = 0;
  for (std::size_t i = 0; i + 1 < ring.size(); ++i)
    sum += ring[i][0].get<double>() * ring[i + 1][1].get<double>() -
           ring[i + 1][0].get<double>() * ring[i][1].get<double>();
  return sum;
}

}  // namespace

TEST_CASE("GeoJSON rings are closed; outer ones turn left and holes right (RFC 7946, section 3.1.6)") {
  const Json all = Json::parse(bytes_of(invented::lot()));
  std::size_t areas = 0, holes = 0;
  for (const Json& feature : all.at("features")) {
    const Json& geometry = feature.at("geometry");
    if (geometry.at("type") != "Polygon") continue;
    ++areas;
    for (std::size_t i = 0; i < geometry.at("coordinates").size(); ++i) {
      const Json& ring = geometry.at("coordinates")[i];
      CHECK(ring.size() >= 4);
      CHECK(ring.front() == ring.back());
      holes += i > 0;
      if (i == 0)
        CHECK(shoelace(ring) > 0);
      else
        CHECK(shoelace(ring) < 0);
    }
  }
  CHECK(areas == 5);  // house, corridor, region, window, hole
  CHECK(holes == 1);
}

TEST_CASE("GeoJSON coordinates have eight decimals and lie in the bounding box (RFC 7946, sections 4 and 5)") {
  const std::string bytes = bytes_of(invented::lot());
  // The south-west corner of the house is the origin of the test's own georeference.
  CHECK(bytes.find("[-81.40000000,41.20000000]") != std::string::npos);
  const Json all = Json::parse(bytes);
  CHECK(all.at("type") == "FeatureCollection");
  CHECK_FALSE(all.contains("crs"));
  const Json& box = all.at("bbox");
  REQUIRE(box.size() == 4);
  for (const Json& feature : all.at("features"))
    if (feature.at("geometry").at("type") == "Point") {
      CHECK(feature.at("geometry").at("coordinates")[0].get<double>() >= box[0].get<double>());
      CHECK(feature.at("geometry").at("coordinates")[1].get<double>() <= box[3].get<double>());
    }
}

TEST_CASE("every exported feature says how well it is known") {
  const Json all = Json::parse(bytes_of(invented::lot()));
  for (const Json& feature : all.at("features")) {
    INFO(feature.dump());
    CHECK(feature.at("properties").at("acc_h95").is_number());
    CHECK(feature.at("properties").at("basis").is_string());
    CHECK(feature.at("properties").at("units") == "ft");
  }
}

TEST_CASE("a job on a local grid without an anchor is refused with what to add") {
  invented::Lot lot = invented::lot();
  lot.placed.georeference.reset();
  try {
    bytes_of(lot);
    FAIL("it was written");
  } catch (const CannotExport& cannot) {
    CHECK(std::string(cannot.what()) == "`invented` lies on a local grid, and GeoJSON needs a place on the Earth");
    CHECK(cannot.hint.find("anchor:") != std::string::npos);
    CHECK(cannot.hint.find("crs:") != std::string::npos);
  }
}
