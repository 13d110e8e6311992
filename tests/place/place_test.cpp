#include "place/placed.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <random>

#include "job/job.hpp"
#include "measure/bearing.hpp"
#include "place/job_text.hpp"
#include "place/shapes.hpp"

using namespace swingtie;
using namespace swingtie::job_text;

namespace {

const std::string house =
    "  - {id: house, kind: house, area: [[0, 0], [40, 0], [40, 28], [0, 28]], corners: [sw, se, ne, nw]}\n";

PlacedPoint access_of(const std::string& text) {
  const Answer answer = placed(text);
  INFO(answer.shown);
  REQUIRE(answer.placed);
  return answer.placed->runs[0].access;
}

void check_at(PlanPoint p, double e_ft, double n_ft, double margin_ft = 1e-6) {
  CHECK(p.e / metres_per_foot == Approx(e_ft).epsilon(0).margin(margin_ft));
  CHECK(p.n / metres_per_foot == Approx(n_ft).epsilon(0).margin(margin_ft));
}

}  // namespace

TEST_CASE("each way to say a position gives the point it says") {
  check_at(access_of(job_of(house, "[12.5, -3]")).at, 12.5, -3);
  check_at(access_of(job_of(house, "{ties: {house.sw: 25, house.se: 25}, side: south}")).at, 20, -15);
  check_at(access_of(job_of(house, "{ties: {house.sw: 25, house.se: 25}, side: north}")).at, 20, 15);
  check_at(access_of(job_of(house, "{along: house.sw-se, from: house.sw, go: 9}")).at, 9, 0);
  check_at(access_of(job_of(house, "{along: house.sw-se, from: house.sw, go: 9, in: 3}")).at, 9, 3);
  check_at(access_of(job_of(house, "{along: house.sw-se, from: house.sw, go: 9, out: 3}")).at, 9, -3);
  check_at(access_of(job_of(house, "{along: house.se-sw, from: house.se, go: 9, out: 3}")).at, 31, -3);
  check_at(access_of(job_of(house, "{along: house.ne-nw, from: house.ne, go: 10, out: 5}")).at, 30, 33);
  check_at(access_of(job_of(house, "{along: house.sw-se, from: house.se, go: 5}")).at, 45, 0);  // the wall taken on
  check_at(access_of(job_of(house, "{from: house.ne, go: N 90 00 00 E 10}")).at, 50, 28);
  check_at(access_of(job_of(house, "{from: house.ne, go: [N 90 00 00 E 10, S 00 00 00 E 8]}")).at, 50, 20);
  check_at(access_of(job_of(house, "{on: house}")).at, 20, 14);
  check_at(access_of(job_of(house, "{on: house.nw}")).at, 0, 28);
  const std::string curb = house + "  - {id: curb, kind: curb, line: [[0, -40], [40, -40], [40, -100]]}\n";
  check_at(access_of(job_of(curb, "{off: curb, from: curb.1, go: 10, right: 4}")).at, 10, -44);
  check_at(access_of(job_of(curb, "{off: curb, from: curb.1, go: 10, left: 4}")).at, 10, -36);
  check_at(access_of(job_of(curb, "{off: curb, from: curb.1, go: 50, left: 4}")).at, 44, -50);  // round the corner
  check_at(access_of(job_of(curb, "{off: curb, from: curb.2, go: -10, left: 4}")).at, 30, -36);
  check_at(access_of(job_of(curb, "{on: curb}")).at, 40, -50);  // half way along its 100 ft
}

TEST_CASE("toward and away from choose the side that the feature lies on") {
  const std::string features =
      house + "  - {id: curb, kind: curb, line: [[-20, -60], [60, -62]]}\n  - {id: oak, kind: tree, at: [20, 60]}\n";
  check_at(access_of(job_of(features, "{ties: {house.sw: 25, house.se: 25}, side: toward curb}")).at, 20, -15);
  check_at(access_of(job_of(features, "{ties: {house.sw: 25, house.se: 25}, side: away from curb}")).at, 20, 15);
  check_at(access_of(job_of(features, "{ties: {house.sw: 25, house.se: 25}, side: toward oak}")).at, 20, 15);
}

