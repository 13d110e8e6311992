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

namespace {

/// A job with these lines in place of features, log and locates where given.
std::string job_with(const std::string& features, const std::string& run = "", const std::string& rest = "") {
  return "swingtie: 1\nsite: {units: ft}\nfeatures:\n" + features + "runs:\n  - id: R1\n    from: {at: [0, 0]}\n" +
         run + rest;
}

const double foot = 0.3048;
const double deg = std::acos(-1.0) / 180;

Position position_of(const std::string& written) {
  const Job job = read(job_with("  - {id: p, kind: mark, at: " + written + "}\n"));
  return std::get<PointGeometry>(job.features.at(0).geometry).at;
}

}  // namespace

TEST_CASE("every recipe for a position reads, in braces and as a block") {
  CHECK(std::get<ByCoordinates>(position_of("[12.5, -3]").recipe).n == Approx(-3 * foot));
  const Position with_radius = position_of("{at: [12.5, -3], within: 1.7}");
  CHECK(std::get<ByCoordinates>(with_radius.recipe).e == Approx(12.5 * foot));
  CHECK(with_radius.within->value == Approx(1.7 * foot));

  const Position fix = position_of("{lat: 41.2, lon: -81.4, within: 3.5 m}");
  CHECK(std::get<ByLonLat>(fix.recipe).lon_deg == -81.4);
  CHECK(fix.within->value == 3.5);

  const auto ties = std::get<ByTies>(position_of("{ties: {house.sw: 40'4\", hydrant: 12 m, pole: 7}}").recipe);
  REQUIRE(ties.ties.size() == 3);
  CHECK(ties.ties[1].from.feature == "hydrant");
  CHECK(ties.ties[1].from.corner.empty());
  CHECK_FALSE(ties.side);

  const auto block = std::get<ByTies>(
      position_of("\n      {ties: {house.sw: 5' 6\",\n       house.se: 7′ 3½″}, side: away from pole}").recipe);
  CHECK(block.ties[1].distance.value == Approx((7 * 12 + 3.5) * 0.0254));
  CHECK(block.side->kind == SideWord::Kind::away_from);
  CHECK(block.side->feature == "pole");

  const auto compass = std::get<ByTies>(position_of("{ties: {a: 1, b: 2}, side: sw}").recipe);
  CHECK(compass.side->compass.radians == Approx(225 * deg));

  const auto offset = std::get<ByOffset>(position_of("{off: curb, from: curb.1, go: 72, left: 4.2}").recipe);
  CHECK(std::get<std::string>(offset.base) == "curb");
  CHECK(offset.from.corner == "1");
  CHECK(offset.toward == ByOffset::Toward::left);

  const auto edge = std::get<ByOffset>(position_of("{along: house.sw-se, go: 9, out: 2}").recipe);
  CHECK(std::get<EdgeName>(edge.base).from == "sw");
  CHECK(edge.from.corner == "sw");
  CHECK(edge.toward == ByOffset::Toward::out);

  const auto leg = std::get<ByLegs>(position_of("{from: house.sw, go: N 12 E 40'6\"}").recipe);
  REQUIRE(leg.legs.size() == 1);
  CHECK(leg.legs[0].distance == Approx(40.5 * foot));
  const auto legs = std::get<ByLegs>(position_of("{from: house.sw, go: [N 12 E 40, 347.5 12]}").recipe);
  REQUIRE(legs.legs.size() == 2);
  CHECK(legs.legs[1].bearing.radians == Approx(347.5 * deg));

  CHECK(std::get<OnFeature>(position_of("{on: hydrant}").recipe).feature.feature == "hydrant");
  CHECK(std::get<OnFeature>(position_of("house.sw").recipe).feature.corner == "sw");
}

