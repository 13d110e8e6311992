#include "route/explanations/kinds.hpp"
#include "route/explanations/odds.hpp"

namespace swingtie {
namespace {

class MisreadCounter : public ExplanationKind {
 public:
  std::vector<Atom> candidates(const Model& model, const Placed&) const override {
    std::vector<Atom> atoms;
    for (std::size_t k = 0; k < model.locates.size(); ++k)
      atoms.push_back({MistakeKind::misread_counter, k, 0, log_odds(odds::misread_counter)});
    return atoms;
  }
  Effect effect(const Model& model, const Atom& atom) const override {
    Effect effect;
    effect.freed = {{model.locates[atom.index].shift, odds::misread_by}};
    return effect;
  }
  void assume(const Model& model, const Atom& atom, Assumptions& assumptions) const override {
    assumptions.prior.variance[model.locates[atom.index].shift] = odds::misread_by * odds::misread_by;
  }
};

}  // namespace

const ExplanationKind& misread_counter() {
  static const MisreadCounter kind;
  return kind;
}

}  // namespace swingtie
