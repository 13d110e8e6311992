#include "route/explanations/kinds.hpp"

#include "measure/bearing.hpp"

namespace swingtie {

const ExplanationKind& kind_of(MistakeKind kind) {
  switch (kind) {
    case MistakeKind::unlogged_bend:
      return unlogged_bend();
    case MistakeKind::wrong_locate:
      return wrong_locate();
    case MistakeKind::misread_counter:
      return misread_counter();
    case MistakeKind::wrong_hand:
      return wrong_hand();
    case MistakeKind::counter_zero:
      break;
  }
  return counter_zero();
}

std::vector<Atom> candidates(const Model& model, const Placed& placed) {
  std::vector<Atom> all;
  for (const MistakeKind kind : {MistakeKind::wrong_hand, MistakeKind::wrong_locate, MistakeKind::misread_counter,
                                 MistakeKind::counter_zero, MistakeKind::unlogged_bend}) {
    const std::vector<Atom> some = kind_of(kind).candidates(model, placed);
    all.insert(all.end(), some.begin(), some.end());
  }
  return all;
}

const std::vector<Fitting>& standard_fittings() {
  static const std::vector<Fitting> fittings{
      {22.5 * degree, 0.20}, {45 * degree, 0.45}, {60 * degree, 0.12}, {72 * degree, 0.02}, {90 * degree, 0.18}};
  return fittings;
}

Assumptions assume(const Model& model, const std::vector<Atom>& atoms, const std::vector<Choice>& choices) {
  Assumptions assumptions = model.plain;
  for (const Atom& atom : atoms) kind_of(atom.kind).assume(model, atom, assumptions);
  for (const Choice& choice : choices) {
    assumptions.prior.mean[choice.angle] = choice.mean;
    assumptions.prior.variance[choice.angle] = choice.sigma * choice.sigma;
  }
  return assumptions;
}

}  // namespace swingtie
