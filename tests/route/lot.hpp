#pragma once

#include <memory>

#include "measure/bearing.hpp"
#include "place/placed.hpp"

namespace swingtie {

/// Flat ground, or a plane.
class PlaneGround : public GroundSurface {
 public:
  explicit PlaneGround(double rise_e = 0, double rise_n = 0) : rise_e_(rise_e), rise_n_(rise_n) {}
  double height(PlanPoint p) const override { return rise_e_ * p.e + rise_n_ * p.n; }
  double sigma(PlanPoint) const override { return 0; }
  bool has_elevations() const override { return rise_e_ != 0 || rise_n_ != 0; }

 private:
  double rise_e_, rise_n_;
};

inline LogItem bend_item(double at, Hand hand, double angle_deg, std::size_t line) {
  LogItem item;
  item.at = {at};
  item.bend = Bend{hand, angle_deg * degree};
  item.span = {line, 9, 1};
  return item;
}

inline Locate locate_item(double at, PlanPoint where, double sigma, std::size_t line) {
  Locate locate;
  locate.at = {at};
  locate.position.at = where;
  locate.position.covariance = PlanCovariance::Identity() * sigma * sigma;
  locate.whole = true;
  locate.span = {line, 9, 1};
  return locate;
}

/// Runs 10 m north from the origin, then 12 m north-east (a right 45 at 10), with exact locates at 5, 14, 18 and 22.
inline Placed bent_lot() {
  Placed placed;
  placed.ground = std::make_shared<PlaneGround>();
  placed.lines.emplace_back();
  placed.lines[0].id = "main";
  Run run;
  run.id = "R1";
  run.drop = 1.5;
  run.access.covariance = PlanCovariance::Identity() * 0.05 * 0.05;
  run.log.push_back(bend_item(10, Hand::right, 45, 20));
  const double r = std::sqrt(0.5);
  for (const double at : {5.0, 14.0, 18.0, 22.0}) {
    const double past = std::max(at - 10, 0.0);
    Locate locate =
        locate_item(at, {past * r, std::min(at, 10.0) + past * r}, 0.15, 30 + static_cast<std::size_t>(at));
    locate.depth.along = 1.5 + 0.016 * at;
    run.locates.push_back(locate);
  }
  LogItem end;
  end.at = {22};
  end.end = "tap";
  run.log.push_back(end);
  placed.runs.push_back(run);
  return placed;
}

}  // namespace swingtie
