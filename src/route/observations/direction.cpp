#include <cmath>

#include "route/observations/observations.hpp"
#include "route/priors.hpp"

namespace swingtie {
namespace {

class Direction : public Observation {
 public:
  Direction(std::size_t locate, double azimuth) : locate_(locate), azimuth_(azimuth) {}

  Eigen::Index rows() const override { return 1; }

  void evaluate(const State& state, Eigen::Index row, Eigen::VectorXd& residuals,
                JacobianMatrix* jacobian) const override {
    const State::Seen& seen = state.sightings[state.model.locates[locate_].sighting];
    const double turn = seen.point.heading - azimuth_;
    residuals[row] = (turn - pi * std::round(turn / pi)) / prior::receiver_direction;
    if (jacobian)
      state.chains[seen.line].add_heading_derivatives(seen.u, 1 / prior::receiver_direction, jacobian->row(row));
  }

 private:
  std::size_t locate_;
  double azimuth_;
};

}  // namespace

std::unique_ptr<Observation> observe_direction(std::size_t model_locate, double azimuth) {
  return std::make_unique<Direction>(model_locate, azimuth);
}

}  // namespace swingtie
