#include <algorithm>
#include <cmath>
#include <limits>

#include "route/observations/observations.hpp"
#include "route/observations/whiten.hpp"

namespace swingtie {
namespace {

/// Foot of a point on a set of polylines: what lies across from it and which way that is.
struct Across {
  double distance = 0;  ///< signed along `normal`
  Eigen::Vector2d normal = Eigen::Vector2d::UnitX();
};

Across across(const Eigen::Vector2d& p, const std::vector<std::vector<PlanPoint>>& polylines) {
  double best = std::numeric_limits<double>::infinity();
  Across result;
  for (const auto& line : polylines) {
    for (std::size_t i = 0; i + 1 < line.size(); ++i) {
      const Eigen::Vector2d a(line[i].e, line[i].n), b(line[i + 1].e, line[i + 1].n);
      const Eigen::Vector2d along = b - a;
      const double squared = along.squaredNorm();
      if (squared <= 0) continue;
      const double t = std::clamp(along.dot(p - a) / squared, 0.0, 1.0);
      const Eigen::Vector2d off = p - (a + t * along);
      const double distance = off.norm();
      if (distance >= best) continue;
      best = distance;
      if (t > 0 && t < 1) {
        result.normal = Eigen::Vector2d(along.y(), -along.x()) / std::sqrt(squared);
        result.distance = result.normal.dot(off);
      } else if (distance > 0) {
        result.normal = off / distance;
        result.distance = distance;
      }
    }
  }
  return result;
}

class EndOnLine : public Observation {
 public:
  EndOnLine(const LineEndpoint& end, std::vector<std::vector<PlanPoint>> polylines, double sigma)
      : end_(end), polylines_(std::move(polylines)), sigma_(sigma) {}

  Eigen::Index rows() const override { return 1; }

  void evaluate(const State& state, Eigen::Index row, Eigen::VectorXd& residuals,
                JacobianMatrix* jacobian) const override {
    const State::Seen end = state.endpoint(end_);
    const Across a = across(end.point.at.head<2>(), polylines_);
    residuals[row] = a.distance / sigma_;
    if (!jacobian) return;
    JacobianMatrix point = JacobianMatrix::Zero(3, jacobian->cols());
    state.add_derivatives(end, point);
    jacobian->row(row) = (a.normal.x() * point.row(0) + a.normal.y() * point.row(1)) / sigma_;
  }

 private:
  LineEndpoint end_;
  std::vector<std::vector<PlanPoint>> polylines_;
  double sigma_;
};

class EndAtPoint : public Observation {
 public:
  EndAtPoint(const LineEndpoint& end, PlanPoint at, const PlanCovariance& covariance)
      : end_(end), at_(at.e, at.n), whitener_(plan_whitener(covariance)) {}

  Eigen::Index rows() const override { return 2; }

  void evaluate(const State& state, Eigen::Index row, Eigen::VectorXd& residuals,
                JacobianMatrix* jacobian) const override {
    const State::Seen end = state.endpoint(end_);
    residuals.segment<2>(row) = whitener_ * (end.point.at.head<2>() - at_);
    if (!jacobian) return;
    JacobianMatrix point = JacobianMatrix::Zero(3, jacobian->cols());
    state.add_derivatives(end, point);
    jacobian->middleRows<2>(row) = whitener_ * point.topRows<2>();
  }

 private:
  LineEndpoint end_;
  Eigen::Vector2d at_;
  Eigen::Matrix2d whitener_;
};

}  // namespace

std::unique_ptr<Observation> observe_end_on_line(const LineEndpoint& end,
                                                 std::vector<std::vector<PlanPoint>> polylines, double sigma) {
  return std::make_unique<EndOnLine>(end, std::move(polylines), sigma);
}

std::unique_ptr<Observation> observe_end_at_point(const LineEndpoint& end, PlanPoint at,
                                                  const PlanCovariance& covariance) {
  return std::make_unique<EndAtPoint>(end, at, covariance);
}

}  // namespace swingtie
