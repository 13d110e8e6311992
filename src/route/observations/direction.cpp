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
    const Chain& chain = state.chains[seen.line];
    const Chain::Point before = chain.point(seen.u - reach), after = chain.point(seen.u + reach);
    const Eigen::Vector2d along = (after.at - before.at).head<2>();
    const double turn = std::atan2(along.x(), along.y()) - azimuth_;
    residuals[row] = (turn - pi * std::round(turn / pi)) / prior::receiver_direction;
    const double square = along.squaredNorm();
    if (!jacobian || square < 1e-6) return;
    JacobianMatrix ends = JacobianMatrix::Zero(6, jacobian->cols());
    chain.add_point_derivatives(seen.u - reach, ends.topRows<3>());
    chain.add_point_derivatives(seen.u + reach, ends.bottomRows<3>());
    const Eigen::Vector3d by_u = after.direction - before.direction;
    Eigen::RowVector2d by_end(along.y(), -along.x());
    by_end /= square * prior::receiver_direction;
    jacobian->row(row) = by_end * (ends.middleRows<2>(3) - ends.topRows<2>());
    for (int t = 0; t < seen.motion.terms; ++t)
      (*jacobian)(row, seen.motion.column[t]) += seen.motion.per_unit[t] * (by_end * by_u.head<2>()).value();
  }

 private:
  /// The receiver sees the field over some length of pipe, a bend in it as something between. Taking the direction
  /// from one end of that length to the other also makes it a smooth function of where the camera stood.
  static constexpr double reach = 0.4;

  std::size_t locate_;
  double azimuth_;
};

}  // namespace

std::unique_ptr<Observation> observe_direction(std::size_t model_locate, double azimuth) {
  return std::make_unique<Direction>(model_locate, azimuth);
}

}  // namespace swingtie
