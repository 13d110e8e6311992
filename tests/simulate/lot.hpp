#pragma once

#include "place/placed.hpp"
#include "simulate/dipole.hpp"
#include "simulate/random.hpp"
#include "simulate/truth.hpp"

namespace swingtie::simulate {

/// Ground that is a plane, with elevations only where it slopes.
class PlaneGround : public GroundSurface {
 public:
  explicit PlaneGround(const Lawn& lawn) : lawn_(lawn) {}
  double height(PlanPoint p) const override { return lawn_.height(p.e, p.n); }
  double sigma(PlanPoint) const override { return 0.02; }
  bool has_elevations() const override { return lawn_.rise_e != 0 || lawn_.rise_n != 0; }

 private:
  Lawn lawn_;
};

/// A value in metres rounded to a step in international feet, so that a job file can carry it exactly.
double rounded_ft(double metres, double step_ft);
PlanPoint rounded_ft(Eigen::Vector2d point, double step_ft);

/// Draws the surroundings of a line: house, curb, right-of-way line, city main, a tree, a hydrant and a pole, sorted
/// by id. The main runs through the line's end but for the error of the city's map, stated as its covariance; the
/// right-of-way line crosses the line at a random place.
std::vector<Feature> lot_around(const TrueLine& line, bool around_house, Random& random);

/// Standard deviation per axis of the drawn main.
double main_sigma();

}  // namespace swingtie::simulate