TEST_CASE("without a word the point outside the house is taken, and said so") {
  const Answer answer = placed(job_of(house, "{ties: {house.sw: 25, house.se: 25}}"));
  REQUIRE(answer.placed);
  check_at(answer.placed->runs[0].access.at, 20, -15);
  CHECK(answer.shown.find("`side: south`") != std::string::npos);
}

TEST_CASE("ties within the error of a tape of meeting are met in the middle, with a warning") {
  const Answer answer = placed(job_of(house, "{ties: {house.sw: 19.9, house.se: 19.9}, side: south}"));
  REQUIRE(answer.placed);
  check_at(answer.placed->runs[0].access.at, 20, 0);
  CHECK(answer.diagnostics.size() == 1);
}

TEST_CASE("a stated within is the 95 % radius of the point") {
  for (const char* position :
       {"{at: [3, 4], within: 1.7}", "{ties: {house.sw: 25, house.se: 25}, side: south, within: 1.7}",
        "{along: house.sw-se, from: house.sw, go: 9, within: 1.7}"}) {
    INFO(position);
    CHECK(circle_radius(access_of(job_of(house, position)).covariance, 0.95) / metres_per_foot ==
          Approx(1.7).epsilon(1e-6));
  }
}

TEST_CASE("ties that cross sharply are weak across, and it shows") {
  const auto square =
      error_ellipse(access_of(job_of(house, "{ties: {house.sw: 28, house.se: 28}, side: south}")).covariance, 0.95);
  const auto sharp =
      error_ellipse(access_of(job_of(house, "{ties: {house.sw: 90, house.se: 88}, side: south}")).covariance, 0.95);
  CHECK(sharp.semi_major > 2 * square.semi_major);
  CHECK(sharp.semi_major > 3 * sharp.semi_minor);
}

TEST_CASE("a tie adjusts with the others, whose disagreement widens the region") {
  const auto agreed = access_of(job_of(house, "{ties: {house.sw: 25, house.se: 25, house.ne: 47.424}}"));
  check_at(agreed.at, 20, -15, 0.01);
  const Answer answer = placed(job_of(house, "{ties: {house.sw: 25, house.se: 25, house.ne: 49.4}}"));
  REQUIRE(answer.placed);
  CHECK(answer.shown.find("do not agree") != std::string::npos);
  CHECK(circle_radius(answer.placed->runs[0].access.covariance, 0.95) > 3 * circle_radius(agreed.covariance, 0.95));
}

TEST_CASE("the covariance of an offset and of legs is what simulation of its readings gives") {
  // Right angle good to 1 degree, tape to 0.1 ft and a thousandth, bearing to 1 degree; the base is exact enough to
  // stand aside (its 0.1 ft is added by hand).
  std::mt19937 random(7);
  std::normal_distribution<double> normal;
  PlanCovariance offset = PlanCovariance::Zero(), legs = PlanCovariance::Zero();
  constexpr int draws = 40000;
  const auto tape = [&](double l) { return l + std::hypot(0.1, 0.001 * l) * normal(random); };
  for (int i = 0; i < draws; ++i) {
    const double square = 1 * degree * normal(random), out = tape(30);
    const PlanVector p{tape(60) + out * std::sin(square) - 60, -out * std::cos(square) + 30};
    const PlanVector base{0.1 * normal(random), 0.1 * normal(random)};
    const Eigen::Vector2d v(p.de + base.de, p.dn + base.dn);
    offset += v * v.transpose() / draws;
    const PlanVector q = tape(40) * direction({(30 + normal(random)) * degree}) +
                         tape(25) * direction({(100 + normal(random)) * degree}) + base;
    const PlanVector mean = 40 * direction({30 * degree}) + 25 * direction({100 * degree});
    const Eigen::Vector2d w(q.de - mean.de, q.dn - mean.dn);
    legs += w * w.transpose() / draws;
  }
  const std::string curb = "  - {id: curb, kind: curb, line: [[0, 0], [200, 0]]}\n";
  const PlanCovariance by_offset =
      access_of(job_of(curb, "{off: curb, from: curb.1, go: 60, right: 30}")).covariance /
      (metres_per_foot * metres_per_foot);
  INFO("offset\n" << by_offset << "\nsimulated\n" << offset);
  // The curb's far end is 0.1 ft off too: at 60 of 200 ft the line is known a little better than at its end, and may
  // swing.
  CHECK((by_offset - offset).norm() < 0.06 * offset.trace());
  const PlanCovariance by_legs =
      access_of(job_of(curb, "{from: curb.1, go: [N 30 00 00 E 40, S 80 00 00 E 25]}")).covariance /
      (metres_per_foot * metres_per_foot);
  INFO("legs\n" << by_legs << "\nsimulated\n" << legs);
  CHECK((by_legs - legs).norm() < 0.05 * legs.trace());
}

