#include <cmath>

#include "route/observations/observations.hpp"
#include "route/observations/whiten.hpp"

namespace swingtie {
namespace {

class Access : public Observation {
 public:
  Access(std::size_t run, PlanPoint at, const PlanCovariance& covariance, double up, double sigma_up)
      : run_(run), at_(at.e, at.n, up), whitener_(plan_whitener(covariance)), sigma_up_(sigma_up) {}

  Eigen::Index rows() const override { return 3; }

  void evaluate(const State& state, Eigen::Index row, Eigen::VectorXd& residuals,
                JacobianMatrix* jacobian) const override {
    const State::Seen entry = state.endpoint({run_, {}});
    const Eigen::Vector3d off = entry.point.at - at_;
    residuals.segment<2>(row) = whitener_ * off.head<2>();
    residuals[row + 2] = off.z() / sigma_up_;
    if (!jacobian) return;
    JacobianMatrix point = JacobianMatrix::Zero(3, jacobian->cols());
    state.add_derivatives(entry, point);
    jacobian->middleRows<2>(row) = whitener_ * point.topRows<2>();
    jacobian->row(row + 2) = point.row(2) / sigma_up_;
  }

 private:
  std::size_t run_;
  Eigen::Vector3d at_;
  Eigen::Matrix2d whitener_;
  double sigma_up_;
};

}  // namespace

std::unique_ptr<Observation> observe_access(std::size_t run, PlanPoint at, const PlanCovariance& covariance,
                                            double up, double sigma_up) {
  return std::make_unique<Access>(run, at, covariance, up, sigma_up);
}

}  // namespace swingtie
