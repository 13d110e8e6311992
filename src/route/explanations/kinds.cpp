#include "route/explanations/kinds.hpp"

#include <array>

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

Assumptions assume(const Model& model, const std::vector<Atom>& atoms) {
  Assumptions assumptions = model.plain;
  for (const Atom& atom : atoms) kind_of(atom.kind).assume(model, atom, assumptions);
  return assumptions;
}

}  // namespace swingtie
