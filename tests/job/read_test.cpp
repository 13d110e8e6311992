#include <catch2/catch.hpp>
#include <cmath>
#include <fstream>
#include <sstream>

#include "job/job.hpp"

using namespace swingtie;

namespace {

std::string file(const std::string& name) {
  std::ifstream in(std::string(SWINGTIE_SOURCE_DIR) + "/tests/job/" + name);
  REQUIRE(in);
  std::stringstream text;
  text << in.rdbuf();
  return text.str();
}

Job read(const std::string& yaml) {
  const auto checked = read_job(yaml);
  std::string all;
  for (const Diagnostic& d : checked.diagnostics) all += render(d, "job.yaml", yaml, false);
  INFO(all);
  REQUIRE(checked.value);
  return *checked.value;
}

}  // namespace

TEST_CASE("the example of the documentation reads whole") {
  const Job job = read(file("good/design.yaml"));
  const double foot = 0.3048;
  CHECK(job.site.name == "27 Juniper Row, Eastmere");
  CHECK(job.site.crs->value == "EPSG:3734");
  CHECK(job.site.inspected == "2026-04-18");
  REQUIRE(job.features.size() == 7);

  const auto& deed = std::get<Deed>(job.features[0].geometry);
  REQUIRE(deed.calls.size() == 4);
  CHECK(*deed.calls[0].distance == Approx(118 * foot));
  CHECK(job.features[0].corners[1].value == "nw");

  const auto& walls = std::get<Walls>(job.features[1].geometry);
  REQUIRE(walls.legs.size() == 4);
  CHECK(walls.legs[0].turn == 0);
  CHECK(walls.legs[1].turn == Approx(std::acos(-1.0) / 2));
  CHECK(walls.legs[1].distance == Approx(42 * foot));
  const auto& start = std::get<ByOffset>(walls.start.recipe);
  CHECK(start.toward == ByOffset::Toward::in);
  CHECK(start.offset.value == Approx(38 * foot));
  CHECK(std::get<EdgeName>(start.base).to == "se");

  const auto& row = std::get<OffsetLine>(job.features[3].geometry);
  CHECK(row.toward->feature == "house");

  const auto& linden = job.features[4];
  CHECK(linden.trunk->value == Approx(14 * 0.0254));
  const auto& ties = std::get<ByTies>(std::get<PointGeometry>(linden.geometry).at.recipe);
  REQUIRE(ties.ties.size() == 2);
  CHECK(ties.ties[1].from.corner == "se");
  CHECK(ties.ties[1].distance.value == Approx(33.5 * foot));
  CHECK(ties.side->kind == SideWord::Kind::toward);
  CHECK(ties.side->feature == "curb");

  CHECK(std::get<FileSource>(job.features[6].geometry).where == "PIN = '07-113'");
  CHECK(job.lines[0].end.kind == LineEnd::Kind::city_main);

  const RunEntry& run = job.runs.at(0);
  CHECK(run.from.what == "basement floor clean-out");
  CHECK(run.from.drop.value == Approx(2.5 * foot));
  CHECK(run.from.at.within->value == Approx(0.5 * foot));
  CHECK(run.sonde_behind_lens == Approx(11 * 0.0254));
  REQUIRE(run.log.size() == 5);
  CHECK(run.log[0].pipe->value.size == Approx(4 * 0.0254));
  CHECK(run.log[0].pipe->value.material == "cast iron");
  CHECK(run.log[1].bend->value.hand == Hand::left);
  CHECK(*run.log[1].bend->value.angle == Approx(std::acos(-1.0) / 4));
  CHECK(run.log[2].act == Act::dig);
  CHECK(run.log[4].end->value == "city main");
  REQUIRE(run.locates.size() == 2);
  CHECK(run.locates[0].depth.across->value == Approx(6.3 * foot));
  CHECK(run.locates[1].depth.along->value == Approx(7.5 * foot));
  CHECK(std::get<ByOffset>(run.locates[1].position.recipe).toward == ByOffset::Toward::right);
  CHECK(job.ownership.until == PrivateUntil::right_of_way);
}
