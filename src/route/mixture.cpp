#include "route/mixture.hpp"

#include <algorithm>
#include <cmath>

namespace swingtie {

MixtureTerm::MixtureTerm(const Model& model, std::vector<Atom> set, std::vector<Choice> settled, Assumptions taken,
                         const Eigen::VectorXd& start, const SolverOptions& options)
    : atoms(std::move(set)), choices(std::move(settled)), assumptions(std::move(taken)) {
  ModelProblem problem(model, assumptions);
  minimum = minimise(problem, assumptions.prior, start, options);
  surprise_ = minimum.jacobian * (minimum.x - assumptions.prior.mean) - minimum.residuals;
  minimum.factor.triangularView<Eigen::Lower>().solveInPlace(surprise_);
  std::size_t slot = 0;
  for (const Atom& atom : atoms) {
    log_prior += atom.log_odds;
    if (atom.kind == MistakeKind::unlogged_bend)
      log_prior += kind_of(atom.kind).correction(model, assumptions, slot++, minimum.x);
  }
  for (const Choice& choice : choices) log_prior += choice.log_prior;
  double log_sigma = 0;
  for (const auto& observation : model.observations) log_sigma += observation->log_sigma(model, assumptions);
  log_evidence =
      -0.5 * minimum.sum_of_squares - minimum.factor.diagonal().array().log().sum() - log_sigma + log_prior;
  state_ = std::make_unique<State>(model, assumptions, minimum.x, true);
}

std::vector<MixtureTerm::Gain> MixtureTerm::gains(const Model& model, const std::vector<Effect>& effects) const {
  // The columns of all effects are whitened together: one pass over the factor instead of one for each.
  Eigen::Index total = 0;
  for (const Effect& effect : effects) total += effect.jump ? 1 : static_cast<Eigen::Index>(effect.freed.size());
  Eigen::MatrixXd columns(minimum.jacobian.rows(), total);
  Eigen::Index at = 0;
  for (const Effect& effect : effects) {
    const auto felt = [&](const Effect::Freed& freed) {
      columns.col(at) = minimum.jacobian.col(freed.column) * freed.sigma;
      if (effect.beyond) {
        for (const ModelLocate& locate : model.locates)
          if (locate.run != effect.run || model.sightings[locate.sighting].reading <= *effect.beyond)
            columns.col(at).segment(locate.first_row, locate.end_row - locate.first_row).setZero();
      }
      ++at;
    };
    if (effect.jump) felt(*effect.jump);
    if (!effect.jump) std::for_each(effect.freed.begin(), effect.freed.end(), felt);
  }
  minimum.factor.triangularView<Eigen::Lower>().solveInPlace(columns);

  std::vector<Gain> gains;
  gains.reserve(effects.size());
  at = 0;
  for (const Effect& effect : effects) {
    const Eigen::Index count = effect.jump ? 1 : static_cast<Eigen::Index>(effect.freed.size());
    const auto a = columns.middleCols(at, count);
    at += count;
    const Eigen::VectorXd pull = a.transpose() * surprise_;
    Gain gain;
    if (effect.jump) {
      // Residuals at the prior mean grow by the column times the jump: y becomes y - a.
      gain.first = effect.jump->sigma;
      gain.log_evidence = pull[0] - a.squaredNorm() / 2;
    } else {
      const Eigen::LLT<Eigen::MatrixXd> llt(Eigen::MatrixXd::Identity(count, count) + a.transpose() * a);
      const Eigen::VectorXd estimate = llt.solve(pull);
      gain.log_evidence = pull.dot(estimate) / 2 - llt.matrixLLT().diagonal().array().log().sum();
      gain.first = effect.freed.front().sigma * estimate[0];
      gain.sigma = effect.freed.front().sigma * std::sqrt(llt.solve(Eigen::VectorXd::Unit(count, 0))[0]);
    }
    gains.push_back(gain);
  }
  return gains;
}

Eigen::MatrixXd MixtureTerm::covariance(const Eigen::Ref<const JacobianMatrix>& functions) const {
  const Eigen::MatrixXd spread = assumptions.prior.variance.asDiagonal() * functions.transpose();
  Eigen::MatrixXd seen = minimum.jacobian * spread;
  minimum.factor.triangularView<Eigen::Lower>().solveInPlace(seen);
  Eigen::MatrixXd c = functions * spread;
  c.noalias() -= seen.transpose() * seen;
  return c;
}

namespace {

/// The unknowns that may move, and the readings' derivatives by them, per standard deviation of the prior.
struct Free {
  Free(const Eigen::VectorXd& variance, const JacobianMatrix& jacobian) {
    for (Eigen::Index i = 0; i < variance.size(); ++i)
      if (variance[i] > 0) unknowns.push_back(i);
    slopes.resize(size(), jacobian.rows());
    sigma.resize(size());
    for (Eigen::Index i = 0; i < size(); ++i) {
      sigma[i] = std::sqrt(variance[at(i)]);
      slopes.row(i) = jacobian.col(at(i)).transpose() * sigma[i];
    }
  }
  Eigen::Index size() const { return static_cast<Eigen::Index>(unknowns.size()); }
  Eigen::Index at(Eigen::Index i) const { return unknowns[static_cast<std::size_t>(i)]; }

