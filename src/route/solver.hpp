#pragma once

#include <Eigen/Cholesky>
#include <Eigen/Core>

namespace swingtie {

/// Whitened residuals by row; row-major because each reading fills its own rows.
using JacobianMatrix = Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor>;

/// What is known of the unknowns before any reading: independent Gaussians.
struct Prior {
  Eigen::VectorXd mean;
  /// 0 holds an unknown at its mean; infinity leaves it free.
  Eigen::VectorXd variance;
};

/// Residuals of a nonlinear least-squares problem, whitened: each already divided by its sigma.
class LeastSquaresProblem {
 public:
  virtual ~LeastSquaresProblem() = default;
  virtual Eigen::Index readings() const = 0;
  /// Residuals (computed minus read) at x and, where `jacobian` is not null, their derivatives by every unknown.
  /// Both arrive with the right size and set to zero.
  virtual void evaluate(const Eigen::VectorXd& x, Eigen::VectorXd& residuals, JacobianMatrix* jacobian) = 0;
};

struct SolverOptions {
  int max_steps = 60;
  /// Converged when a full step promises to lower the sum of squares by less than this share of it …
  double relative_decrease = 1e-9;
  double least_decrease = 0;  ///< … or by less than this outright
  /// Given up after four refused steps in a row of which the first promised no more than this: at a kink of the
  /// residuals the linear model promises what no step keeps.
  double kink = 0;
};

/// The minimum of |residuals|^2 + |(x - mean)/sigma|^2 and what lies around it.
struct Minimum {
  Eigen::VectorXd x;
  Eigen::VectorXd residuals;
  JacobianMatrix jacobian;
  double sum_of_squares = 0;  ///< prior terms included
  /// Lower Cholesky factor of I + J P J' at x, in the form by readings.
  Eigen::MatrixXd factor;
  int steps = 0;
  bool converged = false;
};

/// Levenberg-Marquardt on whitened residuals with an optional diagonal prior.
///
/// With n unknowns and m readings the step is found in whichever of the two equivalent forms is cheaper:
/// from the n-by-n normal matrix J'J + P^-1, or, where every unknown has a prior, from the m-by-m matrix
/// I + J P J' of the readings (the two are one another's Woodbury identity). A chain of many short pieces seen by
/// few readings takes the second, whose cost grows with m^2 n + m^3 and so only linearly with the line's length.
/// The first form bounds the step in units of the columns of J (More 1978), the second damps it in units of the
/// prior.
Minimum minimise(LeastSquaresProblem& problem, const Prior& prior, const Eigen::VectorXd& start,
                 const SolverOptions& options = {});

/// I + J P J', of which the lower half is filled; unknowns without variance cost nothing.
Eigen::MatrixXd innovation(const JacobianMatrix& jacobian, const Eigen::VectorXd& variance);

/// Condition number of I + J P J' at a minimum found in the form by readings, the matrix its last step was solved
/// with: the largest eigenvalue over the smallest. The step loses about log10 of it of its 16 digits. At least 1;
/// exactly 1 without readings. By all eigenvalues, m^3: as much as a few steps.
double condition(const Minimum& minimum);

/// The Gaussian around a minimum, in the form that suits its size.
class Spread {
 public:
  Spread(const Minimum& minimum, const Prior& prior);

  /// Covariance of the linear functions A x of the unknowns, A being k by n.
  Eigen::MatrixXd covariance(const Eigen::Ref<const JacobianMatrix>& functions) const;
  /// Covariance of the unknowns themselves, n by n. O(n^2 m).
  Eigen::MatrixXd covariance() const;

 private:
  bool by_readings_;
  Eigen::VectorXd variance_;
  Eigen::MatrixXd half_;                ///< L^-1 J P, m by n, where I + J P J' = L L'
  Eigen::LLT<Eigen::MatrixXd> normal_;  ///< J'J + P^-1
};

}  // namespace swingtie
