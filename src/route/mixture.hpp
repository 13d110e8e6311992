#pragma once

#include <cmath>
#include <memory>
#include <vector>

#include "route/explanations/explanations.hpp"
#include "route/model.hpp"
#include "route/random.hpp"

namespace swingtie {

/// One set of mistakes, the route it leads to, and the Gaussian about that route.
class MixtureTerm {
 public:
  /// Solves the model under the set's assumptions from a start.
  MixtureTerm(const Model& model, std::vector<Atom> set, std::vector<Choice> settled, Assumptions taken,
              const Eigen::VectorXd& start, const SolverOptions& options);
  MixtureTerm(const MixtureTerm&) = delete;
  MixtureTerm& operator=(const MixtureTerm&) = delete;

  std::vector<Atom> atoms;
  std::vector<Choice> choices;
  Assumptions assumptions;
  Minimum minimum;
  double log_prior = 0;     ///< of the set
  double log_evidence = 0;  ///< log of the probability of the readings, by Laplace's method, plus log_prior
  double weight = 0;

  /// By how many standard deviations the readings are further from the route than they should be.
  double misfit() const {
    const double readings = static_cast<double>(surprise_.size());
    return (surprise_.squaredNorm() - readings) / std::sqrt(2 * readings);
  }

  const State& state() const { return *state_; }
  /// Covariance of linear functions of the unknowns.
  Eigen::MatrixXd covariance(const Eigen::Ref<const JacobianMatrix>& functions) const;
  /// Covariances of several points, three linear functions each, taken together: the Jacobian is gone through once.
  std::vector<SpaceCovariance> point_covariances(const Eigen::Ref<const JacobianMatrix>& points) const;
  /// Random draws of the unknowns, one per column, with the residuals that the linear model about the minimum has
  /// there.
  struct Draws {
    Eigen::MatrixXd x, residuals;
  };
  Draws draw(Random& random, Eigen::Index count) const;

  /// By how much the log evidence would change if one more atom were assumed, to first order; with what the freed
  /// unknowns would come to (for a jump: the jump).
  struct Gain {
    double log_evidence = 0;
    double first = 0, sigma = 0;  ///< estimate of the first freed unknown and its standard deviation
  };
  std::vector<Gain> gains(const Model& model, const std::vector<Effect>& effects) const;

 private:
  Eigen::VectorXd surprise_;  ///< factor^-1 (J (x - mean) - residuals): standard normal if the assumptions hold
  std::unique_ptr<State> state_;
};

class Mixture {
 public:
  std::shared_ptr<const Model> model;
  std::vector<std::unique_ptr<MixtureTerm>> terms;  ///< by falling weight
};

/// Posterior::at_station for several stations of a line at once, for less than one after another.
std::vector<PointMixture> at_stations(const Mixture& mixture, std::size_t line, const std::vector<Station>& stations);

}  // namespace swingtie
