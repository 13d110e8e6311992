#include "route/words.hpp"

#include <algorithm>
#include <cmath>

namespace swingtie {
namespace {

/// Counter reading of a run of the line at which this pipe coordinate would be seen, and which run.
CounterReading reading_at(const Model& model, const MixtureTerm& term, std::size_t line, double u, std::size_t& run) {
  for (std::size_t r = 0; r < model.runs.size(); ++r) {
    const ModelRun& m = model.runs[r];
    if (m.line != line) continue;
    const Eigen::VectorXd& x = term.minimum.x;
    const double reading = (m.sense * (u - x[m.entry]) - m.ahead) / (1 + x[m.scale]) + x[m.zero];
    run = r;
    if (reading >= 0 && reading <= m.last + 1) return {reading};
  }
  const ModelRun& m = model.runs[run];
  return {(m.sense * (u - term.minimum.x[m.entry]) - m.ahead) + term.minimum.x[m.zero]};
}

}  // namespace

Explanation explain(const Atom& atom, const MixtureTerm& term, const Mixture& mixture, const Placed& placed) {
  const Model& model = *mixture.model;
  Explanation e;
  e.what = atom.kind;
  e.probability = 1;
  const Eigen::VectorXd& x = term.minimum.x;
  switch (atom.kind) {
    case MistakeKind::wrong_locate:
    case MistakeKind::misread_counter: {
      const ModelLocate& locate = model.locates[atom.index];
      const Locate& read = placed.runs[locate.run].locates[locate.locate];
      e.run = locate.run;
      e.at = read.at;
      e.span = read.span;
      e.amount = atom.kind == MistakeKind::misread_counter ? -x[locate.shift] : x.segment<2>(locate.blunder).norm();
      break;
    }
    case MistakeKind::wrong_hand: {
      const ModelBend& bend = model.bends[atom.index];
      e.run = bend.run;
      e.at = {bend.reading};
      e.span = placed.runs[bend.run].log[bend.log].span;
      e.amount = x[bend.angle];
      break;
    }
    case MistakeKind::unlogged_bend: {
      std::size_t slot = 0;
      for (const Atom& other : term.atoms) {
        if (other == atom) break;
        if (other.kind == MistakeKind::unlogged_bend) ++slot;
      }
      e.at = reading_at(model, term, atom.index, atom.at + x[model.slots[slot].place], e.run);
      e.amount = x[model.slots[slot].angle];
      break;
    }
    case MistakeKind::counter_zero: {
      e.run = atom.index;
      e.at = {std::isinf(atom.at) ? 0 : atom.at};
      const ModelRun& run = model.runs[atom.index];
      e.amount = std::isinf(atom.at) ? x[run.zero] - model.plain.prior.mean[run.zero] : x[run.restart];
      break;
    }
  }
  return e;
}

void fill_words(Posterior& posterior, const Mixture& mixture, const Placed&) {
  const MixtureTerm& best = *mixture.terms.front();
  posterior.verdict.chi_square = best.minimum.sum_of_squares;
  posterior.verdict.readings = static_cast<int>(mixture.model->readings);
  posterior.verdict.kind = best.atoms.empty() ? Verdict::Kind::agree : Verdict::Kind::explained;
  for (const Alternative& alternative : posterior.alternatives) {
    for (const Explanation& mistake : alternative.mistakes) {
      const auto same =
          std::find_if(posterior.explanations.begin(), posterior.explanations.end(), [&](const Explanation& e) {
            if (e.what != mistake.what || e.run != mistake.run || e.span != mistake.span) return false;
            if (e.what == MistakeKind::unlogged_bend)
              return std::abs(e.at - mistake.at) < 2.0 && (e.amount > 0) == (mistake.amount > 0);
            return e.at == mistake.at;
          });
      if (same == posterior.explanations.end()) {
        posterior.explanations.push_back(mistake);
        posterior.explanations.back().probability = alternative.probability;
      } else {
        same->probability += alternative.probability;
      }
    }
  }
  std::stable_sort(posterior.explanations.begin(), posterior.explanations.end(),
                   [](const Explanation& a, const Explanation& b) { return a.probability > b.probability; });
  std::erase_if(posterior.explanations, [](const Explanation& e) { return e.probability < 0.05; });
}

}  // namespace swingtie
