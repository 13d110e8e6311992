#include <catch2/catch.hpp>
#include <cmath>

#include "reference/table.hpp"
#include "route/explanations/explanations.hpp"
#include "route/lot.hpp"
#include "route/model.hpp"
#include "route/priors.hpp"
#include "route/random.hpp"

namespace swingtie {
namespace {

/// A job that uses every kind of reading: two runs from both ends, a branch, vertical bends, all depth readings.
Placed everything() {
  Placed placed = bent_lot();
  placed.ground = std::make_shared<PlaneGround>(0.03, -0.02);
  Run& run = placed.runs[0];
  run.sonde_behind_lens = 0.28;
  run.view_ahead = 0.1;
  for (Locate& locate : run.locates) locate.whole = false;
  run.locates[0].depth.across = 2.1;
  run.locates[1].depth.nulls = 2.3;
  run.locates[1].by = LocateMethod::nulls;
  run.locates[1].direction = Azimuth{0.8};
  run.locates[2].depth.ratio = DepthReadings::Ratio{100, 40, 0.5};
  run.locates[3].by = LocateMethod::line;
  run.log.insert(run.log.begin() + 1, bend_item(12, Hand::down, 45, 21));
  run.log.insert(run.log.begin() + 2, bend_item(13, Hand::up, 45, 22));
  LogItem wye;
  wye.at = {16};
  wye.wye = Hand::left;
  wye.branch = 1;
  run.log.insert(run.log.begin() + 3, wye);
  run.log.back().ends_at_main = true;

  Feature main;
  main.id = "city-main";
  main.kind = FeatureKind::main;
  main.shape = GeometryKind::line;
  main.lines = {{{-20, 19}, {40, 19}}};
  placed.features.push_back(main);
  placed.lines[0].end = Line::OnFeatureEnd{0};

  Line branch;
  branch.id = "branch";
  branch.joins = 0;
  placed.lines.push_back(branch);
  Line loose = branch;
  loose.id = "loose";
  placed.lines.push_back(loose);
  for (const std::size_t line : {1, 2}) {
    Run side;
    side.id = "B" + std::to_string(line);
    side.line = line;
    side.access.at = {line == 1 ? 0.5 : 8, 18};
    side.access.covariance = PlanCovariance::Identity() * 0.01;
    side.drop = 1.2;
    LogItem end;
    end.at = {line == 1 ? 5.0 : 3.0};
    end.end = "wye";
    side.log.push_back(end);
    placed.runs.push_back(side);
  }
  Run up = placed.runs[0];
  up.id = "R2";
  up.toward = Travel::toward_house;
  up.access.at = {8, 18.5};
  up.log.clear();
  up.log.push_back(bend_item(11.5, Hand::left, 45, 60));
  up.locates.clear();
  placed.runs.push_back(up);
  return placed;
}

}  // namespace

TEST_CASE("the Jacobian of every kind of reading agrees with differences") {
  const Placed placed = everything();
  const auto first = make_model(placed, 0.6);
  std::vector<double> entries;
  for (const ModelRun& run : first->runs) entries.push_back(first->plain.prior.mean[run.entry]);
  const auto model = make_model(placed, 0.6, entries);
  Assumptions assumptions = model->plain;
  assumptions.slots.push_back({0, 7.0});
  assumptions.restart_after[0] = 15;
  Random random(5);
  Eigen::VectorXd x = model->start;
  for (Eigen::Index i = 0; i < x.size(); ++i) x[i] += 0.02 * random.normal();
  ModelProblem problem(*model, assumptions);
  Eigen::VectorXd residuals = Eigen::VectorXd::Zero(model->readings);
  JacobianMatrix jacobian = JacobianMatrix::Zero(model->readings, model->unknowns);
  problem.evaluate(x, residuals, &jacobian);
  for (Eigen::Index i = 0; i < model->unknowns; ++i) {
    constexpr double step = 1e-6;
    Eigen::VectorXd up = x, down = x, high = residuals, low = residuals;
    up[i] += step;
    down[i] -= step;
    high.setZero();
    low.setZero();
    problem.evaluate(up, high, nullptr);
    problem.evaluate(down, low, nullptr);
    const Eigen::VectorXd slope = (high - low) / (2 * step);
    Eigen::Index row = 0;
    (jacobian.col(i) - slope).cwiseAbs().maxCoeff(&row);
    INFO("unknown " << i << ", row " << row << ": " << jacobian(row, i) << " against " << slope[row]);
    CHECK((jacobian.col(i) - slope).cwiseAbs().maxCoeff() < 2e-5 * (1 + slope.cwiseAbs().maxCoeff()));
  }
}

TEST_CASE("a fitting written by two runs is one fitting") {
  const Placed placed = everything();
  const auto first = make_model(placed, 0.6);
  std::vector<double> entries;
  for (const ModelRun& run : first->runs) entries.push_back(first->plain.prior.mean[run.entry]);
  const auto model = make_model(placed, 0.6, entries);
  // The right 45 at 10 going down is the left 45 at 11.5 coming up; the drop's two fittings make three.
  CHECK(model->bends.size() == 3);
}

// tests/reference/locating-tilt.csv, derived from the field of a magnetic dipole.
TEST_CASE("marks are expected where a tilted coil puts them") {
  ModelLocate locate;
  locate.depth = 1;
  for (const auto& row : reference::table("locating-tilt.csv")) {
    // The pipe rises northward.
    const Attitude attitude{0, 0, row.number("slope")};
    locate.by = LocateMethod::nulls;
    // Printed to six decimals, hence the margin.
    CHECK(locate.shift_by_slope(attitude).y() == Approx(row.number("null_midpoint_x_over_d")).margin(1e-6));
    locate.by = LocateMethod::peak;
    // Operators stop short of the exact maximum of a flat top, on its near side.
    if (row.number("slope") <= prior::peak_steepest) {
      CHECK(locate.shift_by_slope(attitude).y() ==
            Approx(prior::peak_share * row.number("total_peak_x_over_d")).margin(0.005));
    }
    if (row.number("slope") <= 0.04 + 1e-9)
      CHECK(std::abs(row.number("depth_from_nulls_over_d") - 1) < prior::depth_nulls);
  }
  locate.by = LocateMethod::peak;
  CHECK(locate.shift_by_slope({0, 0, -0.02}).y() == -locate.shift_by_slope({0, 0, 0.02}).y());
  CHECK(locate.shift_by_slope({pi / 2, 0, 0.02}).x() > 0);
  locate.whole = true;
  CHECK(locate.shift_by_slope({0, 0, 0.02}).norm() == 0);
}

}  // namespace swingtie
