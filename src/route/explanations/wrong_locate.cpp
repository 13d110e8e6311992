#include "route/explanations/kinds.hpp"
#include "route/explanations/odds.hpp"

namespace swingtie {
namespace {

class WrongLocate : public ExplanationKind {
 public:
  std::vector<Atom> candidates(const Model& model, const Placed&) const override {
    std::vector<Atom> atoms;
    for (std::size_t k = 0; k < model.locates.size(); ++k)
      atoms.push_back({MistakeKind::wrong_locate, k, 0, log_odds(odds::wrong_locate)});
    return atoms;
  }
  Effect effect(const Model& model, const Atom& atom) const override {
    const Eigen::Index b = model.locates[atom.index].blunder;
    Effect effect;
    effect.freed = {
        {b, odds::wrong_locate_plan}, {b + 1, odds::wrong_locate_plan}, {b + 2, odds::wrong_locate_depth}};
    return effect;
  }
  void assume(const Model& model, const Atom& atom, Assumptions& assumptions) const override {
    for (const Effect::Freed& f : effect(model, atom).freed) assumptions.prior.variance[f.column] = f.sigma * f.sigma;
  }
};

}  // namespace

const ExplanationKind& wrong_locate() {
  static const WrongLocate kind;
  return kind;
}

}  // namespace swingtie