TEST_CASE("a deed is balanced, its corners named in order and its area worked out") {
  const Answer answer =
      placed(job_of("  - id: lot\n    kind: lot\n    deed:\n      start: [5000, 5000]\n      calls: [N 04 30 00 E "
                    "118.00, S 85 30 00 E 70.00, S 04 30 00 W "
                    "118.00, N 85 30 00 W 70.03]\n      corners: [sw, nw, ne, se]\n"));
  REQUIRE(answer.placed);
  CHECK(answer.diagnostics.empty());
  const Feature& lot = feature(answer, "lot");
  REQUIRE(lot.corners.size() == 4);
  CHECK(lot.corners[1].name == "nw");
  REQUIRE(lot.closure);
  CHECK(lot.closure->balanced);
  CHECK(length(lot.closure->misclosure) / metres_per_foot == Approx(0.03).margin(1e-6));
  CHECK(lot.area / (metres_per_foot * metres_per_foot) == Approx(118 * 70.015).margin(0.1));
  CHECK(lot.areas[0].outer.size() == 4);
}

// City of Coppell TX, Exhibit A, 3.02 ac tract: the curve to the left of R 475.00 and delta 28-49-34 leaves with its
// tangent at N 45-00-00 W. Made into a closed figure here by going back along the chords.
TEST_CASE("an arc that the deed prints with its chord is tangent to the course after it") {
  const Answer answer =
      placed(job_of("  - id: lot\n    kind: lot\n    deed:\n      start: [0, 0]\n      balance: none\n      calls:\n"
                    "        - arc left radius 475.00 delta 28-49-34 chord N 30-35-13 W 236.47 length 238.98\n"
                    "        - N 45-00-00 W 69.44\n        - S 33-49-19 E 303.87\n"));
  INFO(answer.shown);
  REQUIRE(answer.placed);
  CHECK(answer.shown.find("tangent") == std::string::npos);
  CHECK(answer.shown.find("angle of") == std::string::npos);
  CHECK(feature(answer, "lot").areas[0].outer.size() > 10);
}

// Hays County TX, 150.14 ac exhibit: two curves whose chords are 1'52" and 14'44" off tangency, while arc,
// chord and central angle agree.
TEST_CASE("non-tangent curves of a recorded deed are flagged with the angle") {
  const Answer answer =
      placed(job_of("  - id: lot\n    kind: lot\n    deed:\n      start: [0, 0]\n      balance: none\n      calls:\n"
                    "        - S 55-30-26 W 906.13\n"
                    "        - arc left radius 1040.00 delta 08-16-17 chord S 51-24-09 W 150.01 length 150.14\n"
                    "        - S 47-27-51 W 157.38\n"
                    "        - arc right radius 960.00 delta 04-14-32 chord S 49-20-23 W 71.06 length 71.08\n"
                    "        - S 55-00-38 W 1852.03\n        - N 53 E 3000\n"));
  INFO(answer.shown);
  CHECK(answer.shown.find("not tangent to the course before it, by 0.031°") != std::string::npos);
  CHECK(answer.shown.find("not tangent to the course before it, by 0.246°") != std::string::npos);
}