TEST_CASE("a place points under the word that was meant") {
  const Position p = position_of("{ties: {house.sw: 40'4\", hydrant: 12 m}, side: toward pole}");
  const auto ties = std::get<ByTies>(p.recipe);
  //   - {id: p, kind: mark, at: {ties: {house.sw: 40'4", hydrant: 12 m}, side: toward pole}}
  CHECK(p.at == Span{4, 29, 59});
  CHECK(ties.ties[0].from.at == Span{4, 37, 8});
  CHECK(ties.ties[0].distance.at == Span{4, 47, 5});
  CHECK(ties.ties[1].from.at == Span{4, 54, 7});
  CHECK(ties.side->at == Span{4, 83, 4});
}

TEST_CASE("deeds take courses and arcs, as text and as maps") {
  const Job job = read(
      job_with("  - id: lot\n    kind: lot\n    deed:\n      start: [0, 0]\n      balance: none\n      calls:\n"
               "        - N 04 30 00 E 118.00\n"
               "        - arc left radius 475 delta 28-49-34 chord N 30-35-13 W 236.47 length 238.98\n"
               "        - {arc: right, radius: 475, delta: 28-49-34, chord: N 30-35-13 W 236.47, length: 238.98}\n"
               "        - {arc: right, radius: 20, length: 31.42}\n"
               "        - curve right, radius 20 ft, chord 28.28\n"));
  const auto& deed = std::get<Deed>(job.features.at(0).geometry);
  CHECK(deed.balance == Deed::Balance::none);
  REQUIRE(deed.calls.size() == 5);
  CHECK_FALSE(deed.calls[0].arc);
  for (const std::size_t i : {1, 2}) {
    const DeedCall& call = deed.calls[i];
    REQUIRE(call.arc);
    CHECK(call.arc->to_left == (i == 1));
    CHECK(call.arc->radius == Approx(475 * foot));
    CHECK(*call.arc->delta == Approx((28 + 49 / 60.0 + 34 / 3600.0) * deg));
    CHECK(*call.arc->arc_length == Approx(238.98 * foot));
    CHECK(call.bearing->radians == Approx((360 - (30 + 35 / 60.0 + 13 / 3600.0)) * deg));
    CHECK(*call.distance == Approx(236.47 * foot));
  }
  CHECK_FALSE(deed.calls[3].bearing);
  CHECK(*deed.calls[4].distance == Approx(28.28 * foot));
  CHECK_FALSE(deed.calls[4].arc->to_left);
}

TEST_CASE("walls turn by right angles unless they say how far") {
  const Job job =
      read(job_with("  - {id: house, kind: house, walls: {start: [0, 0], heading: 347.5, closed: false,\n"
                    "     legs: [28, R 42, left 10, R 45 12.5, R 22.5 14'3 1/2\", R 22 1/2 12]}}\n"));
  const auto& walls = std::get<Walls>(job.features.at(0).geometry);
  CHECK_FALSE(walls.closed);
  REQUIRE(walls.legs.size() == 6);
  const double turns[] = {0, 90, -90, 45, 22.5, 22.5};
  const double feet[] = {28, 42, 10, 12.5, 171.5 / 12, 12};
  for (std::size_t i = 0; i < 6; ++i) {
    CHECK(walls.legs[i].turn == Approx(turns[i] * deg).margin(1e-12));
    CHECK(walls.legs[i].distance == Approx(feet[i] * foot));
  }
}

