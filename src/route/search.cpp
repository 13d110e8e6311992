#include "route/search.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "measure/bearing.hpp"

namespace swingtie {
namespace {

/// How far the search goes. Natural logarithms of odds.
struct Effort {
  std::size_t beam = 6;     ///< sets grown at each depth
  std::size_t solves = 16;  ///< new sets solved at each depth
  std::size_t depth = 4;    ///< mistakes in a set
  double reach = 8;         ///< a set is tried if it may come within this of the best
  double generosity = 4;    ///< by how much a first-order guess of a bend may be too low
  double keep = 7;          ///< sets that far below the best are dropped (1 in 1100)
  std::size_t terms = 24;
};

bool is_about_locate(const Atom& atom) {
  return atom.kind == MistakeKind::wrong_locate || atom.kind == MistakeKind::misread_counter;
}

/// Two atoms that cannot both be assumed, or would say the same twice.
bool exclude(const Atom& a, const Atom& b) {
  if (a == b) return true;
  if (is_about_locate(a) && is_about_locate(b)) return a.index == b.index;
  if (a.kind == MistakeKind::unlogged_bend && b.kind == a.kind)
    return a.index == b.index && std::abs(a.at - b.at) < 1.0;
  if (a.kind == MistakeKind::counter_zero && b.kind == a.kind)
    return a.index == b.index && !std::isinf(a.at) && !std::isinf(b.at);
  return false;
}

bool before(const Atom& a, const Atom& b) {
  if (a.kind != b.kind) return a.kind < b.kind;
  if (a.index != b.index) return a.index < b.index;
  return a.at < b.at;
}

class Search {
 public:
  Search(const Model& model, const Placed& placed, SolveStatistics& statistics)
      : model_(model), statistics_(statistics), candidates_(candidates(model, placed)) {}

  std::vector<std::unique_ptr<MixtureTerm>> run(bool explain) {
    add(solve({}, model_.start, model_.plain.frames));
    if (explain) grow();
    return finish();
  }

 private:
  struct Proposal {
    double hoped = 0;
    const MixtureTerm* parent = nullptr;
    Atom atom;
    double estimate = 0, sigma = 0;
  };

  std::unique_ptr<MixtureTerm> solve(const std::vector<Atom>& atoms, Eigen::VectorXd start,
                                     std::vector<double> frames) {
    std::unique_ptr<MixtureTerm> term;
    for (int pass = 0; pass < 3; ++pass) {
      Assumptions assumptions = assume(model_, atoms);
      assumptions.frames = frames;
      term = std::make_unique<MixtureTerm>(model_, atoms, std::move(assumptions), start);
      ++statistics_.solves;
      // The receiver's ellipse is laid along the route; where the route turned out to run otherwise, lay it again.
      double turned = 0;
      for (std::size_t k = 0; k < model_.locates.size(); ++k) {
        const double heading = term->state().sightings[model_.locates[k].sighting].point.heading;
        if (model_.locates[k].along != model_.locates[k].across)
          turned = std::max(turned, std::abs(std::sin(heading - frames[k])));
        frames[k] = heading;
      }
      if (turned < 8 * degree) break;
      start = term->minimum.x;
    }
    return term;
  }

  /// Keeps a solved set unless it has settled on the same route as one already there.
  MixtureTerm* add(std::unique_ptr<MixtureTerm> term) {
    if (!std::isfinite(term->log_evidence)) return nullptr;
    for (auto& other : pool_) {
      if (!same(*other, *term)) continue;
      if (term->log_evidence > other->log_evidence + 1e-6) std::swap(other->log_evidence, term->log_evidence);
      return nullptr;
    }
    best_ = std::max(best_, term->log_evidence);
    pool_.push_back(std::move(term));
    return pool_.back().get();
  }

  bool same(const MixtureTerm& a, const MixtureTerm& b) const {
    if (a.atoms.size() != b.atoms.size()) return false;
    std::size_t slot = 0;
    for (std::size_t i = 0; i < a.atoms.size(); ++i) {
      if (a.atoms[i].kind != b.atoms[i].kind || a.atoms[i].index != b.atoms[i].index) return false;
      if (a.atoms[i].kind != MistakeKind::unlogged_bend) {
        if (a.atoms[i].at != b.atoms[i].at) return false;
        continue;
      }
      const BendSlot& s = model_.slots[slot++];
      const double place = (a.atoms[i].at + a.minimum.x[s.place]) - (b.atoms[i].at + b.minimum.x[s.place]);
      const double angle = a.minimum.x[s.angle] - b.minimum.x[s.angle];
      if (std::abs(place) > 0.8 || std::abs(angle) > 15 * degree) return false;
    }
    return true;
  }

  void grow() {
    std::vector<const MixtureTerm*> parents{pool_.front().get()};
    for (std::size_t depth = 1; depth <= effort_.depth && !parents.empty(); ++depth) {
      std::vector<Proposal> proposals = propose(parents);
      std::vector<const MixtureTerm*> children;
      std::size_t solved = 0;
      for (const Proposal& p : proposals) {
        if (solved >= effort_.solves || p.hoped < best_ - effort_.reach) break;
        ++solved;
        for (MixtureTerm* child : develop(p))
          if (child) children.push_back(child);
      }
      std::stable_sort(children.begin(), children.end(),
                       [](const MixtureTerm* a, const MixtureTerm* b) { return a->log_evidence > b->log_evidence; });
      parents.clear();
      for (const MixtureTerm* child : children)
        if (parents.size() < effort_.beam && child->log_evidence > best_ - effort_.reach) parents.push_back(child);
    }
  }

