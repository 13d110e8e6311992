#include <catch2/catch.hpp>
#include <cmath>

#include "measure/bearing.hpp"
#include "reference/table.hpp"
#include "route/chain.hpp"
#include "route/random.hpp"

namespace swingtie {
namespace {

Chain::Columns columns_for(const Chain::Shape& shape) {
  Chain::Columns columns;
  columns.start = 0;
  columns.heading = 3;
  columns.pitch = 4;
  columns.drift = 5;
  columns.pitch_drift = 5 + shape.pieces - 1;
  return columns;
}

Eigen::Index unknowns_of(const Chain::Shape& shape) {
  return 5 + shape.pieces - 1 + shape.pitch_joints();
}

}  // namespace

// Minimum curvature, worked example: drillingformulas.com after Lapeyrouse, Formulas and Calculations for Drilling,
// Production and Workover, 2nd ed.: 100 ft from inclination 15 azimuth 20 to inclination 25 azimuth 45 gives
// N 27.22, E 19.45, TVD 94.01, printed to two decimals. The path is a circular arc between the two directions; here
// it is laid as 400 short straight pieces along that arc, which stray from it by less than a hundredth of a foot.
TEST_CASE("a chain laid along the arc of a published well path ends where the publication says") {
  for (const auto& row : reference::table("wellpath.csv")) {
    if (row.text("id") != "W1") continue;
    constexpr int pieces = 400;
    const auto toward = [](double inclination, double azimuth) {
      return Eigen::Vector3d(std::sin(inclination) * std::sin(azimuth), std::sin(inclination) * std::cos(azimuth),
                             -std::cos(inclination));
    };
    const Eigen::Vector3d a = toward(row.number("I1") * degree, row.number("A1") * degree);
    const Eigen::Vector3d b = toward(row.number("I2") * degree, row.number("A2") * degree);
    const double bend = std::acos(a.dot(b));
    const auto arc = [&](double share) {
      return Eigen::Vector3d((std::sin((1 - share) * bend) * a + std::sin(share * bend) * b) / std::sin(bend));
    };
    const Chain::Shape shape{0, row.number("dMD") / pieces, pieces, 1};
    Eigen::VectorXd x = Eigen::VectorXd::Zero(unknowns_of(shape));
    const Chain::Columns columns = columns_for(shape);
    double heading = 0, pitch = 0;
    for (int i = 0; i < pieces; ++i) {
      const Eigen::Vector3d d = arc((i + 0.5) / pieces);
      const double h = std::atan2(d.x(), d.y()), p = std::asin(d.z());
      x[i == 0 ? columns.heading : columns.drift + i - 1] = h - heading;
      x[i == 0 ? columns.pitch : columns.pitch_drift + i - 1] = p - pitch;
      heading = h;
      pitch = p;
    }
    Chain chain;
    chain.lay(shape, columns, x, {});
    const Eigen::Vector3d end = chain.point(shape.high()).at;
    CHECK(end.y() == Approx(row.number("pub_dN")).margin(0.01));
    CHECK(end.x() == Approx(row.number("pub_dE")).margin(0.01));
    CHECK(-end.z() == Approx(row.number("pub_dTVD")).margin(0.01));
  }
}

TEST_CASE("a level chain that turns evenly has the chord and the chord's azimuth of its arc") {
  // Identity of minimum curvature for a level pipe: chord = L sin(d/2)/(d/2), its azimuth the mean of the two.
  constexpr int pieces = 1000;
  const Chain::Shape shape{0, 0.05, pieces, 1000};
  const double turn = 0.9;
  Eigen::VectorXd x = Eigen::VectorXd::Zero(unknowns_of(shape));
  x[3] = 0.4 + turn / pieces / 2;
  for (int i = 1; i < pieces; ++i) x[4 + i] = turn / pieces;
  Chain chain;
  chain.lay(shape, columns_for(shape), x, {});
  const Eigen::Vector3d end = chain.point(shape.high()).at;
  CHECK(end.norm() == Approx(50 * std::sin(turn / 2) / (turn / 2)).epsilon(1e-6));
  CHECK(std::atan2(end.x(), end.y()) == Approx(0.4 + turn / 2).margin(1e-9));
}

TEST_CASE("pipe at 1/4 in/ft is 0.999783 as long on the plan and falls 2.0829 per hundred") {
  const Chain::Shape shape{0, 1, 100, 3};
  Eigen::VectorXd x = Eigen::VectorXd::Zero(unknowns_of(shape));
  x[4] = -std::atan(0.25 / 12);
  Chain chain;
  chain.lay(shape, columns_for(shape), x, {});
  CHECK(chain.plan_length(100) == Approx(99.9783).margin(5e-5));
  CHECK(chain.point(100).at.z() == Approx(-2.0829).margin(5e-5));
  CHECK(chain.pipe_coordinate(chain.plan_length(42)) == Approx(42).epsilon(1e-12));
}

TEST_CASE("over the longest chain the directions of the pieces are those of their angles to the last digits") {
  const Chain::Shape shape{0, 0.5, 160, 4};
  const Chain::Columns columns = columns_for(shape);
  Random random(11);
  Eigen::VectorXd x = Eigen::VectorXd::Zero(unknowns_of(shape));
  for (Eigen::Index i = columns.heading; i < x.size(); ++i) x[i] = 0.06 * random.normal();
  Chain chain;
  chain.lay(shape, columns, x, {});
  double heading = x[columns.heading], pitch = x[columns.pitch], worst = 0;
  for (int i = 0; i < shape.pieces; ++i) {
    if (i > 0) heading += x[columns.drift + i - 1];
    if (i > 0 && i % shape.pitch_every == 0 && i / shape.pitch_every <= shape.pitch_joints())
      pitch += x[columns.pitch_drift + i / shape.pitch_every - 1];
    const Eigen::Vector3d there(std::cos(pitch) * std::sin(heading), std::cos(pitch) * std::cos(heading),
                                std::sin(pitch));
    worst = std::max(worst, (chain.point((i + 0.5) * shape.piece).direction - there).norm());
  }
  CHECK(worst < 1e-13);
}

TEST_CASE("the derivatives of a point, heading and pitch agree with differences") {
  Random random(11);
  const Chain::Shape shape{-2, 0.7, 20, 3};
  const Chain::Columns columns = columns_for(shape);
  const Eigen::Index base = unknowns_of(shape), unknowns = base + 4;
  Eigen::VectorXd x(unknowns);
  for (double& value : x) value = 0.15 * random.normal();
  const auto lay = [&](const Eigen::VectorXd& at) {
    Chain::Bend level, vertical;
    level.at = 3.1 + at[base + 1];
    level.turn = at[base];
    level.turn_column = base;
    level.motion.add(base + 1, 1);
    vertical.at = 6.4 + 2 * at[base + 3];
    vertical.climb = at[base + 2];
    vertical.climb_column = base + 2;
    vertical.motion.add(base + 3, 2);
    Chain chain;
    chain.lay(shape, columns, at, {vertical, level});
    return chain;
  };
  for (const double u : {-3.0, 0.55, 3.9, 9.7, 14.0}) {
    const Chain chain = lay(x);
    JacobianMatrix rows = JacobianMatrix::Zero(3, unknowns);
    Eigen::RowVectorXd heading = Eigen::RowVectorXd::Zero(unknowns), pitch = heading;
    chain.add_point_derivatives(u, rows);
    chain.add_heading_derivatives(u, 1, heading);
    chain.add_pitch_derivatives(u, 1, pitch);
    for (Eigen::Index i = 0; i < unknowns; ++i) {
      constexpr double step = 1e-6;
      Eigen::VectorXd up = x, down = x;
      up[i] += step;
      down[i] -= step;
      const Chain::Point high = lay(up).point(u), low = lay(down).point(u);
      INFO("u " << u << ", unknown " << i);
      CHECK((rows.col(i) - (high.at - low.at) / (2 * step)).norm() < 1e-7);
      CHECK(heading[i] == Approx((high.heading - low.heading) / (2 * step)).margin(1e-8));
      CHECK(pitch[i] == Approx((high.pitch - low.pitch) / (2 * step)).margin(1e-8));
    }
  }
}

}  // namespace swingtie