TEST_CASE("the log takes bends and pipes as they are called out") {
  const Job job = read(job_with("  []\n",
                                "    log:\n"
                                "      - {at: 1, bend: left 45}\n"
                                "      - {at: 2, bend: right}\n"
                                "      - {at: 3, bend: 22 1/2}\n"
                                "      - {at: 4, bend: left 1/8 bend}\n"
                                "      - {at: 5, bend: unknown}\n"
                                "      - {at: 6, bend: 45 left}\n"
                                "      - {at: 7, bend: down 90}\n"
                                "      - {at: 8, pipe: 4\" clay}\n"
                                "      - {at: 9, pipe: 100 mm PVC}\n"
                                "      - {at: 10, pipe: vitrified clay}\n"
                                "      - {at: 11, wye: left, line: bath, photo: wye.jpg}\n"));
  const auto& log = job.runs.at(0).log;
  REQUIRE(log.size() == 11);
  const auto bend = [&](std::size_t i) { return log[i].bend->value; };
  CHECK(*bend(0).angle == Approx(45 * deg));
  CHECK(bend(1).hand == Hand::right);
  CHECK_FALSE(bend(1).angle);
  CHECK(*bend(2).angle == Approx(22.5 * deg));
  CHECK_FALSE(bend(2).hand);
  CHECK(*bend(3).angle == Approx(45 * deg));
  CHECK_FALSE(bend(4).hand);
  CHECK_FALSE(bend(4).angle);
  CHECK(bend(5).hand == Hand::left);
  CHECK(*bend(5).angle == Approx(45 * deg));
  CHECK(bend(6).hand == Hand::down);
  CHECK(log[7].pipe->value.size == Approx(4 * 0.0254));
  CHECK(log[7].pipe->value.material == "clay");
  CHECK(log[8].pipe->value.size == Approx(0.1));
  CHECK(log[9].pipe->value.size == 0);
  CHECK(log[9].pipe->value.material == "vitrified clay");
  CHECK(log[10].wye->value == Hand::left);
  CHECK(log[10].branch->value == "bath");
}

TEST_CASE("locates, lines, ground, ownership and digging read whole") {
  const Job job =
      read(job_with("  []\n",
                    "    toward: house\n"
                    "    counter: {zero: 3.5}\n"
                    "    bends: some\n"
                    "    locates:\n"
                    "      - {at: 40'6\", position: [1, 2], by: nulls, depth: {nulls: 7.4}, direction: N 40 W,"
                    " marked: white stake, within: 2}\n"
                    "      - {at: 41, position: [1, 2], depth: {ratio: {lower: 800, upper: 610, apart: 12 in}}}\n",
                    "lines:\n"
                    "  - {id: main, ends_at: city-main}\n"
                    "  - {id: bath, joins: main}\n"
                    "  - {id: out, ends_at: [5, 5]}\n"
                    "  - {id: up, ends_at: {on: hydrant}}\n"
                    "  - {id: side, ends_at: sewer}\n"
                    "ground: {spots: [{at: [0, 0], elevation: 812.5}]}\n"
                    "ownership: {private_until: station 42, source: city code}\n"
                    "dig: {rules: us, soil: C, bucket: 2 ft, working_room: 18 in}\n"));
  const RunEntry& run = job.runs.at(0);
  CHECK(run.toward == Travel::toward_house);
  CHECK(run.zero == CounterZero::stated);
  CHECK(run.zero_reading == Approx(3.5 * foot));
  CHECK(run.bends == Completeness::some);
  REQUIRE(run.locates.size() == 2);
  CHECK(run.locates[0].at.value.metres == Approx(40.5 * foot));
  CHECK(run.locates[0].by == LocateMethod::nulls);
  CHECK(run.locates[0].depth.nulls->value == Approx(7.4 * foot));
  CHECK(run.locates[0].direction->value.radians == Approx(320 * deg));
  CHECK(run.locates[0].within->value == Approx(2 * foot));
  CHECK(run.locates[1].depth.ratio->apart == Approx(foot));
  REQUIRE(job.lines.size() == 5);
  CHECK(job.lines[0].end.kind == LineEnd::Kind::city_main);
  CHECK(job.lines[1].end.kind == LineEnd::Kind::open);
  CHECK(job.lines[1].joins->value == "main");
  CHECK(job.lines[2].end.kind == LineEnd::Kind::point);
  CHECK(job.lines[3].end.kind == LineEnd::Kind::point);
  CHECK(job.lines[4].end.kind == LineEnd::Kind::feature);
  CHECK(job.lines[4].end.feature.value == "sewer");
  CHECK(std::get<Ground::Spots>(job.ground->surface).spots.at(0).elevation.value == Approx(812.5 * foot));
  CHECK(job.ownership.until == PrivateUntil::station);
  CHECK(job.ownership.station == Approx(42 * foot));
  CHECK(job.dig.soil == Soil::c);
  CHECK(*job.dig.working_room == Approx(1.5 * foot));
}

