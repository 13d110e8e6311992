#include <catch2/catch.hpp>
#include <cmath>

#include "job/job.hpp"
#include "place/placed.hpp"
#include "simulate/job_writer.hpp"

using namespace swingtie;
using namespace swingtie::simulate;

namespace {

void check_same(const std::optional<double>& a, const std::optional<double>& b) {
  REQUIRE(a.has_value() == b.has_value());
  if (a) CHECK(*a == Approx(*b).margin(1e-7));
}

void check_same(const Run& a, const Run& b) {
  CHECK(a.line == b.line);
  CHECK(distance(a.access.at, b.access.at) < 1e-7);
  CHECK((a.access.covariance - b.access.covariance).norm() < 1e-7);
  CHECK(a.drop == Approx(b.drop).margin(1e-7));
  CHECK(a.toward == b.toward);
  CHECK(a.zero == b.zero);
  CHECK(a.zero_reading.metres == Approx(b.zero_reading.metres).margin(1e-7));
  CHECK(a.sonde_behind_lens == Approx(b.sonde_behind_lens));
  CHECK(a.view_ahead == Approx(b.view_ahead));
  CHECK(a.bends == b.bends);
  REQUIRE(a.log.size() == b.log.size());
  for (std::size_t i = 0; i < a.log.size(); ++i) {
    const LogItem &x = a.log[i], &y = b.log[i];
    CHECK(x.at.metres == Approx(y.at.metres).margin(1e-7));
    CHECK(x.what == y.what);
    CHECK(x.act == y.act);
    CHECK(x.end == y.end);
    CHECK(x.ends_at_main == y.ends_at_main);
    CHECK(x.wye == y.wye);
    CHECK(x.branch == y.branch);
    REQUIRE(x.pipe.has_value() == y.pipe.has_value());
    if (x.pipe) CHECK(x.pipe->material == y.pipe->material);
    if (x.pipe) CHECK(x.pipe->size == Approx(y.pipe->size));
    REQUIRE(x.bend.has_value() == y.bend.has_value());
    if (x.bend) CHECK(x.bend->hand == y.bend->hand);
    if (x.bend) check_same(x.bend->angle, y.bend->angle);
  }
  REQUIRE(a.locates.size() == b.locates.size());
  for (std::size_t i = 0; i < a.locates.size(); ++i) {
    const Locate &x = a.locates[i], &y = b.locates[i];
    CHECK(x.at.metres == Approx(y.at.metres).margin(1e-7));
    CHECK(distance(x.position.at, y.position.at) < 1e-7);
    CHECK((x.position.covariance - y.position.covariance).norm() < 1e-7);
    CHECK(x.whole == y.whole);
    CHECK(x.by == y.by);
    check_same(x.depth.along, y.depth.along);
    check_same(x.depth.across, y.depth.across);
    check_same(x.depth.nulls, y.depth.nulls);
    REQUIRE(x.depth.ratio.has_value() == y.depth.ratio.has_value());
    REQUIRE(x.direction.has_value() == y.direction.has_value());
    if (x.direction) CHECK(x.direction->radians == Approx(y.direction->radians).margin(1e-9));
  }
}

}  // namespace

TEST_CASE("a lateral written as a job file reads back as the same notes") {
  for (const Scenario& scenario : scenarios()) {
    for (std::uint64_t seed = 1; seed <= 8; ++seed) {
      CAPTURE(scenario.name, seed);
      const Lateral lateral = make_lateral(scenario, seed);
      const std::string yaml = job_yaml(lateral);
      const auto job = read_job(yaml);
      for (const Diagnostic& d : job.diagnostics) UNSCOPED_INFO(render(d, "job.yaml", yaml, false));
      REQUIRE(job.value);
      const auto placed = place(*job.value, ".");
      for (const Diagnostic& d : placed.diagnostics) UNSCOPED_INFO(render(d, "job.yaml", yaml, false));
      REQUIRE(placed.value);
      REQUIRE(placed.value->runs.size() == lateral.placed.runs.size());
      for (std::size_t r = 0; r < lateral.placed.runs.size(); ++r)
        check_same(lateral.placed.runs[r], placed.value->runs[r]);
      REQUIRE(placed.value->features.size() == lateral.placed.features.size());
      const Eigen::Vector3d end = lateral.truth.lines[0].vertices.back();
      CHECK(placed.value->ground->height({end.x(), end.y()}) ==
            Approx(lateral.lawn.height(end.x(), end.y())).margin(2e-3));
    }
  }
}
