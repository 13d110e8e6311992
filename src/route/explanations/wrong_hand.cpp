#include <cmath>

#include "route/explanations/kinds.hpp"
#include "route/explanations/odds.hpp"

namespace swingtie {
namespace {

class WrongHand : public ExplanationKind {
 public:
  std::vector<Atom> candidates(const Model& model, const Placed&) const override {
    std::vector<Atom> atoms;
    for (std::size_t b = 0; b < model.bends.size(); ++b)
      if (model.bends[b].hand_known && !model.bends[b].vertical)
        atoms.push_back({MistakeKind::wrong_hand, b, 0, log_odds(odds::wrong_hand)});
    return atoms;
  }
  Effect effect(const Model& model, const Atom& atom) const override {
    const Eigen::Index angle = model.bends[atom.index].angle;
    Effect effect;
    effect.jump = Effect::Freed{angle, -2 * model.plain.prior.mean[angle]};
    return effect;
  }
  void assume(const Model& model, const Atom& atom, Assumptions& assumptions) const override {
    const Eigen::Index angle = model.bends[atom.index].angle;
    assumptions.prior.mean[angle] = -model.plain.prior.mean[angle];
  }
};

}  // namespace

const ExplanationKind& wrong_hand() {
  static const WrongHand kind;
  return kind;
}

}  // namespace swingtie
