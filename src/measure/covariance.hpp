#pragma once

#include <Eigen/Core>

#include "measure/plane.hpp"

namespace swingtie {

/// Covariance of a plan position: order e, n; square metres; symmetric, positive semi-definite.
using PlanCovariance = Eigen::Matrix2d;

/// Covariance of a point in space: order e, n, up; square metres; symmetric, positive semi-definite.
using SpaceCovariance = Eigen::Matrix3d;

struct ErrorEllipse {
  double semi_major = 0;  ///< metres, >= semi_minor
  double semi_minor = 0;  ///< metres, >= 0
  Azimuth major_axis;     ///< in [0, pi); 0 for a circle
};

/// The ellipse, centred on the estimate, that holds the true point with this probability if errors are Gaussian.
///
/// Both half-axes are sqrt(q) times the standard deviations along the principal axes, q being the chi-square
/// quantile with 2 degrees of freedom: 2.448 at 95 %. The one-dimensional 1.960 would hold only 85 %.
/// @param probability  in (0, 1)
/// A covariance of rank one (a locate known only across the line) gives semi_minor 0; eigenvalues below zero by
/// rounding count as zero. O(1).
/// Source: NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.4 (critical values).
ErrorEllipse error_ellipse(const PlanCovariance& covariance, double probability);

/// The covariance whose error ellipse at this probability is the given one: the inverse of error_ellipse.
PlanCovariance covariance_of(const ErrorEllipse& ellipse, double probability);

/// Radius of the circle, centred on the estimate, that holds the true point with this probability, metres.
///
/// The exact integral of the bivariate normal over a circle, to 1e-9 relative; between 1.960 (a line) and 2.448
/// (a circle) times the larger standard deviation at 95 %.
double circle_radius(const PlanCovariance& covariance, double probability);

/// The circular covariance whose circle at 95 % has this radius: what `within: X` in a job file means.
PlanCovariance covariance_within(double radius95);

/// x with P(X <= x) = probability for a standard normal X; probability in (0, 1), absolute error below 1e-9.
double normal_quantile(double probability);

/// P(X <= x) for a standard normal X.
double normal_cdf(double x);

/// q with P(Q <= q) = probability for a chi-square Q; probability in (0, 1), degrees_of_freedom >= 1.
double chi_square_quantile(double probability, int degrees_of_freedom);

/// P(Q > q) for a chi-square Q; q >= 0, degrees_of_freedom >= 1. Exact in the far tail.
double chi_square_beyond(double q, int degrees_of_freedom);

}  // namespace swingtie
