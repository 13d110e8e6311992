#include "measure/covariance.hpp"

#include <algorithm>
#include <array>
#include <boost/math/special_functions/erf.hpp>
#include <boost/math/special_functions/gamma.hpp>
#include <boost/math/tools/roots.hpp>
#include <cassert>
#include <cmath>

#include "measure/bearing.hpp"

namespace swingtie {
namespace {

/// Double arithmetic throughout: the promotion to long double would give other digits on another platform.
using Policy = boost::math::policies::policy<boost::math::policies::promote_double<false>>;

struct Axes {
  double major = 0, minor = 0;  ///< standard deviations, metres
  Azimuth direction;
};

Axes principal_axes(const PlanCovariance& c) {
  const double mean = (c(0, 0) + c(1, 1)) / 2;
  const double difference = (c(1, 1) - c(0, 0)) / 2;  // n minus e, since azimuths start at north
  const double radius = std::hypot(difference, c(0, 1));
  Axes axes;
  axes.major = std::sqrt(std::max(0.0, mean + radius));
  // The determinant over the larger root keeps the digits that mean - radius would lose.
  const double determinant = std::max(0.0, c(0, 0) * c(1, 1) - c(0, 1) * c(0, 1));
  axes.minor = axes.major > 0 ? std::min(axes.major, std::sqrt(determinant) / axes.major) : 0;
  if (radius > 0) {
    double turn = std::atan2(c(0, 1), difference) / 2;
    if (turn < 0) turn += pi;
    axes.direction = {turn < pi ? turn : 0};
  }
  return axes;
}

/// P(distance from the centre < radius) for standard deviations 1 and `ratio` <= 1 along the axes.
///
/// In whitened directions t the circle is an ellipse whose squared radius is r^2 / (cos^2 t + ratio^2 sin^2 t), and
/// the standard normal leaves exp(-that/2) outside, so P = 1 - mean over t. The integrand is smooth and periodic: the
/// trapezoid rule converges faster than any power of the step.
double probability_in_circle(double radius, double ratio) {
  constexpr int most = 256;  // over a quarter turn; 1e-13 at ratio 0, the worst
  static const std::array<double, most + 1> cosine_squared = [] {
    std::array<double, most + 1> all{};
    for (int i = 0; i <= most; ++i) all[static_cast<std::size_t>(i)] = std::pow(std::cos(pi / 2 * i / most), 2);
    return all;
  }();
  // The rounder the ellipse, the fewer steps sum up this periodic function to the last digit.
  const int stride = ratio > 0.2 ? 4 : 1;
  double sum = 0;
  for (int i = 0; i <= most; i += stride) {
    const double c = cosine_squared[static_cast<std::size_t>(i)];
    const double squared = c + ratio * ratio * (1 - c);
    const double outside = squared > 0 ? std::exp(-radius * radius / (2 * squared)) : 0;
    sum += (i == 0 || i == most ? 0.5 : 1.0) * outside;
  }
  return 1 - sum * stride / most;
}

}  // namespace

ErrorEllipse error_ellipse(const PlanCovariance& covariance, double probability) {
  assert(probability > 0 && probability < 1);
  const Axes axes = principal_axes(covariance);
  const double scale = std::sqrt(chi_square_quantile(probability, 2));
  return {scale * axes.major, scale * axes.minor, axes.direction};
}

PlanCovariance covariance_of(const ErrorEllipse& ellipse, double probability) {
  assert(probability > 0 && probability < 1);
  const double scale = 1 / std::sqrt(chi_square_quantile(probability, 2));
  const double major = std::pow(scale * ellipse.semi_major, 2);
  const double minor = std::pow(scale * ellipse.semi_minor, 2);
  const double s = std::sin(ellipse.major_axis.radians), c = std::cos(ellipse.major_axis.radians);
  PlanCovariance covariance;
  covariance(0, 0) = major * s * s + minor * c * c;
  covariance(1, 1) = major * c * c + minor * s * s;
  covariance(0, 1) = covariance(1, 0) = (major - minor) * s * c;
  return covariance;
}

double circle_radius(const PlanCovariance& covariance, double probability) {
  assert(probability > 0 && probability < 1);
  const Axes axes = principal_axes(covariance);
  if (axes.major <= 0) return 0;
  const double ratio = axes.minor / axes.major;
  const double on_a_line = normal_quantile((1 + probability) / 2);
  const double round = std::sqrt(chi_square_quantile(probability, 2));
  const auto miss = [&](double r) { return probability_in_circle(r, ratio) - probability; };
  // The answer lies between the two extremes; a hair wider, so that rounding cannot put it outside.
  double below = on_a_line * (1 - 1e-6), above = round * (1 + 1e-6);
  std::uintmax_t rounds = 60;
  const auto bracket =
      boost::math::tools::toms748_solve(miss, below, above, boost::math::tools::eps_tolerance<double>(48), rounds);
  return axes.major * (bracket.first + bracket.second) / 2;
}

PlanCovariance covariance_within(double radius95) {
  const double variance = radius95 * radius95 / chi_square_quantile(0.95, 2);
  return variance * PlanCovariance::Identity();
}

double normal_quantile(double probability) {
  assert(probability > 0 && probability < 1);
  return -std::sqrt(2.0) * boost::math::erfc_inv(2 * probability, Policy());
}

double normal_cdf(double x) {
  return 0.5 * std::erfc(-x / std::sqrt(2.0));
}

double chi_square_quantile(double probability, int degrees_of_freedom) {
  assert(probability > 0 && probability < 1 && degrees_of_freedom >= 1);
  if (degrees_of_freedom == 2) return -2 * std::log1p(-probability);
  return 2 * boost::math::gamma_p_inv(degrees_of_freedom / 2.0, probability, Policy());
}

double chi_square_beyond(double q, int degrees_of_freedom) {
  assert(q >= 0 && degrees_of_freedom >= 1);
  if (degrees_of_freedom == 2) return std::exp(-q / 2);
  return boost::math::gamma_q(degrees_of_freedom / 2.0, q / 2, Policy());
}

}  // namespace swingtie
