#include <algorithm>
#include <cmath>

#include "route/explanations/kinds.hpp"
#include "route/explanations/odds.hpp"

namespace swingtie {
namespace {

/// A fitting that nobody wrote down. It may be anywhere along the pipe with equal chance; the search starts it at
/// places some way apart and lets it settle from there, with a Gaussian that only keeps it near. correction() takes
/// that Gaussian out again and puts the chance per metre in.
class UnloggedBend : public ExplanationKind {
 public:
  std::vector<Atom> candidates(const Model& model, const Placed& placed) const override {
    std::vector<Atom> atoms;
    for (std::size_t index = 0; index < model.lines.size(); ++index) {
      const ModelLine& line = model.lines[index];
      if (!line.known) continue;
      const double length = line.high - line.low;
      const int places = std::max(1, static_cast<int>(std::lround(length / (0.75 * odds::unlogged_place))));
      for (int i = 0; i < places; ++i) {
        const double u = line.low + length * (i + 0.5) / places;
        atoms.push_back({MistakeKind::unlogged_bend, index, u, std::log(rate(model, placed, index, u))});
      }
    }
    return atoms;
  }

  Effect effect(const Model& model, const Atom& atom) const override {
    const ModelLine& line = model.lines[atom.index];
    const int joint = std::clamp(static_cast<int>(std::lround((atom.at - line.shape.low) / line.shape.piece)), 1,
                                 line.shape.pieces - 1);
    Effect effect;
    effect.freed = {{line.columns.drift + joint - 1, odds::unlogged_angle}};
    return effect;
  }

  void assume(const Model& model, const Atom& atom, Assumptions& assumptions) const override {
    const BendSlot& slot = model.slots[assumptions.slots.size()];
    assumptions.slots.push_back({atom.index, atom.at});
    assumptions.prior.variance[slot.angle] = odds::unlogged_angle * odds::unlogged_angle;
    assumptions.prior.variance[slot.place] = odds::unlogged_place * odds::unlogged_place;
  }

  double correction(const Model& model, const Assumptions&, std::size_t slot,
                    const Eigen::VectorXd& x) const override {
    const double off = x[model.slots[slot].place] / odds::unlogged_place;
    return off * off / 2 + std::log(odds::unlogged_place * std::sqrt(2 * pi));
  }

 private:
  /// Chance of an unlogged bend per metre: of the most careful run that saw the place.
  static double rate(const Model& model, const Placed& placed, std::size_t line, double u) {
    double least = odds::unlogged_none;
    for (std::size_t r = 0; r < model.runs.size(); ++r) {
      const ModelRun& run = model.runs[r];
      if (run.line != line) continue;
      const double from_entry = run.sense * (u - model.plain.prior.mean[run.entry]);
      if (from_entry < 0 || from_entry > run.last + 1) continue;
      switch (placed.runs[r].bends) {
        case Completeness::all:
          least = std::min(least, odds::unlogged_all);
          break;
        case Completeness::some:
          least = std::min(least, odds::unlogged_some);
          break;
        case Completeness::none:
          break;
      }
    }
    return least;
  }
};

}  // namespace

const ExplanationKind& unlogged_bend() {
  static const UnloggedBend kind;
  return kind;
}

}  // namespace swingtie
