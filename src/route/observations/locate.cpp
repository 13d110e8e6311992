#include <Eigen/LU>
#include <cmath>

#include "route/observations/observations.hpp"
#include "route/observations/whiten.hpp"

namespace swingtie {
namespace {

class PlanLocate : public Observation {
 public:
  explicit PlanLocate(std::size_t locate) : locate_(locate) {}

  Eigen::Index rows() const override { return 2; }

  void evaluate(const State& state, Eigen::Index row, Eigen::VectorXd& residuals,
                JacobianMatrix* jacobian) const override {
    const ModelLocate& locate = state.model.locates[locate_];
    const Attitude& attitude = state.assumptions.attitudes[locate_];
    const Eigen::Matrix2d w = plan_whitener(locate.covariance(attitude));
    const Eigen::Vector2d stood = state.sightings[locate.sighting].point.at.head<2>() +
                                  locate.shift_by_slope(attitude) + state.x.segment<2>(locate.blunder);
    residuals.segment<2>(row) = w * (stood - Eigen::Vector2d(locate.at.e, locate.at.n));
    if (!jacobian) return;
    jacobian->middleRows<2>(row) = w * state.rows(locate.sighting).topRows<2>();
    jacobian->block<2, 2>(row, locate.blunder) = w;
  }

  double log_sigma(const Model& model, const Assumptions& assumptions) const override {
    return 0.5 * std::log(model.locates[locate_].covariance(assumptions.attitudes[locate_]).determinant() + 1e-12);
  }

 private:
  std::size_t locate_;
};

}  // namespace

std::unique_ptr<Observation> observe_locate(std::size_t model_locate) {
  return std::make_unique<PlanLocate>(model_locate);
}

}  // namespace swingtie
