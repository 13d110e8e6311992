#pragma once

#include <memory>
#include <optional>
#include <vector>

#include "route/model.hpp"
#include "route/posterior.hpp"

namespace swingtie {

/// One mistake at one place: the smallest piece of an explanation.
struct Atom {
  MistakeKind kind = MistakeKind::unlogged_bend;
  std::size_t index = 0;  ///< unlogged bend: line; wrong locate, misread counter: Model::locates; wrong hand:
                          ///< Model::bends; counter zero: run
  double at = 0;          ///< unlogged bend: pipe coordinate; counter zero: readings beyond it are off
  double log_odds = 0;    ///< log of the prior odds of this against its absence

  bool operator==(const Atom& other) const { return kind == other.kind && index == other.index && at == other.at; }
};

/// An angle taken for one of the standard fittings, or a hand that was not written taken for one of the two. Not a
/// mistake: something the notes leave open.
struct Choice {
  Eigen::Index angle = 0;  ///< unknown
  double mean = 0, sigma = 0;
  double log_prior = 0;

  bool operator==(const Choice& other) const { return angle == other.angle && mean == other.mean; }
};

/// What assuming an atom does to the problem, to first order: unknowns that come free, or a mean that jumps.
/// The columns are those of the Jacobian in which the effect shows before the atom is assumed.
struct Effect {
  struct Freed {
    Eigen::Index column = 0;
    double sigma = 0;
  };
  std::vector<Freed> freed;
  std::optional<Freed> jump;  ///< `sigma` is by how much the mean jumps, signed
  /// Only the rows of locates read beyond this counter reading of `run` feel it.
  std::optional<double> beyond;
  std::size_t run = 0;
};

/// A kind of mistake: how likely it is beforehand, where it can have happened, what assuming it changes.
class ExplanationKind {
 public:
  virtual ~ExplanationKind() = default;
  /// Every place where this mistake may have been made.
  virtual std::vector<Atom> candidates(const Model& model, const Placed& placed) const = 0;
  virtual Effect effect(const Model& model, const Atom& atom) const = 0;
  virtual void assume(const Model& model, const Atom& atom, Assumptions& assumptions) const = 0;
  /// Beyond what its Gaussian prior says of the unknowns it freed: log of true prior over Gaussian, at x.
  virtual double correction(const Model&, const Assumptions&, std::size_t /*slot*/, const Eigen::VectorXd&) const {
    return 0;
  }
};

const ExplanationKind& kind_of(MistakeKind kind);

/// All candidates of all kinds.
std::vector<Atom> candidates(const Model& model, const Placed& placed);

/// The model's plain assumptions with a set of mistakes made and open questions settled.
Assumptions assume(const Model& model, const std::vector<Atom>& atoms, const std::vector<Choice>& choices);

/// A standard fitting and how often it is met among the bends of laterals (judgement; the angles: fractions of a
/// circle, 1/16 to 1/4).
struct Fitting {
  double angle = 0;
  double share = 0;
};
const std::vector<Fitting>& standard_fittings();
/// Share of bends that are none of them.
inline constexpr double odd_fittings = 0.03;

}  // namespace swingtie