  std::vector<Eigen::Index> unknowns;
  Eigen::VectorXd sigma;
  Eigen::MatrixXd slopes;  ///< one row per free unknown
};

}  // namespace

std::vector<SpaceCovariance> MixtureTerm::point_covariances(const Eigen::Ref<const JacobianMatrix>& points) const {
  const Free free(assumptions.prior.variance, minimum.jacobian);
  Eigen::MatrixXd prior(free.size(), points.rows());
  for (Eigen::Index i = 0; i < free.size(); ++i) prior.row(i) = points.col(free.at(i)).transpose() * free.sigma[i];
  Eigen::MatrixXd seen = free.slopes.transpose() * prior;
  minimum.factor.triangularView<Eigen::Lower>().solveInPlace(seen);
  std::vector<SpaceCovariance> covariances;
  for (Eigen::Index i = 0; i + 2 < points.rows(); i += 3) {
    const auto before = prior.middleCols<3>(i), taken = seen.middleCols<3>(i);
    covariances.push_back(before.transpose() * before - taken.transpose() * taken);
  }
  return covariances;
}

MixtureTerm::Draws MixtureTerm::draw(Random& random, Eigen::Index count) const {
  // Matheron's rule: a draw of the prior, corrected by what the readings say of it, is a draw of the posterior.
  const Eigen::Index readings = minimum.residuals.size();
  const Free free(assumptions.prior.variance, minimum.jacobian);
  Eigen::MatrixXd prior(free.size(), count), noise(readings, count);
  for (Eigen::Index k = 0; k < count; ++k) {
    for (Eigen::Index i = 0; i < free.size(); ++i) prior(i, k) = random.normal();
    for (Eigen::Index i = 0; i < readings; ++i) noise(i, k) = random.normal();
  }
  Eigen::MatrixXd weights = noise;
  weights.noalias() += free.slopes.transpose() * prior;
  minimum.factor.triangularView<Eigen::Lower>().solveInPlace(weights);
  minimum.factor.triangularView<Eigen::Lower>().transpose().solveInPlace(weights);
  prior.noalias() -= free.slopes * weights;
  Draws draws;
  draws.x = minimum.x.replicate(1, count);
  for (Eigen::Index i = 0; i < free.size(); ++i) draws.x.row(free.at(i)) += free.sigma[i] * prior.row(i);
  // The readings' matrix S = I + J P J' took (J x + noise) to the weights w; J P J' w is therefore (J x + noise) - w,
  // and what the correction leaves of J x is w - noise.
  draws.residuals = (weights - noise).colwise() + minimum.residuals;
  return draws;
}

}  // namespace swingtie