TEST_CASE("walls by tape and turn make the house they say") {
  const Answer answer =
      placed(job_of("  - {id: house, kind: house, walls: {start: [10, 20], heading: N 00 00 00 E, legs: [\"28\", R "
                    "42, R 28, R 42], corners: [sw, nw, ne, se]}}\n"));
  REQUIRE(answer.placed);
  const Feature& h = feature(answer, "house");
  check_at(h.corners[2].point.at, 52, 48);
  CHECK(h.corners[3].name == "se");
  CHECK(h.area / (metres_per_foot * metres_per_foot) == Approx(28 * 42));
  CHECK(signed_area(h.areas[0].outer) > 0);
}

TEST_CASE("an offset line is parallel, mitred, and on the side that was said") {
  const Answer answer =
      placed(job_of(house + "  - {id: curb, kind: curb, line: [[0, -40], [40, -40], [40, -100]]}\n"
                            "  - {id: row, kind: right-of-way, offset: {from: curb, by: 10, toward: house}}\n"
                            "  - {id: far, kind: mark, offset: {from: curb, by: 10, toward: south}}\n"));
  INFO(answer.shown);
  REQUIRE(answer.placed);
  const Feature& row = feature(answer, "row");
  REQUIRE(row.corners.size() == 3);
  check_at(row.corners[0].point.at, 0, -30);
  check_at(row.corners[1].point.at, 50, -30);
  check_at(row.corners[2].point.at, 50, -100);
}

TEST_CASE("the lot edge that faces the street is the one along the curb, unless the job says another") {
  const std::string lot =
      "  - {{id: lot, kind: lot, area: [[0, 0], [60, 0], [60, 110], [0, 110]], corners: [sw, se, ne, nw]{}}}\n  - "
      "{{id: curb, kind: curb, line: [[-50, -14], [200, "
      "-18]]}}\n";
  CHECK(feature(placed(job_of(fmt::format(fmt::runtime(lot), ""))), "lot").street_edge == 0u);
  CHECK(feature(placed(job_of(fmt::format(fmt::runtime(lot), ", street: nw-ne"))), "lot").street_edge == 2u);
  CHECK(
      !feature(placed(job_of("  - {id: lot, kind: lot, area: [[0, 0], [60, 0], [60, 110]]}\n")), "lot").street_edge);
}

TEST_CASE("an outline that crosses itself is warned about") {
  CHECK(placed(job_of("  - {id: house, kind: house, area: [[0, 0], [40, 28], [40, 0], [0, 28]]}\n"))
            .shown.find("crosses itself") != std::string::npos);
}

TEST_CASE("a position by latitude and longitude without an accuracy is taken as a phone's, and said so") {
  const Answer answer =
      placed(job_of(house, "{lat: 41.2001, lon: -81.4001}",
                    "units: ft, anchor: {grid: [0, 0], lat: 41.2, lon: -81.4, grid_north: 0, within: 0}"));
  REQUIRE(answer.placed);
  CHECK(answer.shown.find("a phone's fix") != std::string::npos);
  CHECK(circle_radius(answer.placed->runs[0].access.covariance, 0.95) == Approx(5.0).epsilon(1e-6));
}

TEST_CASE("ground passes through its spots and leans on their slope between them") {
  const Answer answer = placed(job_of(house, "[0, 0]") +
                               "ground:\n  spots:\n    - {at: [0, 0], elevation: 100}\n    - {at: [100, 0], "
                               "elevation: 102}\n    - {at: [0, 100], "
                               "elevation: 105}\n    - {at: [100, 100], elevation: 107}\n");
  REQUIRE(answer.placed);
  const GroundSurface& ground = *answer.placed->ground;
  CHECK(ground.has_elevations());
  const double ft = metres_per_foot;
  CHECK(ground.height({0, 0}) / ft == Approx(100).margin(0.1));
  CHECK(ground.height({100 * ft, 100 * ft}) / ft == Approx(107).margin(0.1));
  CHECK(ground.height({50 * ft, 50 * ft}) / ft == Approx(103.5).margin(0.1));
  CHECK(ground.height({50 * ft, 0}) / ft == Approx(101).margin(0.2));
  CHECK(ground.sigma({0, 0}) < ground.sigma({50 * ft, 50 * ft}));
  CHECK(ground.sigma({50 * ft, 50 * ft}) < ground.sigma({400 * ft, 50 * ft}));
}

