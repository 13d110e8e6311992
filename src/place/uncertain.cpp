#include "place/uncertain.hpp"

#include <algorithm>
#include <cmath>

#include <Eigen/Eigenvalues>

#include "place/standard_errors.hpp"

namespace swingtie {
namespace {

auto place_of(const std::vector<Sensitivity>& errors, ErrorSource source) {
  return std::lower_bound(errors.begin(), errors.end(), source,
                          [](const Sensitivity& s, ErrorSource id) { return s.source < id; });
}

}  // namespace

PlanVector moved_by(const UncertainPoint& point, ErrorSource source) {
  const auto it = place_of(point.errors, source);
  return it != point.errors.end() && it->source == source ? it->moves : PlanVector{};
}

void add_error(UncertainPoint& point, ErrorSource source, PlanVector moves) {
  const auto it = place_of(point.errors, source);
  if (it != point.errors.end() && it->source == source) {
    auto& there = point.errors[static_cast<std::size_t>(it - point.errors.begin())].moves;
    there = there + moves;
  } else {
    point.errors.insert(it, Sensitivity{source, moves});
  }
}

void add_errors_of(UncertainPoint& point, const UncertainPoint& of, const Eigen::Matrix2d& jacobian) {
  for (const Sensitivity& s : of.errors) {
    const Eigen::Vector2d moved = jacobian * Eigen::Vector2d(s.moves.de, s.moves.dn);
    add_error(point, s.source, {moved.x(), moved.y()});
  }
}

PlanCovariance covariance(const UncertainPoint& point) {
  PlanCovariance sum = PlanCovariance::Zero();
  for (const Sensitivity& s : point.errors) {
    const Eigen::Vector2d v(s.moves.de, s.moves.dn);
    sum += v * v.transpose();
  }
  return sum;
}

UncertainPoint ErrorSources::round(PlanPoint at, double sigma) {
  UncertainPoint point{at, {}};
  add_error(point, fresh(), {sigma, 0});
  add_error(point, fresh(), {0, sigma});
  return point;
}

UncertainPoint ErrorSources::with_covariance(PlanPoint at, const PlanCovariance& covariance) {
  const Eigen::SelfAdjointEigenSolver<PlanCovariance> axes(covariance);
  UncertainPoint point{at, {}};
  for (int i = 0; i < 2; ++i) {
    const Eigen::Vector2d axis = axes.eigenvectors().col(i) * std::sqrt(std::max(axes.eigenvalues()[i], 0.0));
    add_error(point, fresh(), {axis.x(), axis.y()});
  }
  return point;
}

UncertainPoint ErrorSources::within(PlanPoint at, double radius95) {
  return round(at, std::sqrt(covariance_within(radius95)(0, 0)));
}

double tape_sigma(double length) {
  return std::hypot(standard_errors::tape_end, standard_errors::tape_per_metre * length);
}

UncertainPoint between(const UncertainPoint& a, const UncertainPoint& b, double t) {
  UncertainPoint point{a.at + t * (b.at - a.at), {}};
  add_errors_of(point, a, (1 - t) * Eigen::Matrix2d::Identity());
  add_errors_of(point, b, t * Eigen::Matrix2d::Identity());
  return point;
}

}  // namespace swingtie
