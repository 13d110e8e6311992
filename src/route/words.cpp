#include "route/words.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "measure/bearing.hpp"
#include "route/explanations/odds.hpp"
#include "route/remarks.hpp"

namespace swingtie {
namespace {

std::string length(double metres, LengthUnit unit) {
  return format_length(metres, unit, LengthStyle::decimal, 1);
}

/// ` (odds 400 to 1)`, to one figure, or nothing where there is nothing to weigh.
std::string odds_words(double probability) {
  if (probability >= 1 - 1e-12) return {};
  const double ratio = probability >= 0.5 ? probability / (1 - probability) : (1 - probability) / probability;
  if (ratio > 1000) return " (odds over 1000 to 1)";
  const double step = ratio < 10 ? 1 : std::pow(10.0, std::floor(std::log10(ratio)));
  const long rounded = std::lround(ratio / step) * std::lround(step);
  if (rounded <= 1) return " (even odds)";
  return probability >= 0.5 ? fmt::format(" (odds {} to 1)", rounded) : fmt::format(" (1 to {} against)", rounded);
}

std::string place_words(const Run& run) {
  return fmt::format("run `{}`: ", run.id);
}

/// Counter reading of a run of the line at which this pipe coordinate would be seen, and which run.
CounterReading reading_at(const Model& model, const MixtureTerm& term, std::size_t line, double u, std::size_t& run) {
  const Eigen::VectorXd& x = term.minimum.x;
  const auto reading = [&](const ModelRun& m) {
    return (m.sense * (u - x[m.entry]) - m.ahead) / (1 + x[m.scale]) + x[m.zero];
  };
  std::optional<std::size_t> any;
  for (std::size_t r = 0; r < model.runs.size(); ++r) {
    const ModelRun& m = model.runs[r];
    if (m.line != line) continue;
    if (!any) any = r;
    run = r;
    if (reading(m) >= -0.5 && reading(m) <= m.last + 1) return {std::max(reading(m), 0.0)};
  }
  run = any.value_or(0);
  return {reading(model.runs[run])};
}

void explain_locate(Explanation& e, const Atom& atom, const MixtureTerm& term, const Model& model,
                    const Placed& placed, const std::string& odds) {
  const ModelLocate& locate = model.locates[atom.index];
  const Run& run = placed.runs[locate.run];
  const Locate& read = run.locates[locate.locate];
  e.run = locate.run;
  e.at = read.at;
  e.span = read.span;
  const std::string where = place_words(run);
  const std::string at = length(read.at.metres, placed.unit);
  if (atom.kind == MistakeKind::misread_counter) {
    const double shift = term.minimum.x[locate.shift];
    e.amount = -shift;
    e.says = fmt::format(
        "{}the locate at {} fits if the counter stood at about {}{}; read the counter again in the recording", where,
        at, length(read.at.metres + shift, placed.unit), odds);
    return;
  }
  const Eigen::Vector2d over = term.state().sightings[locate.sighting].point.at.head<2>();
  const double off = (Eigen::Vector2d(locate.at.e, locate.at.n) - over).norm();
  const double depth_off = std::abs(term.minimum.x[locate.blunder + 2]);
  e.amount = off;
  if (off < 0.6 && depth_off > 0.25)
    e.says = fmt::format("{}the depth read at {} is about {} off{}; read it again between the nulls", where, at,
                         length(depth_off, placed.unit), odds);
  else
    e.says = fmt::format(
        "{}the locate at {} lies {} from where cable, bends and the other locates put the camera{}; "
        "locate that spot again",
        where, at, length(off, placed.unit), odds);
}

void explain_hand(Explanation& e, const Atom& atom, const MixtureTerm& term, const Model& model, const Placed& placed,
                  const std::string& odds) {
  const ModelBend& bend = model.bends[atom.index];
  const Run& run = placed.runs[bend.run];
  const LogItem& item = run.log[bend.log];
  e.run = bend.run;
  e.at = {bend.reading};
  e.span = item.span;
  e.amount = term.minimum.x[bend.angle];
  const bool written_left = item.bend->hand == Hand::left;
  const std::string angle =
      item.bend->angle ? fmt::format(" {}°", std::round(*item.bend->angle / degree * 10) / 10) : std::string();
  e.says = fmt::format("{}the bend at {} fits as {}{}, not {}{}{}; check the recording at {}", place_words(run),
                       length(bend.reading, placed.unit), written_left ? "right" : "left", angle,
                       written_left ? "left" : "right", angle, odds, length(bend.reading, placed.unit));
}

void explain_bend(Explanation& e, const Atom& atom, const MixtureTerm& term, const Model& model, const Placed& placed,
                  const std::string& odds) {
  std::size_t slot = 0;
  for (const Atom& other : term.atoms) {
    if (other == atom) break;
    if (other.kind == MistakeKind::unlogged_bend) ++slot;
  }
  const BendSlot& s = model.slots[slot];
  e.at = reading_at(model, term, atom.index, atom.at + term.minimum.x[s.place], e.run);
  // As the camera of that run travels, like the bends that were written down.
  e.amount = term.minimum.x[s.angle] * model.runs[e.run].sense;
  JacobianMatrix row = JacobianMatrix::Zero(1, model.unknowns);
  row(0, s.place) = 1;
  const double reach = std::max(2 * std::sqrt(term.covariance(row)(0, 0)), 0.5);
  e.says = fmt::format(
      "run `{}`: a bend that nobody wrote down, about {} {:.0f}°, fits near {}{}; look at the recording "
      "from {} to {}",
      placed.runs[e.run].id, e.amount > 0 ? "right" : "left", std::abs(e.amount) / degree,
      length(e.at.metres, placed.unit), odds, length(std::max(e.at.metres - reach, 0.0), placed.unit),
      length(e.at.metres + reach, placed.unit));
}

void explain_counter(Explanation& e, const Atom& atom, const MixtureTerm& term, const Model& model,
                     const Placed& placed, const std::string& odds) {
  e.run = atom.index;
  const ModelRun& run = model.runs[atom.index];
  const std::string& id = placed.runs[atom.index].id;
  if (std::isinf(atom.at)) {
    e.at = {0};
    e.amount = term.minimum.x[run.zero] - model.plain.prior.mean[run.zero];
    e.says = fmt::format("run `{}`: the counter reads {} too {} all along{}; check what it showed at the pipe entry",
                         id, length(std::abs(e.amount), placed.unit), e.amount > 0 ? "much" : "little", odds);
  } else {
    e.at = {atom.at};
    e.amount = term.minimum.x[run.restart];
    e.says = fmt::format("run `{}`: the counter reads {} too {} from about {} on{}; look for a reset or a jump there",
                         id, length(std::abs(e.amount), placed.unit), e.amount > 0 ? "much" : "little",
                         length(atom.at, placed.unit), odds);
  }
}

bool same_mistake(const Explanation& a, const Explanation& b) {
  if (a.what != b.what || a.run != b.run || a.span != b.span) return false;
  if (a.what == MistakeKind::unlogged_bend) return std::abs(a.at - b.at) < 2.0 && (a.amount > 0) == (b.amount > 0);
  return a.at == b.at;
}

/// An unlogged bend where the job says that bends were not all written down is nobody's mistake.
bool blames(const Atom& atom) {
  return atom.kind != MistakeKind::unlogged_bend || atom.log_odds < std::log(2 * odds::unlogged_all);
}

}  // namespace

Explanation explain(const Atom& atom, const MixtureTerm& term, const Mixture& mixture, const Placed& placed,
                    double probability) {
  const Model& model = *mixture.model;
  Explanation e;
  e.what = atom.kind;
  e.probability = probability;
  const std::string odds = odds_words(probability);
  switch (atom.kind) {
    case MistakeKind::wrong_locate:
    case MistakeKind::misread_counter:
      explain_locate(e, atom, term, model, placed, odds);
      break;
    case MistakeKind::wrong_hand:
      explain_hand(e, atom, term, model, placed, odds);
      break;
    case MistakeKind::unlogged_bend:
      explain_bend(e, atom, term, model, placed, odds);
      break;
    case MistakeKind::counter_zero:
      explain_counter(e, atom, term, model, placed, odds);
      break;
  }
  return e;
}

void fill_words(Posterior& posterior, const Mixture& mixture, const Placed& placed) {
  struct Group {
    Explanation mistake;
    const Atom* atom = nullptr;
    const MixtureTerm* term = nullptr;  ///< the likeliest that makes it
    double probability = 0;             ///< of making it at least once: a set that makes it twice counts once
    std::size_t last = 0;               ///< the term counted last
  };
  std::vector<Group> groups;
  constexpr std::size_t none = std::numeric_limits<std::size_t>::max();
  double blameless = 0;
  for (std::size_t t = 0; t < mixture.terms.size(); ++t) {
    const MixtureTerm& term = *mixture.terms[t];
    if (std::none_of(term.atoms.begin(), term.atoms.end(), blames)) blameless += term.weight;
    for (std::size_t i = 0; i < term.atoms.size(); ++i) {
      const Explanation& mistake = posterior.alternatives[t].mistakes[i];
      auto group = std::find_if(groups.begin(), groups.end(),
                                [&](const Group& g) { return same_mistake(g.mistake, mistake); });
      if (group == groups.end()) group = groups.insert(groups.end(), {mistake, &term.atoms[i], &term, 0, none});
      if (group->last != t) group->probability += term.weight;
      group->last = t;
    }
  }
  std::stable_sort(groups.begin(), groups.end(),
                   [](const Group& a, const Group& b) { return a.probability > b.probability; });
  for (const Group& g : groups)
    if (g.probability >= 0.05)
      posterior.explanations.push_back(explain(*g.atom, *g.term, mixture, placed, std::min(g.probability, 1 - 1e-9)));

  const MixtureTerm& best = *mixture.terms.front();
  posterior.verdict.chi_square = best.minimum.sum_of_squares;
  posterior.verdict.readings = std::max(static_cast<int>(mixture.model->readings) - mixture.model->undetermined, 1);
  // One sound job in 100,000 looks this bad; the search has had its chance to explain it.
  const double limit = chi_square_quantile(1 - 1e-5, posterior.verdict.readings);
  posterior.verdict.kind = posterior.verdict.chi_square > limit ? Verdict::Kind::contradiction
                           : blameless >= 0.5                   ? Verdict::Kind::agree
                                                                : Verdict::Kind::explained;
  posterior.remarks = remarks(posterior, mixture, placed);
}

}  // namespace swingtie
