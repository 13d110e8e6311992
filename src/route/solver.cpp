#include "route/solver.hpp"

#include <cassert>
#include <cmath>
#include <limits>

namespace swingtie {
namespace {

bool every_unknown_has_a_prior(const Prior& prior) {
  return prior.variance.allFinite();
}

double prior_sum(const Prior& prior, const Eigen::VectorXd& x) {
  double sum = 0;
  for (Eigen::Index i = 0; i < x.size(); ++i) {
    const double v = prior.variance[i];
    if (v > 0 && std::isfinite(v)) sum += (x[i] - prior.mean[i]) * (x[i] - prior.mean[i]) / v;
  }
  return sum;
}

/// A step and the decrease of the sum of squares that the linear model promises for it.
struct Step {
  Eigen::VectorXd to;
  double promised = 0;
};

double linear_sum(const Minimum& at, const Prior& prior, const Eigen::VectorXd& to) {
  return (at.residuals + at.jacobian * (to - at.x)).squaredNorm() + prior_sum(prior, to);
}

/// Both forms minimise |r + J d|^2 + |x + d - mean|^2_P + damping |d|^2_D with D = P^-1 or diag(J'J).
/// Here the damping pulls the prior's mean toward x and tightens it, so that one formula serves.
Step step_by_readings(const Minimum& at, const Prior& prior, double damping) {
  const Eigen::VectorXd mean = (prior.mean + damping * at.x) / (1 + damping);
  const Eigen::VectorXd variance = prior.variance / (1 + damping);
  const JacobianMatrix scaled = at.jacobian * variance.cwiseSqrt().asDiagonal();
  Eigen::MatrixXd s = Eigen::MatrixXd::Identity(scaled.rows(), scaled.rows());
  s.selfadjointView<Eigen::Lower>().rankUpdate(scaled);
  const Eigen::VectorXd innovation = at.jacobian * (at.x - mean) - at.residuals;
  const Eigen::VectorXd weights = s.selfadjointView<Eigen::Lower>().llt().solve(innovation);
  Step step;
  step.to = mean + variance.cwiseProduct(at.jacobian.transpose() * weights);
  step.promised = at.sum_of_squares - linear_sum(at, prior, step.to);
  return step;
}

Eigen::VectorXd information(const Prior& prior) {
  return prior.variance.unaryExpr([](double v) {
    return std::isinf(v) ? 0.0 : v > 0 ? 1 / v : std::numeric_limits<double>::infinity();
  });
}

Step step_by_unknowns(const Minimum& at, const Prior& prior, double damping) {
  const Eigen::VectorXd p = information(prior);
  assert(p.allFinite() && "an unknown held fixed needs the form by readings");
  Eigen::MatrixXd normal = at.jacobian.transpose() * at.jacobian;
  normal.diagonal() += p;
  // Columns differ by many powers of ten in badly scaled problems; unit diagonal keeps the factor exact enough.
  const Eigen::VectorXd scale = normal.diagonal().cwiseSqrt().cwiseMax(1e-300).cwiseInverse();
  const Eigen::VectorXd gradient = at.jacobian.transpose() * at.residuals + p.cwiseProduct(at.x - prior.mean);
  Eigen::MatrixXd scaled = scale.asDiagonal() * normal * scale.asDiagonal();
  scaled.diagonal().array() += damping;
  Step step;
  step.to = at.x - scale.cwiseProduct(scaled.ldlt().solve(scale.cwiseProduct(gradient)));
  step.promised = at.sum_of_squares - linear_sum(at, prior, step.to);
  return step;
}

}  // namespace

Minimum minimise(LeastSquaresProblem& problem, const Prior& prior, const Eigen::VectorXd& start,
                 const SolverOptions& options) {
  const bool by_readings = every_unknown_has_a_prior(prior);
  const Eigen::Index readings = problem.readings(), unknowns = start.size();
  Minimum at{start, Eigen::VectorXd::Zero(readings), JacobianMatrix::Zero(readings, unknowns)};
  const auto evaluate = [&](Minimum& m) {
    m.residuals.setZero();
    m.jacobian.setZero();
    problem.evaluate(m.x, m.residuals, &m.jacobian);
    m.sum_of_squares = m.residuals.squaredNorm() + prior_sum(prior, m.x);
  };
  evaluate(at);
  double damping = options.first_damping;
  Minimum trial = at;
  for (int i = 0; i < options.max_steps; ++i) {
    Step step = by_readings ? step_by_readings(at, prior, damping) : step_by_unknowns(at, prior, damping);
    ++at.steps;
    if (damping < 1e-3 &&
        step.promised <= std::max(options.relative_decrease * (at.sum_of_squares + 1e-300), options.least_decrease)) {
      at.converged = true;
      break;
    }
    trial.x = step.to;
    evaluate(trial);
    const double gained = at.sum_of_squares - trial.sum_of_squares;
    if (std::isfinite(trial.sum_of_squares) && gained > 0) {
      const double ratio = gained / step.promised;
      trial.steps = at.steps;
      std::swap(at, trial);
      damping = ratio > 0.75   ? (damping < 1e-4 ? 0 : damping / 8)
                : ratio > 0.25 ? damping
                               : std::max(damping * 2, 1e-2);
    } else {
      if (damping > 1e12) {
        at.converged = true;  // no step in any direction lowers the sum further: rounding has been reached
        break;
      }
      damping = std::max(damping * 8, 1e-3);
    }
  }
  return at;
}

Spread::Spread(const Minimum& minimum, const Prior& prior)
    : by_readings_(every_unknown_has_a_prior(prior)), variance_(prior.variance) {
  if (by_readings_) {
    const JacobianMatrix jp = minimum.jacobian * variance_.asDiagonal();
    Eigen::MatrixXd s = Eigen::MatrixXd::Identity(jp.rows(), jp.rows());
    s.noalias() += jp * minimum.jacobian.transpose();
    half_ = s.llt().matrixL().solve(jp);
  } else {
    Eigen::MatrixXd normal = minimum.jacobian.transpose() * minimum.jacobian;
    normal.diagonal() += information(prior);
    normal_.compute(normal);
  }
}

Eigen::MatrixXd Spread::covariance(const Eigen::Ref<const JacobianMatrix>& functions) const {
  if (!by_readings_) return functions * normal_.solve(functions.transpose());
  const Eigen::MatrixXd seen = half_ * functions.transpose();
  Eigen::MatrixXd c = functions * variance_.asDiagonal() * functions.transpose();
  c.noalias() -= seen.transpose() * seen;
  return c;
}

Eigen::MatrixXd Spread::covariance() const {
  if (!by_readings_) return normal_.solve(Eigen::MatrixXd::Identity(variance_.size(), variance_.size()));
  Eigen::MatrixXd c = -half_.transpose() * half_;
  c.diagonal() += variance_;
  return c;
}

}  // namespace swingtie