TEST_CASE("a job without lines has the line main") {
  const Job job = read(job_with("  []\n"));
  REQUIRE(job.lines.size() == 1);
  CHECK(job.lines[0].id.value == "main");
  CHECK(job.lines[0].end.kind == LineEnd::Kind::open);
}

TEST_CASE("plain numbers follow the site's unit wherever it stands in the file") {
  const std::string before = "swingtie: 1\nruns: [{id: R1, from: {at: [10, 0]}}]\nsite: {units: m}\n";
  CHECK(std::get<ByCoordinates>(read(before).runs.at(0).from.at.recipe).e == 10);
  const std::string survey = "swingtie: 1\nruns: [{id: R1, from: {at: [3937, 0]}}]\nsite: {units: us-ft}\n";
  CHECK(std::get<ByCoordinates>(read(survey).runs.at(0).from.at.recipe).e == Approx(1200).epsilon(1e-15));
}

TEST_CASE("anchors and aliases repeat a value") {
  const Job job = read(job_with("  - {id: a, kind: mark, at: &here [1, 2]}\n  - {id: b, kind: mark, at: *here}\n"));
  CHECK(std::get<ByCoordinates>(std::get<PointGeometry>(job.features.at(1).geometry).at.recipe).n ==
        Approx(2 * foot));
}

TEST_CASE("line ends and a byte order mark change nothing") {
  std::string yaml = file("good/design.yaml");
  const std::size_t legs = std::get<Walls>(read(yaml).features.at(1).geometry).legs.size();
  std::string windows = "\xEF\xBB\xBF";
  for (const char c : yaml) windows += c == '\n' ? "\r\n" : std::string(1, c);
  const Job job = read(windows);
  CHECK(std::get<Walls>(job.features.at(1).geometry).legs.size() == legs);
  CHECK(job.features.at(1).id.at == read(yaml).features.at(1).id.at);
}

TEST_CASE("of a job that is still being written what is right is there, and what is wrong is left out and told") {
  const std::string text = R"(swingtie: 1
site: {name: Half done, units: ft}
features:
  - {id: lot, kind: lot, area: [[0, 0], [0, 50], [40, 50], [40, 0]]}
  - {id: house, kind: hose, at: [1, 1]}
runs:
  - id: R1
    from: {at: [5, 5], what: clean-out, drop: 2}
    log:
      - {at: 0, pipe: 4 in clay}
      - {at: 5, bend: sideways 45}
      - {at: 9, see: roots}
    locates:
      - {at: 9, position: [5, 14]}
      - {at: ten, position: [5, 15]}
)";
  const UnfinishedJob read = read_unfinished_job(text);
  CHECK_FALSE(read.finished);
  CHECK(read.left_out == 3);
  CHECK(read.diagnostics.size() == 3);
  REQUIRE(read.job.features.size() == 1);
  CHECK(read.job.features[0].id.value == "lot");
  REQUIRE(read.job.runs.size() == 1);
  CHECK(read.job.runs[0].log.size() == 2);
  CHECK(read.job.runs[0].locates.size() == 1);
  // The same mistakes in the same words: the page and the command line cannot disagree.
  const auto checked = read_job(text);
  CHECK_FALSE(checked.value);
  REQUIRE(checked.diagnostics.size() == 3);
  for (std::size_t i = 0; i < 3; ++i) CHECK(checked.diagnostics[i].message == read.diagnostics[i].message);
}

TEST_CASE("a job without mistakes is finished, whichever way it is read") {
  const UnfinishedJob read = read_unfinished_job(file("good/design.yaml"));
  CHECK(read.finished);
  CHECK(read.left_out == 0);
  CHECK(read.job.runs.size() == read_job(file("good/design.yaml")).value->runs.size());
}
