#include "route/mixture.hpp"

#include <cmath>

namespace swingtie {

MixtureTerm::MixtureTerm(const Model& model, std::vector<Atom> set, Assumptions taken, const Eigen::VectorXd& start)
    : atoms(std::move(set)), assumptions(std::move(taken)) {
  ModelProblem problem(model, assumptions);
  minimum = minimise(problem, assumptions.prior, start);
  const JacobianMatrix jp = minimum.jacobian * assumptions.prior.variance.asDiagonal();
  Eigen::MatrixXd s = Eigen::MatrixXd::Identity(jp.rows(), jp.rows());
  s.noalias() += jp * minimum.jacobian.transpose();
  const Eigen::LLT<Eigen::MatrixXd> llt(s);
  factor = llt.matrixL();
  half = llt.matrixL().solve(jp);
  for (const Atom& atom : atoms) log_prior += atom.log_odds;
  double log_sigma = 0;
  for (const auto& observation : model.observations) log_sigma += observation->log_sigma(model, assumptions);
  log_evidence = -0.5 * minimum.sum_of_squares - factor.diagonal().array().log().sum() - log_sigma + log_prior;
  state_ = std::make_unique<State>(model, assumptions, minimum.x, true);
}

Eigen::MatrixXd MixtureTerm::covariance(const Eigen::Ref<const JacobianMatrix>& functions) const {
  const Eigen::MatrixXd seen = half * functions.transpose();
  Eigen::MatrixXd c = functions * assumptions.prior.variance.asDiagonal() * functions.transpose();
  c.noalias() -= seen.transpose() * seen;
  return c;
}

Eigen::MatrixXd MixtureTerm::draw(Random& random, Eigen::Index count) const {
  // Matheron's rule: a draw of the prior, corrected by what the readings say of it, is a draw of the posterior.
  const Eigen::Index unknowns = minimum.x.size(), readings = minimum.residuals.size();
  const Eigen::VectorXd sigma = assumptions.prior.variance.cwiseSqrt();
  Eigen::MatrixXd x(unknowns, count), noise(readings, count);
  for (Eigen::Index k = 0; k < count; ++k) {
    for (Eigen::Index i = 0; i < unknowns; ++i) x(i, k) = sigma[i] > 0 ? sigma[i] * random.normal() : 0;
    for (Eigen::Index i = 0; i < readings; ++i) noise(i, k) = random.normal();
  }
  noise.noalias() += minimum.jacobian * x;
  factor.triangularView<Eigen::Lower>().solveInPlace(noise);
  x.noalias() -= half.transpose() * noise;
  x.colwise() += minimum.x;
  return x;
}

}  // namespace swingtie
