#include "route/solver.hpp"

#include <Eigen/Eigenvalues>
#include <Eigen/SVD>
#include <algorithm>
#include <cassert>
#include <cmath>
#include <limits>
#include <vector>

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

/// Minimises |r + J d|^2 + |x + d - mean|^2_P + damping |d|^2_P with the prior's P^-1. The damping pulls the prior's
/// mean toward x and tightens it, so that one formula serves.
Step step_by_readings(const Minimum& at, const Prior& prior, double damping, Eigen::MatrixXd& factor) {
  const Eigen::VectorXd mean = (prior.mean + damping * at.x) / (1 + damping);
  const Eigen::VectorXd variance = prior.variance / (1 + damping);
  const Eigen::LLT<Eigen::MatrixXd> llt(innovation(at.jacobian, variance));
  const Eigen::VectorXd weights = llt.solve(at.jacobian * (at.x - mean) - at.residuals);
  factor = llt.matrixLLT();
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

void evaluate(LeastSquaresProblem& problem, const Prior& prior, Minimum& m) {
  m.residuals.setZero();
  m.jacobian.setZero();
  problem.evaluate(m.x, m.residuals, &m.jacobian);
  m.sum_of_squares = m.residuals.squaredNorm() + prior_sum(prior, m.x);
}

bool promises_too_little(const Minimum& at, double promised, const SolverOptions& options) {
  return promised <= std::max(options.relative_decrease * (at.sum_of_squares + 1e-300), options.least_decrease);
}

/// Priors keep a chain near enough to straight that the full Gauss-Newton step mostly serves; damping comes in where
/// it does not.
Minimum minimise_by_readings(LeastSquaresProblem& problem, const Prior& prior, Minimum at,
                             const SolverOptions& options) {
  double damping = 0, growth = 2;
  bool factored = false;
  int refusals = 0;
  double refused = 0;  // what the first of them promised
  Minimum trial = at;
  Eigen::MatrixXd factor;
  while (at.steps < options.max_steps) {
    const Step step = step_by_readings(at, prior, damping, factor);
    ++at.steps;
    factored = damping == 0;
    if (damping < 1e-3 && promises_too_little(at, step.promised, options)) {
      at.converged = true;
      break;
    }
    trial.x = step.to;
    evaluate(problem, prior, trial);
    const double gained = at.sum_of_squares - trial.sum_of_squares;
    if (std::isfinite(trial.sum_of_squares) && gained > 0) {
      // Nielsen 1999: damping follows how well the linear model foretold the decrease.
      const double ratio = gained / step.promised;
      trial.steps = at.steps;
      std::swap(at, trial);
      damping *= std::max(1.0 / 3, 1 - std::pow(2 * ratio - 1, 3));
      growth = 2;
      refusals = 0;
      if (damping < 1e-5) damping = 0;
    } else {
      if (refusals++ == 0) refused = step.promised;
      if (damping > 1e12 || (refusals >= 4 && refused <= options.kink)) {
        at.converged = true;  // no step in any direction lowers the sum further: rounding or a kink has been reached
        break;
      }
      damping = std::max(damping * growth, 1e-3);
      growth *= 2;
    }
    factored = false;
  }
  at.factor =
      factored ? std::move(factor) : Eigen::LLT<Eigen::MatrixXd>(innovation(at.jacobian, prior.variance)).matrixLLT();
  at.factor.triangularView<Eigen::StrictlyUpper>().setZero();
  return at;
}

/// The linear model at a point in units in which its columns have about unit length, taken apart so that the step for
/// any damping costs a product.
class Trust {
 public:
  Trust(const Minimum& at, const Prior& prior, const Eigen::VectorXd& scales) : scales_(scales) {
    const Eigen::VectorXd root = information(prior).cwiseSqrt();
    const Eigen::Index readings = at.residuals.size(), unknowns = at.x.size();
    // Stacked and taken apart as it is rather than squared into normal equations, which would halve the digits of a
    // badly conditioned problem.
    Eigen::MatrixXd stacked = Eigen::MatrixXd::Zero(readings + unknowns, unknowns);
    stacked.topRows(readings) = at.jacobian * scales.cwiseInverse().asDiagonal();
    stacked.bottomRows(unknowns).diagonal() = root.cwiseQuotient(scales);
    Eigen::VectorXd target(readings + unknowns);
    target << -at.residuals, root.cwiseProduct(prior.mean - at.x);
    svd_.compute(stacked, Eigen::ComputeThinU | Eigen::ComputeThinV);
    pull_ = svd_.matrixU().transpose() * target;
  }

  /// The step that lowers the linear model most among those no longer than `radius`, in scaled units, to a tenth.
  Eigen::VectorXd step(double radius, bool& full) const {
    const double longest = svd_.singularValues()[0];
    const auto scaled = [&](double damping) -> Eigen::VectorXd {
      const Eigen::ArrayXd s = svd_.singularValues().array();
      // A direction the readings do not see at all is not moved in.
      return (s > 1e-15 * longest).select(s * pull_.array() / (s.square() + damping), 0.0).matrix();
    };
    Eigen::VectorXd best = scaled(0);
    full = best.norm() <= 1.1 * radius;
    double low = 1e-32 * longest * longest, high = 1e16 * longest * longest;
    for (int i = 0; i < 100 && !full; ++i) {
      const double damping = std::sqrt(low * high);
      best = scaled(damping);
      if (best.norm() > 1.1 * radius)
        low = damping;
      else if (best.norm() < 0.9 * radius)
        high = damping;
      else
        break;
    }
    return (svd_.matrixV() * best).cwiseQuotient(scales_);
  }

 private:
  Eigen::VectorXd scales_, pull_;
  Eigen::JacobiSVD<Eigen::MatrixXd> svd_;
};

/// The share of a step that went too far at which the parabola through what is known has its minimum, from a tenth to
/// a half.
double shortened(const Minimum& at, const Prior& prior, const Eigen::VectorXd& step, double sum) {
  if (!std::isfinite(sum)) return 0.1;
  const Eigen::VectorXd gradient =
      at.jacobian.transpose() * at.residuals + information(prior).cwiseProduct(at.x - prior.mean);
  const double slope = 2 * gradient.dot(step), curve = sum - at.sum_of_squares - slope;
  return curve > 0 ? std::clamp(-slope / (2 * curve), 0.1, 0.5) : 0.5;
}

/// More 1978 (The Levenberg-Marquardt algorithm: implementation and theory): the length of the step is controlled
/// rather than the damping, in units of the longest each column has been, which follows a curved valley where damping
/// by steady factors creeps.
Minimum minimise_by_unknowns(LeastSquaresProblem& problem, const Prior& prior, Minimum at,
                             const SolverOptions& options) {
  const Eigen::VectorXd p = information(prior);
  assert(p.allFinite() && "an unknown held fixed needs the form by readings");
  constexpr double first_radius = 100;  // More's factor
  Eigen::VectorXd scales = Eigen::VectorXd::Zero(at.x.size());
  double radius = -1;
  Minimum trial = at;
  while (at.steps < options.max_steps) {
    scales = scales.cwiseMax((at.jacobian.colwise().squaredNorm().transpose() + p).cwiseSqrt()).cwiseMax(1e-300);
    if (radius < 0) {
      const double length = scales.cwiseProduct(at.x).norm();
      radius = first_radius * (length > 0 ? length : 1);
    }
    bool full = false;
    const Eigen::VectorXd step = Trust(at, prior, scales).step(radius, full);
    ++at.steps;
    trial.x = at.x + step;
    const double promised = at.sum_of_squares - linear_sum(at, prior, trial.x);
    const double length = scales.cwiseProduct(step).norm();
    if ((full && promises_too_little(at, promised, options)) || length <= 1e-15 * scales.cwiseProduct(at.x).norm()) {
      at.converged = true;
      break;
    }
    evaluate(problem, prior, trial);
    const double ratio =
        std::isfinite(trial.sum_of_squares) ? (at.sum_of_squares - trial.sum_of_squares) / promised : -1;
    if (ratio <= 0.25)
      radius = length * shortened(at, prior, step, trial.sum_of_squares);
    else if (ratio >= 0.75 || full)
      radius = 2 * length;
    if (ratio > 1e-4) {
      trial.steps = at.steps;
      std::swap(at, trial);
    }
  }
  return at;
}

}  // namespace

