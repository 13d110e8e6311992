#include <algorithm>
#include <limits>

#include "route/explanations/kinds.hpp"
#include "route/explanations/odds.hpp"

namespace swingtie {
namespace {

/// The counter was not at zero where the notes say it was, or jumped on the way: Atom::at is then the last reading
/// before the jump, and minus infinity where the whole run is off.
class CounterZeroed : public ExplanationKind {
 public:
  std::vector<Atom> candidates(const Model& model, const Placed& placed) const override {
    std::vector<Atom> atoms;
    for (std::size_t r = 0; r < model.runs.size(); ++r) {
      atoms.push_back(
          {MistakeKind::counter_zero, r, -std::numeric_limits<double>::infinity(), log_odds(odds::counter_zero)});
      const std::vector<Locate>& locates = placed.runs[r].locates;
      if (locates.size() < 2) continue;
      const double each = odds::counter_restart / static_cast<double>(locates.size() - 1);
      for (std::size_t i = 0; i + 1 < locates.size(); ++i)
        if (locates[i].at < locates[i + 1].at)
          atoms.push_back(
              {MistakeKind::counter_zero, r, (locates[i].at.metres + locates[i + 1].at.metres) / 2, log_odds(each)});
    }
    return atoms;
  }
  Effect effect(const Model& model, const Atom& atom) const override {
    Effect effect;
    if (std::isinf(atom.at)) {
      effect.freed = {{model.runs[atom.index].zero, odds::counter_zero_by}};
    } else {
      effect.freed = {{model.runs[atom.index].zero, odds::counter_restart_by}};
      effect.beyond = atom.at;
      effect.run = atom.index;
    }
    return effect;
  }
  void assume(const Model& model, const Atom& atom, Assumptions& assumptions) const override {
    const ModelRun& run = model.runs[atom.index];
    if (std::isinf(atom.at)) {
      assumptions.prior.variance[run.zero] = odds::counter_zero_by * odds::counter_zero_by;
    } else {
      assumptions.restart_after[atom.index] = atom.at;
      assumptions.prior.variance[run.restart] = odds::counter_restart_by * odds::counter_restart_by;
    }
  }
};

}  // namespace

const ExplanationKind& counter_zero() {
  static const CounterZeroed kind;
  return kind;
}

}  // namespace swingtie