  std::vector<Proposal> propose(const std::vector<const MixtureTerm*>& parents) {
    std::vector<Proposal> proposals;
    for (const MixtureTerm* parent : parents) {
      const std::size_t bends =
          static_cast<std::size_t>(std::count_if(parent->atoms.begin(), parent->atoms.end(),
                                                 [](const Atom& a) { return a.kind == MistakeKind::unlogged_bend; }));
      for (const Atom& atom : candidates_) {
        if (atom.kind == MistakeKind::unlogged_bend && bends >= model_.slots.size()) continue;
        if (std::any_of(parent->atoms.begin(), parent->atoms.end(),
                        [&](const Atom& other) { return exclude(atom, other); }))
          continue;
        const MixtureTerm::Gain gain = parent->gain(model_, kind_of(atom.kind).effect(model_, atom));
        Proposal p{parent->log_evidence + atom.log_odds + gain.log_evidence, parent, atom, gain.first, gain.sigma};
        if (atom.kind == MistakeKind::wrong_hand || atom.kind == MistakeKind::unlogged_bend)
          p.hoped += effort_.generosity;
        proposals.push_back(std::move(p));
      }
    }
    std::stable_sort(proposals.begin(), proposals.end(),
                     [](const Proposal& a, const Proposal& b) { return a.hoped > b.hoped; });
    // The same set can be reached from several parents: the most promising way there is taken.
    std::vector<Proposal> distinct;
    std::vector<std::vector<Atom>> seen;
    for (Proposal& p : proposals) {
      std::vector<Atom> set = with(*p.parent, p.atom);
      if (std::find(seen.begin(), seen.end(), set) != seen.end()) continue;
      seen.push_back(std::move(set));
      distinct.push_back(std::move(p));
      if (distinct.size() >= 3 * effort_.solves) break;
    }
    return distinct;
  }

  static std::vector<Atom> with(const MixtureTerm& parent, const Atom& atom) {
    std::vector<Atom> atoms = parent.atoms;
    atoms.push_back(atom);
    std::stable_sort(atoms.begin(), atoms.end(), before);
    return atoms;
  }

  /// Solves a proposal; an unlogged bend whose hand the parent cannot tell is tried as a left and as a right.
  std::vector<MixtureTerm*> develop(const Proposal& p) {
    std::vector<MixtureTerm*> children;
    const std::vector<Atom> atoms = with(*p.parent, p.atom);
    Eigen::VectorXd start = p.parent->minimum.x;
    if (p.atom.kind != MistakeKind::unlogged_bend) {
      if (p.atom.kind == MistakeKind::wrong_hand) start[model_.bends[p.atom.index].angle] *= -1;
      children.push_back(add(solve(atoms, start, p.parent->assumptions.frames)));
      return children;
    }
    // Slots follow the order of the bends in the set, so the parent's bends may move up one.
    std::size_t from = 0, to = 0, fresh = 0;
    for (const Atom& atom : atoms) {
      if (atom.kind != MistakeKind::unlogged_bend) continue;
      if (atom == p.atom) {
        fresh = to++;
        continue;
      }
      start[model_.slots[to].angle] = p.parent->minimum.x[model_.slots[from].angle];
      start[model_.slots[to++].place] = p.parent->minimum.x[model_.slots[from++].place];
    }
    const double first = std::clamp(p.estimate, -80 * degree, 80 * degree);
    start[model_.slots[fresh].place] = 0;
    start[model_.slots[fresh].angle] = first;
    children.push_back(add(solve(atoms, start, p.parent->assumptions.frames)));
    if (std::abs(p.estimate) < 2 * p.sigma) {
      start[model_.slots[fresh].angle] = first > 0 ? -30 * degree : 30 * degree;
      children.push_back(add(solve(atoms, start, p.parent->assumptions.frames)));
    }
    return children;
  }

  std::vector<std::unique_ptr<MixtureTerm>> finish() {
    statistics_.sets_tried = static_cast<int>(pool_.size());
    std::stable_sort(pool_.begin(), pool_.end(),
                     [](const auto& a, const auto& b) { return a->log_evidence > b->log_evidence; });
    double sum = 0;
    std::vector<std::unique_ptr<MixtureTerm>> kept;
    for (auto& term : pool_) {
      if (kept.size() >= effort_.terms || term->log_evidence < best_ - effort_.keep) break;
      term->weight = std::exp(term->log_evidence - best_);
      sum += term->weight;
      kept.push_back(std::move(term));
    }
    for (auto& term : kept) term->weight /= sum;
    return kept;
  }

  const Model& model_;
  SolveStatistics& statistics_;
  Effort effort_;
  std::vector<Atom> candidates_;
  std::vector<std::unique_ptr<MixtureTerm>> pool_;
  double best_ = -std::numeric_limits<double>::infinity();
};

}  // namespace

std::vector<std::unique_ptr<MixtureTerm>> search(const Model& model, const Placed& placed, bool explain,
                                                 SolveStatistics& statistics) {
  return Search(model, placed, statistics).run(explain);
}

}  // namespace swingtie