TEST_CASE("moving and turning the whole job moves and turns the answers, covariances too") {
  const auto job = [](double turn_deg, double e, double n) {
    const auto at = [&](double x, double y) {
      const double c = std::cos(turn_deg * degree), s = std::sin(turn_deg * degree);
      return fmt::format("[{:.9f}, {:.9f}]", e + c * x + s * y, n - s * x + c * y);
    };
    const auto bearing = [&](double az) { return fmt::format("{:.9f}", std::fmod(az + turn_deg + 720, 360.0)); };
    return fmt::format(
        "swingtie: 1\nsite: {{name: Test, units: ft}}\nfeatures:\n"
        "  - {{id: curb, kind: curb, line: [{}, {}]}}\n"
        "  - {{id: lot, kind: lot, deed: {{start: {}, calls: [\"{} 118\", \"{} 70\", \"{} 118\", \"{} 70\"], "
        "corners: [sw, nw, ne, se]}}}}\n"
        "  - {{id: house, kind: house, walls: {{start: {{along: lot.sw-se, from: lot.sw, go: 14, in: 38}}, heading: "
        "\"{}\", legs: [\"28\", R 42, R 28, R 42], "
        "corners: [sw, nw, ne, se]}}}}\n"
        "  - {{id: row, kind: right-of-way, offset: {{from: curb, by: 11, toward: house}}}}\n"
        "runs:\n  - id: R1\n    from: {{at: {{along: house.sw-se, from: house.sw, go: 9}}, what: clean-out, drop: "
        "4}}\n    log: [{{at: 0, pipe: 4 in clay}}]\n    locates:\n"
        "      - {{at: 20, position: {{ties: {{house.sw: 24, house.se: 36}}, side: toward curb}}}}\n"
        "      - {{at: 40, position: {{off: curb, from: curb.1, go: 30, left: 6}}}}\n",
        at(-20, -30), at(100, -36), at(0, 0), bearing(4.5), bearing(94.5), bearing(184.5), bearing(274.5),
        bearing(4.5));
  };
  const Answer one = placed(job(0, 0, 0)), other = placed(job(67.5, 5000, 8000));
  INFO(one.shown << other.shown);
  REQUIRE(one.placed);
  REQUIRE(other.placed);
  const double c = std::cos(67.5 * degree), s = std::sin(67.5 * degree);
  Eigen::Matrix2d turn;
  turn << c, s, -s, c;
  const auto same = [&](const PlacedPoint& a, const PlacedPoint& b) {
    const PlanPoint moved{5000 * metres_per_foot + c * a.at.e + s * a.at.n,
                          8000 * metres_per_foot - s * a.at.e + c * a.at.n};
    CHECK(distance(moved, b.at) < 1e-6);
    CHECK((turn * a.covariance * turn.transpose() - b.covariance).norm() < 1e-6 * a.covariance.norm() + 1e-10);
  };
  for (std::size_t i = 0; i < one.placed->features.size(); ++i) {
    const Feature &a = one.placed->features[i], &b = other.placed->features[i];
    INFO(a.id);
    REQUIRE(a.corners.size() == b.corners.size());
    for (std::size_t k = 0; k < a.corners.size(); ++k) same(a.corners[k].point, b.corners[k].point);
    CHECK(a.area == Approx(b.area));
  }
  same(one.placed->runs[0].access, other.placed->runs[0].access);
  for (std::size_t k = 0; k < 2; ++k)
    same(one.placed->runs[0].locates[k].position, other.placed->runs[0].locates[k].position);
}

