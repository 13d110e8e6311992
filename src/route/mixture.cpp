#include "route/mixture.hpp"

#include <cmath>

namespace swingtie {

MixtureTerm::MixtureTerm(const Model& model, std::vector<Atom> set, std::vector<Choice> settled, Assumptions taken,
                         const Eigen::VectorXd& start, const SolverOptions& options)
    : atoms(std::move(set)), choices(std::move(settled)), assumptions(std::move(taken)) {
  ModelProblem problem(model, assumptions);
  minimum = minimise(problem, assumptions.prior, start, options);
  const JacobianMatrix jp = minimum.jacobian * assumptions.prior.variance.asDiagonal();
  Eigen::MatrixXd s = Eigen::MatrixXd::Identity(jp.rows(), jp.rows());
  s.noalias() += jp * minimum.jacobian.transpose();
  const Eigen::LLT<Eigen::MatrixXd> llt(s);
  factor = llt.matrixL();
  half = llt.matrixL().solve(jp);
  surprise_ = llt.matrixL().solve(minimum.jacobian * (minimum.x - assumptions.prior.mean) - minimum.residuals);
  std::size_t slot = 0;
  for (const Atom& atom : atoms) {
    log_prior += atom.log_odds;
    if (atom.kind == MistakeKind::unlogged_bend)
      log_prior += kind_of(atom.kind).correction(model, assumptions, slot++, minimum.x);
  }
  for (const Choice& choice : choices) log_prior += choice.log_prior;
  double log_sigma = 0;
  for (const auto& observation : model.observations) log_sigma += observation->log_sigma(model, assumptions);
  log_evidence = -0.5 * minimum.sum_of_squares - factor.diagonal().array().log().sum() - log_sigma + log_prior;
  state_ = std::make_unique<State>(model, assumptions, minimum.x, true);
}

MixtureTerm::Gain MixtureTerm::gain(const Model& model, const Effect& effect) const {
  const auto felt = [&](Eigen::Index column) {
    Eigen::VectorXd c = minimum.jacobian.col(column);
    if (effect.beyond) {
      for (const ModelLocate& locate : model.locates)
        if (locate.run != effect.run || model.sightings[locate.sighting].reading <= *effect.beyond)
          c.segment(locate.first_row, locate.end_row - locate.first_row).setZero();
    }
    return c;
  };
  const auto whiten = [&](Eigen::MatrixXd columns) {
    factor.triangularView<Eigen::Lower>().solveInPlace(columns);
    return columns;
  };
  Gain gain;
  if (effect.jump) {
    // Residuals at the prior mean grow by the column times the jump: y becomes y - a d.
    const Eigen::VectorXd a = whiten(felt(effect.jump->column));
    const double d = effect.jump->sigma;
    gain.first = d;
    gain.log_evidence = d * a.dot(surprise_) - d * d * a.squaredNorm() / 2;
    return gain;
  }
  const Eigen::Index count = static_cast<Eigen::Index>(effect.freed.size());
  Eigen::MatrixXd columns(minimum.jacobian.rows(), count);
  for (Eigen::Index i = 0; i < count; ++i) {
    const Effect::Freed& f = effect.freed[static_cast<std::size_t>(i)];
    columns.col(i) = felt(f.column) * f.sigma;
  }
  const Eigen::MatrixXd a = whiten(std::move(columns));
  const Eigen::MatrixXd m = Eigen::MatrixXd::Identity(count, count) + a.transpose() * a;
  const Eigen::LLT<Eigen::MatrixXd> llt(m);
  const Eigen::VectorXd pull = a.transpose() * surprise_;
  const Eigen::VectorXd estimate = llt.solve(pull);
  gain.log_evidence = pull.dot(estimate) / 2 - llt.matrixLLT().diagonal().array().log().sum();
  gain.first = effect.freed.front().sigma * estimate[0];
  gain.sigma = effect.freed.front().sigma * std::sqrt(llt.solve(Eigen::VectorXd::Unit(count, 0))[0]);
  return gain;
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
