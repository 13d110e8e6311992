#pragma once

#include <Eigen/Cholesky>

#include "measure/covariance.hpp"
#include "route/model.hpp"

namespace swingtie {

/// W with W C W' = I for a plan covariance C. A direction without error keeps a tenth of a millimetre, so that a
/// covariance of rank one can be whitened.
inline Eigen::Matrix2d plan_whitener(const PlanCovariance& covariance) {
  const Eigen::Matrix2d c = covariance + Eigen::Matrix2d::Identity() * 1e-8;
  return c.llt().matrixL().solve(Eigen::Matrix2d::Identity());
}

}  // namespace swingtie