TEST_CASE("the order of the features in the file changes nothing, to the last bit") {
  const std::vector<std::string> features{
      house, "  - {id: curb, kind: curb, line: [[-20, -30], [100, -36]]}\n",
      "  - {id: row, kind: right-of-way, offset: {from: curb, by: 11, toward: house}}\n",
      "  - {id: ash, kind: tree, at: {ties: {house.sw: 24, house.se: 36}, side: toward curb}}\n"};
  std::vector<std::size_t> order{0, 1, 2, 3};
  std::string first;
  do {
    std::string text;
    for (const std::size_t i : order) text += features[i];
    const Answer answer = placed(job_of(text, "{ties: {ash: 12, house.sw: 20}, side: west}"));
    INFO(answer.shown);
    REQUIRE(answer.placed);
    std::string figures;
    for (const Feature& f : answer.placed->features) {
      for (const Corner& corner : f.corners) {
        figures += fmt::format("{} {} {} {} {}\n", f.id, corner.point.at.e, corner.point.at.n,
                               corner.point.covariance(0, 0), corner.point.covariance(0, 1));
      }
    }
    const PlacedPoint& access = answer.placed->runs[0].access;
    figures += fmt::format("{} {} {}", access.at.e, access.at.n, access.covariance(1, 1));
    if (first.empty()) first = figures;
    CHECK(figures == first);
  } while (std::next_permutation(order.begin(), order.end()));
}

TEST_CASE("a job in metres and the same in feet are the same place") {
  const std::string feet =
      job_of("  - {id: house, kind: house, area: [[0, 0], [40, 0], [40, 28], [0, 28]], corners: [sw, se, ne, nw]}\n",
             "{ties: {house.sw: 24, house.se: 36}, side: south}");
  const std::string metres = job_of(
      "  - {id: house, kind: house, area: [[0, 0], [12.192, 0], [12.192, 8.5344], [0, 8.5344]], corners: [sw, se, "
      "ne, nw]}\n",
      "{ties: {house.sw: 7.3152, house.se: 10.9728}, side: south}", "units: m");
  const PlacedPoint a = access_of(feet), b = access_of(metres);
  CHECK(distance(a.at, b.at) < 1e-9);
  CHECK((a.covariance - b.covariance).norm() < 1e-12);
}

TEST_CASE("an error that shifts all that was measured from the house is left out of it and kept for the rest") {
  // The house stands 30 ft in from the lot line, square by eye: a degree is half a foot along the street.
  const Answer answer = placed(
      job_of("  - {id: lot, kind: lot, area: [[0, 0], [80, 0], [80, 110], [0, 110]], corners: [sw, se, ne, nw]}\n"
             "  - {id: house, kind: house, walls: {start: {along: lot.sw-se, from: lot.sw, go: 14, in: 30}, heading: "
             "N 00 00 00 E, legs: [\"28\", R 42, R 28, R 42], "
             "corners: [sw, nw, ne, se]}}\n",
             "{along: house.sw-se, from: house.sw, go: 9}") +
      "    locates:\n      - {at: 10, position: {ties: {house.sw: 24, house.se: 36}, side: south}}\n      - {at: 20, "
      "position: {ties: {house.sw: 29, house.se: 33}, side: south}}\n");
  INFO(answer.shown);
  REQUIRE(answer.placed);
  const double ft = metres_per_foot;
  CHECK(circle_radius(answer.placed->runs[0].access.covariance, 0.95) / ft < 0.4);
  CHECK(circle_radius(feature(answer, "lot").corners[0].point.covariance, 0.95) / ft > 0.9);
  CHECK(std::sqrt(answer.placed->frame_shift(0, 0)) / ft ==
        Approx(std::hypot(30 * std::sin(1 * degree), 0.1, std::hypot(0.1, 0.014))).epsilon(0.05));
}