Minimum minimise(LeastSquaresProblem& problem, const Prior& prior, const Eigen::VectorXd& start,
                 const SolverOptions& options) {
  const Eigen::Index readings = problem.readings(), unknowns = start.size();
  Minimum at;
  at.residuals.resize(readings);
  at.jacobian.resize(readings, unknowns);
  // A start off the mean of an unknown that is held there would be a fit nobody may have.
  at.x = (prior.variance.array() == 0).select(prior.mean, start);
  evaluate(problem, prior, at);
  return every_unknown_has_a_prior(prior) ? minimise_by_readings(problem, prior, std::move(at), options)
                                          : minimise_by_unknowns(problem, prior, std::move(at), options);
}

Eigen::MatrixXd innovation(const JacobianMatrix& jacobian, const Eigen::VectorXd& variance) {
  Eigen::MatrixXd s = Eigen::MatrixXd::Identity(jacobian.rows(), jacobian.rows());
  // A joint of a chain moves only what lies beyond it. So the unknowns are taken some at a time, in their order, each
  // lot with the readings it moves.
  constexpr Eigen::Index lot = 24;
  std::vector<Eigen::Index> columns, rows;
  Eigen::MatrixXd scaled, product;
  for (Eigen::Index next = 0; next < variance.size();) {
    columns.clear();
    for (; next < variance.size() && static_cast<Eigen::Index>(columns.size()) < lot; ++next)
      if (variance[next] > 0) columns.push_back(next);
    if (columns.empty()) break;
    rows.clear();
    for (Eigen::Index row = 0; row < jacobian.rows(); ++row)
      if (std::any_of(columns.begin(), columns.end(), [&](Eigen::Index c) { return jacobian(row, c) != 0; }))
        rows.push_back(row);
    if (rows.empty()) continue;  // no reading depends on any of this lot
    const Eigen::Index count = static_cast<Eigen::Index>(rows.size());
    scaled.resize(count, static_cast<Eigen::Index>(columns.size()));
    for (Eigen::Index c = 0; c < scaled.cols(); ++c) {
      const Eigen::Index from = columns[static_cast<std::size_t>(c)];
      const double sigma = std::sqrt(variance[from]);
      for (Eigen::Index r = 0; r < count; ++r)
        scaled(r, c) = jacobian(rows[static_cast<std::size_t>(r)], from) * sigma;
    }
    product.setZero(count, count);
    product.selfadjointView<Eigen::Lower>().rankUpdate(scaled);
    for (Eigen::Index c = 0; c < count; ++c)
      for (Eigen::Index r = c; r < count; ++r)
        s(rows[static_cast<std::size_t>(r)], rows[static_cast<std::size_t>(c)]) += product(r, c);
  }
  return s;
}

double condition(const Minimum& minimum) {
  if (minimum.factor.rows() == 0) return 1;
  const auto lower = minimum.factor.triangularView<Eigen::Lower>();
  const Eigen::MatrixXd matrix = lower * Eigen::MatrixXd(minimum.factor.transpose());
  const Eigen::SelfAdjointEigenSolver<Eigen::MatrixXd> axes(matrix, Eigen::EigenvaluesOnly);
  // J P J' takes nothing away from I, so an eigenvalue below 1 is rounding.
  const Eigen::VectorXd values = axes.eigenvalues().cwiseMax(1);
  return values.tail<1>()[0] / values[0];
}

Spread::Spread(const Minimum& minimum, const Prior& prior)
    : by_readings_(every_unknown_has_a_prior(prior)), variance_(prior.variance) {
  if (by_readings_) {
    half_ = minimum.factor.triangularView<Eigen::Lower>().solve(minimum.jacobian * variance_.asDiagonal());
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
