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

PlanVector moved(const std::vector<Sensitivity>& errors, ErrorSource source) {
  const auto it = place_of(errors, source);
  return it != errors.end() && it->source == source ? it->moves : PlanVector{};
}

void add(std::vector<Sensitivity>& errors, ErrorSource source, PlanVector moves) {
  const auto it = place_of(errors, source);
  if (it != errors.end() && it->source == source) {
    auto& there = errors[static_cast<std::size_t>(it - errors.begin())].moves;
    there = there + moves;
  } else {
    errors.insert(it, Sensitivity{source, moves});
  }
}

PlanVector transformed(const Eigen::Matrix2d& jacobian, PlanVector v) {
  const Eigen::Vector2d moves = jacobian * Eigen::Vector2d(v.de, v.dn);
  return {moves.x(), moves.y()};
}

PlanCovariance sum_of_squares(const std::vector<Sensitivity>& errors) {
  PlanCovariance sum = PlanCovariance::Zero();
  for (const Sensitivity& s : errors) {
    const Eigen::Vector2d v(s.moves.de, s.moves.dn);
    sum += v * v.transpose();
  }
  return sum;
}

}  // namespace

PlanVector moved_by(const UncertainPoint& point, ErrorSource source) {
  return moved(point.errors, source);
}

void add_error(UncertainPoint& point, ErrorSource source, PlanVector moves) {
  add(point.errors, source, moves);
}

void add_errors_of(UncertainPoint& point, const UncertainPoint& of, const Eigen::Matrix2d& jacobian) {
  for (const Sensitivity& s : of.errors) add(point.errors, s.source, transformed(jacobian, s.moves));
  for (const Sensitivity& s : of.covered) add(point.covered, s.source, transformed(jacobian, s.moves));
}

PlanCovariance covariance(const UncertainPoint& point) {
  return sum_of_squares(point.errors);
}

UncertainPoint restated(const UncertainPoint& point, UncertainPoint own) {
  own.covered = point.covered;
  for (const Sensitivity& s : point.errors) add(own.covered, s.source, s.moves);
  return own;
}

CommonShift::CommonShift(const std::vector<UncertainPoint>& measured) {
  std::vector<Sensitivity> all;  // each source once, with the sum of its movements
  for (const UncertainPoint& point : measured) {
    for (const auto* errors : {&point.errors, &point.covered}) {
      for (const Sensitivity& s : *errors) add(all, s.source, s.moves);
    }
  }
  for (const Sensitivity& s : all) {
    // The shift that most share: the mean of those that move at all, if they are a majority and move alike.
    std::vector<PlanVector> moves;
    for (const UncertainPoint& point : measured) {
      const PlanVector v = moved(point.errors, s.source) + moved(point.covered, s.source);
      if (length(v) > 0) moves.push_back(v);
    }
    if (2 * moves.size() <= measured.size() || moves.size() < 2) continue;
    const PlanVector mean = (1 / static_cast<double>(moves.size())) * s.moves;
    const bool alike =
        std::all_of(moves.begin(), moves.end(), [&](PlanVector v) { return length(v - mean) < 0.5 * length(mean); });
    if (alike) common_.push_back({s.source, mean});
  }
}

PlacedPoint CommonShift::placed(const UncertainPoint& point) const {
  std::vector<Sensitivity> on_grid = point.errors;
  for (const Sensitivity& s : common_) add(on_grid, s.source, moved(point.covered, s.source));
  std::vector<Sensitivity> in_drawing = on_grid;
  for (const Sensitivity& s : common_) add(in_drawing, s.source, -1 * s.moves);
  return {point.at, sum_of_squares(in_drawing), sum_of_squares(on_grid)};
}

PlanCovariance CommonShift::shift() const {
  return sum_of_squares(common_);
}

bool CommonShift::has_datum() const {
  return std::any_of(common_.begin(), common_.end(), [](const Sensitivity& s) {
    return s.source == ErrorSources::datum_east || s.source == ErrorSources::datum_north;
  });
}

UncertainPoint ErrorSources::round(PlanPoint at, double sigma) {
  UncertainPoint point{at, {}, {}};
  add_error(point, fresh(), {sigma, 0});
  add_error(point, fresh(), {0, sigma});
  return point;
}

UncertainPoint ErrorSources::with_covariance(PlanPoint at, const PlanCovariance& covariance) {
  const Eigen::SelfAdjointEigenSolver<PlanCovariance> axes(covariance);
  UncertainPoint point{at, {}, {}};
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
  UncertainPoint point{a.at + t * (b.at - a.at), {}, {}};
  add_errors_of(point, a, (1 - t) * Eigen::Matrix2d::Identity());
  add_errors_of(point, b, t * Eigen::Matrix2d::Identity());
  return point;
}

}  // namespace swingtie