TEST_CASE("log and locates stand in the order of the counter, with their materials and ends") {
  const Answer answer = placed(
      "swingtie: 1\nsite: {name: Test, units: ft}\nfeatures:\n  - {id: sewer, kind: main, line: [[-50, -50], [90, "
      "-50]]}\n"
      "lines: [{id: main, ends_at: city-main}]\nruns:\n  - id: R1\n    from: {at: [0, 0], what: clean-out, drop: 4}\n"
      "    log: [{at: 74, end: city main}, {at: 0, pipe: 4 in cast iron}, {at: 20, pipe: 6 in VCP}]\n"
      "    locates: [{at: 30, position: [1, -9], within: 2}, {at: 10, position: [0, -5]}]\n");
  INFO(answer.shown);
  REQUIRE(answer.placed);
  const Run& run = answer.placed->runs[0];
  CHECK(run.log[0].pipe->material == Material::cast_iron);
  CHECK(run.log[1].pipe->material == Material::clay);
  CHECK(run.log[2].ends_at_main);
  CHECK(run.locates[0].at.metres < run.locates[1].at.metres);
  CHECK(run.locates[1].whole);
  CHECK(circle_radius(run.locates[1].position.covariance, 0.95) / metres_per_foot == Approx(2).epsilon(1e-6));
  CHECK(std::holds_alternative<Line::OnFeatureEnd>(answer.placed->lines[0].end));
}

TEST_CASE("materials are known by the names that people write") {
  for (const auto& [words, material] : {std::pair{"vitrified clay", Material::clay},
                                        {"VCP", Material::clay},
                                        {"6 in. clay tile", Material::clay},
                                        {"cast iron", Material::cast_iron},
                                        {"CI", Material::cast_iron},
                                        {"ductile iron", Material::ductile_iron},
                                        {"PVC SDR-35", Material::pvc},
                                        {"Orangeburg", Material::orangeburg},
                                        {"bituminous fibre", Material::orangeburg},
                                        {"asbestos cement", Material::asbestos_cement},
                                        {"concrete", Material::concrete},
                                        {"HDPE", Material::hdpe},
                                        {"ABS", Material::abs},
                                        {"brick", Material::unknown},
                                        {"", Material::unknown}}) {
    INFO(words);
    CHECK(material_of(words) == material);
  }
}

TEST_CASE("a pipe's material is told as it was written, abbreviations in capitals") {
  CHECK(material_words("pvc sdr-35") == "PVC SDR-35");
  CHECK(material_words("Hdpe liner") == "HDPE liner");
  CHECK(material_words("vitrified clay (vcp)") == "vitrified clay (VCP)");
  CHECK(material_words("cast iron, open joint") == "cast iron, open joint");
  CHECK(material_words("") == "");
}

TEST_CASE("every sample is placed") {
  namespace fs = std::filesystem;
  int count = 0;
  for (const auto& entry : fs::directory_iterator(std::string(SWINGTIE_SOURCE_DIR) + "/samples")) {
    const fs::path path = entry.path() / "job.yaml";
    if (!fs::exists(path)) continue;
    INFO(path.string());
    const Answer answer = placed(contents(path), entry.path().string());
    INFO(answer.shown);
    CHECK(answer.placed);
    ++count;
  }
  CHECK(count >= 8);
}

TEST_CASE("of a job with mistakes what can be placed is placed, to be shown") {
  const auto job =
      read_job(job_of("  - {id: lot, kind: lot, area: [[0, 0], [0, 50], [40, 50], [40, 0]], corners: [a, b, c, d]}\n"
                      "  - {id: tree, kind: tree, at: {ties: {lot.a: 10, lot.x: 20}}}\n",
                      "{along: lot.a-e, from: lot.a, go: 3}"));
  REQUIRE(job.value);
  const PartlyPlaced partly = place_partly(*job.value, FileFence{});
  CHECK_FALSE(partly.whole);
  CHECK(find_feature(partly.placed, "lot") != nullptr);
  CHECK(find_feature(partly.placed, "tree") == nullptr);
  REQUIRE(partly.placed.runs.size() == 1);
  CHECK_FALSE(std::isfinite(partly.placed.runs[0].access.at.e));
  CHECK(partly.diagnostics.size() >= 2);
  CHECK_FALSE(place(*job.value, FileFence{}).value);
}
