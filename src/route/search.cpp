#include "route/search.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "measure/bearing.hpp"
#include "route/explanations/odds.hpp"
#include "route/priors.hpp"

namespace swingtie {
namespace {

/// How far the search goes. Natural logarithms of odds.
struct Effort {
  std::size_t beam = 6;     ///< sets grown at each depth
  std::size_t solves = 16;  ///< new sets solved at each depth
  std::size_t depth = 4;    ///< mistakes in a set
  double reach = 6;         ///< a set is tried if it may come within this of the best
  double keep = 7;          ///< sets that far below the best are dropped (1 in 1100)
  std::size_t terms = 16;
  std::size_t fittings = 24;  ///< solves spent on which standard fitting an open angle is
};

/// Sets are ranked by solves that stop when a step promises less than this of the sum of squares; those that are kept
/// are then solved to the end.
constexpr double rough_decrease = 1e-2;
/// This moves a solved set by a hundredth of a standard deviation.
constexpr double final_decrease = 1e-4;

bool is_about_locate(const Atom& atom) {
  return atom.kind == MistakeKind::wrong_locate || atom.kind == MistakeKind::misread_counter;
}

/// Whether what the atom frees acts through the route, which its first-order effect may misjudge.
bool far_reaching(const Atom& atom) {
  return atom.kind != MistakeKind::wrong_locate;
}

/// Two atoms that cannot both be assumed, or would say the same twice.
bool exclude(const Atom& a, const Atom& b) {
  if (a == b) return true;
  if (is_about_locate(a) && is_about_locate(b)) return a.index == b.index;
  if (a.kind != b.kind || a.index != b.index) return false;
  if (a.kind == MistakeKind::unlogged_bend) return std::abs(a.at - b.at) < 1.0;
  return a.kind == MistakeKind::counter_zero && !std::isinf(a.at) && !std::isinf(b.at);
}

bool before(const Atom& a, const Atom& b) {
  if (a.kind != b.kind) return a.kind < b.kind;
  if (a.index != b.index) return a.index < b.index;
  return a.at < b.at;
}

/// The part of a Gaussian-times-prior that came from the readings: mean and variance with the prior taken out.
struct Likelihood {
  double mean = 0, variance = 0;
};

Likelihood without_prior(double mean, double variance, double prior_mean, double prior_variance) {
  const double information = std::max(1 / variance - 1 / prior_variance, 1e-9 / prior_variance);
  return {(mean / variance - prior_mean / prior_variance) / information, 1 / information};
}

class Search {
 public:
  Search(const Model& model, const Placed& placed, SolveStatistics& statistics)
      : model_(model), statistics_(statistics), candidates_(candidates(model, placed)) {
    const bool careful = std::all_of(placed.runs.begin(), placed.runs.end(),
                                     [](const Run& run) { return run.bends == Completeness::all; });
    careful_ = careful;
    some_bends_ = std::any_of(placed.runs.begin(), placed.runs.end(),
                              [](const Run& run) { return run.bends == Completeness::some; });
    if (!careful) {
      effort_.depth = model.slots.size();
      effort_.solves = 30;
      effort_.beam = 10;
      effort_.terms = 32;
      effort_.fittings = 40;
    }
  }

  std::vector<std::unique_ptr<MixtureTerm>> run(bool explain) {
    for (const std::vector<Choice>& hands : hands_left_open())
      add(solve({}, hands, model_.start, model_.plain.attitudes));
    if (explain) {
      grow();
      revise();
      settle_fittings();
    }
    return finish();
  }

 private:
  struct Proposal {
    double hoped = 0;
    const MixtureTerm* parent = nullptr;
    Atom atom;
    double estimate = 0, sigma = 0;
  };

  std::unique_ptr<MixtureTerm> solve(const std::vector<Atom>& atoms, const std::vector<Choice>& choices,
                                     Eigen::VectorXd start, std::vector<Attitude> attitudes,
                                     double least_decrease = rough_decrease) {
    SolverOptions options;
    options.least_decrease = least_decrease;
    options.kink = 0.3;  // a locate beside a bend makes one
    std::unique_ptr<MixtureTerm> term;
    for (int pass = 0; pass < 3; ++pass) {
      Assumptions assumptions = assume(model_, atoms, choices);
      assumptions.attitudes = attitudes;
      term = std::make_unique<MixtureTerm>(model_, atoms, choices, std::move(assumptions), start, options);
      ++statistics_.solves;
      if (!relay(*term, attitudes)) break;
      start = term->minimum.x;
    }
    return term;
  }

  /// The receiver's ellipse is laid along the route. Where the route turned out to run otherwise: lay it again.
  bool relay(const MixtureTerm& term, std::vector<Attitude>& attitudes) const {
    bool turned = false;
    for (std::size_t k = 0; k < model_.locates.size(); ++k) {
      const ModelLocate& locate = model_.locates[k];
      const Attitude attitude = attitude_at(term.state().sightings[locate.sighting].point);
      if (locate.along > 1.5 * locate.across)
        turned = turned || std::abs(std::sin(attitude.heading - attitudes[k].heading)) > std::sin(8 * degree);
      turned = turned || std::abs(attitude.tilt - attitudes[k].tilt) * locate.along_per_tilt > 0.05 ||
               (locate.shift_by_slope(attitude) - locate.shift_by_slope(attitudes[k])).norm() > 0.05;
      attitudes[k] = attitude;
    }
    return turned;
  }

  /// One set of choices for each way in which the bends without a hand may turn; at most three bends are doubled.
  std::vector<std::vector<Choice>> hands_left_open() const {
    std::vector<std::vector<Choice>> ways{{}};
    for (const ModelBend& bend : model_.bends) {
      if (bend.hand_known || ways.size() >= 8) continue;
      std::vector<std::vector<Choice>> doubled;
      for (const std::vector<Choice>& way : ways)
        for (const double sign : {-1.0, 1.0}) {
          doubled.push_back(way);
          doubled.back().push_back({bend.angle, sign * bend.size, bend.size_sigma, std::log(0.5)});
        }
      ways = std::move(doubled);
    }
    return ways;
  }

  /// Keeps a solved set unless it has settled on the same route as one already there.
  MixtureTerm* add(std::unique_ptr<MixtureTerm> term) {
    if (!std::isfinite(term->log_evidence)) return nullptr;
    for (auto& other : pool_)
      if (same(*other, *term)) return nullptr;
    best_ = std::max(best_, term->log_evidence);
    pool_.push_back(std::move(term));
    return pool_.back().get();
  }

  bool same(const MixtureTerm& a, const MixtureTerm& b) const {
    if (a.atoms.size() != b.atoms.size() || a.choices != b.choices) return false;
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
    std::vector<const MixtureTerm*> parents;
    for (const auto& root : pool_) parents.push_back(root.get());
    if (careful_) {
      turn_pairs();
      drop_locates();
      parents.clear();
      for (const auto& term : pool_) parents.push_back(term.get());
      grow_from(std::move(parents), effort_.depth);
      return;
    }
    // Bends that were left out are expected, other mistakes are not: the bends are found first, so that no sound
    // reading is blamed for a bend the search had yet to try.
    const std::vector<const MixtureTerm*> roots = parents;
    bends_only_ = true;
    grow_from(std::move(parents), effort_.depth);
    bends_only_ = false;
    turn_pairs();
    drop_locates();
    std::vector<const MixtureTerm*> leading;
    for (const auto& term : pool_) leading.push_back(term.get());
    std::stable_sort(leading.begin(), leading.end(),
                     [](const MixtureTerm* a, const MixtureTerm* b) { return a->log_evidence > b->log_evidence; });
    if (leading.size() > effort_.beam / 2) leading.resize(effort_.beam / 2);
    for (const MixtureTerm* root : roots)
      if (std::find(leading.begin(), leading.end(), root) == leading.end()) leading.push_back(root);
    grow_from(std::move(leading), some_bends_ ? effort_.depth : 3);
  }

  void grow_from(std::vector<const MixtureTerm*> parents, std::size_t depths) {
    for (std::size_t depth = 1; depth <= depths && !parents.empty(); ++depth) {
      std::vector<const MixtureTerm*> children;
      std::size_t solved = 0;
      for (const Proposal& p : propose(parents)) {
        if (solved >= effort_.solves) break;
        if (p.hoped < best_ - effort_.reach) continue;
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

  /// Sets next to the leading ones that growing may have missed, because an atom was judged from a worse parent: one
  /// without some atom, and one that blames a locate's counter in place of its position, or the reverse. What that
  /// finds may lead in its turn.
  void revise() {
    constexpr int most_rounds = 3;
    std::vector<const MixtureTerm*> revised;
    for (int round = 0; round < most_rounds; ++round) {
      std::vector<const MixtureTerm*> leading;
      for (const auto& term : pool_)
        if (term->log_evidence > best_ - effort_.reach && !term->atoms.empty()) leading.push_back(term.get());
      std::stable_sort(leading.begin(), leading.end(),
                       [](const MixtureTerm* a, const MixtureTerm* b) { return a->log_evidence > b->log_evidence; });
      if (leading.size() > effort_.beam) leading.resize(effort_.beam);
      std::erase_if(leading, [&](const MixtureTerm* term) {
        return std::find(revised.begin(), revised.end(), term) != revised.end();
      });
      if (leading.empty()) return;
      for (const MixtureTerm* term : leading) revise(*term);
      revised.insert(revised.end(), leading.begin(), leading.end());
    }
  }

  void revise(const MixtureTerm& term) {
    for (std::size_t i = 0; i < term.atoms.size(); ++i) {
      const Atom& atom = term.atoms[i];
      if (term.atoms.size() > 1) resolve_with(term, i, nullptr);
      if (!is_about_locate(atom)) continue;
      for (const Atom& other : candidates_)
        if (is_about_locate(other) && other.index == atom.index && other.kind != atom.kind)
          resolve_with(term, i, &other);
    }
  }

  /// Solves a set with one atom taken out and perhaps another put in, unless it is there already.
  void resolve_with(const MixtureTerm& term, std::size_t out, const Atom* in) {
    std::vector<Atom> atoms = term.atoms;
    atoms.erase(atoms.begin() + static_cast<std::ptrdiff_t>(out));
    Eigen::VectorXd start = term.minimum.x;
    const std::vector<std::size_t> slots = slots_of(term.atoms);
    if (term.atoms[out].kind == MistakeKind::unlogged_bend)
      for (std::size_t s = slots[out]; s < model_.slots.size(); ++s)
        for (const auto unknown : {&BendSlot::angle, &BendSlot::place})
          start[model_.slots[s].*unknown] = s + 1 < model_.slots.size() ? start[model_.slots[s + 1].*unknown] : 0;
    if (term.atoms[out].kind == MistakeKind::wrong_hand) start[model_.bends[term.atoms[out].index].angle] *= -1;
    if (in) {
      atoms.push_back(*in);
      std::stable_sort(atoms.begin(), atoms.end(), before);
    }
    for (const auto& other : pool_)
      if (other->atoms == atoms && other->choices == term.choices) return;
    add(solve(atoms, term.choices, std::move(start), term.assumptions.attitudes));
  }

  /// Slot of each unlogged bend of a set; unlogged bends take them in their order.
  static std::vector<std::size_t> slots_of(const std::vector<Atom>& atoms) {
    std::vector<std::size_t> slots;
    std::size_t next = 0;
    for (const Atom& atom : atoms) slots.push_back(atom.kind == MistakeKind::unlogged_bend ? next++ : next);
    return slots;
  }

  /// Two wrong hands can hide each other, one alone making things worse: where the notes as they stand do not fit,
  /// every pair is tried outright.
  void turn_pairs() {
    const MixtureTerm& root = *pool_.front();
    if (root.misfit() < 2) return;
    std::vector<Atom> hands;
    for (const Atom& atom : candidates_)
      if (atom.kind == MistakeKind::wrong_hand) hands.push_back(atom);
    if (hands.size() > 6) return;
    for (std::size_t i = 0; i < hands.size(); ++i)
      for (std::size_t j = i + 1; j < hands.size(); ++j) {
        Eigen::VectorXd start = model_.start;
        start[model_.bends[hands[i].index].angle] *= -1;
        start[model_.bends[hands[j].index].angle] *= -1;
        add(solve({hands[i], hands[j]}, root.choices, start, root.assumptions.attitudes));
      }
  }

  /// The same for two or three wrong locates, the likeliest few to first order.
  void drop_locates() {
    const MixtureTerm& root = *pool_.front();
    // Where no bends were written down the misfit is first of all theirs.
    if (!(careful_ || some_bends_) || root.misfit() < 3) return;
    std::vector<Atom> locates;
    for (const Atom& atom : candidates_)
      if (atom.kind == MistakeKind::wrong_locate) locates.push_back(atom);
    if (locates.size() > 10) return;
    std::vector<std::pair<double, std::vector<Atom>>> sets;
    std::vector<Effect> effects;
    const auto consider = [&](std::vector<Atom> atoms) {
      Effect all;
      double odds = 0;
      for (const Atom& atom : atoms) {
        odds += atom.log_odds;
        const Effect one = kind_of(atom.kind).effect(model_, atom);
        all.freed.insert(all.freed.end(), one.freed.begin(), one.freed.end());
      }
      sets.emplace_back(odds, std::move(atoms));
      effects.push_back(std::move(all));
    };
    for (std::size_t i = 0; i < locates.size(); ++i)
      for (std::size_t j = i + 1; j < locates.size(); ++j) {
        consider({locates[i], locates[j]});
        for (std::size_t k = j + 1; k < locates.size(); ++k) consider({locates[i], locates[j], locates[k]});
      }
    const std::vector<MixtureTerm::Gain> gains = root.gains(model_, effects);
    for (std::size_t i = 0; i < sets.size(); ++i) sets[i].first += gains[i].log_evidence;
    std::stable_sort(sets.begin(), sets.end(), [](const auto& a, const auto& b) { return a.first > b.first; });
    if (sets.size() > 6) sets.resize(6);
    for (const auto& [hoped, atoms] : sets)
      add(solve(atoms, root.choices, root.minimum.x, root.assumptions.attitudes));
  }

  std::vector<Proposal> propose(const std::vector<const MixtureTerm*>& parents) {
    std::vector<Proposal> proposals;
    for (const MixtureTerm* parent : parents) {
      const auto bends = std::count_if(parent->atoms.begin(), parent->atoms.end(),
                                       [](const Atom& a) { return a.kind == MistakeKind::unlogged_bend; });
      // A first-order guess misjudges large turns and shifts; that matters where there is something left to explain.
      const double generosity = std::clamp(2 * parent->misfit(), 0.0, 6.0);
      std::vector<const Atom*> possible;
      std::vector<Effect> effects;
      for (const Atom& atom : candidates_) {
        if (bends_only_ && atom.kind != MistakeKind::unlogged_bend && atom.kind != MistakeKind::wrong_hand) continue;
        if (atom.kind == MistakeKind::unlogged_bend && static_cast<std::size_t>(bends) >= model_.slots.size())
          continue;
        if (std::any_of(parent->atoms.begin(), parent->atoms.end(),
                        [&](const Atom& other) { return exclude(atom, other); }))
          continue;
        possible.push_back(&atom);
        effects.push_back(kind_of(atom.kind).effect(model_, atom));
      }
      const std::vector<MixtureTerm::Gain> gains = parent->gains(model_, effects);
      for (std::size_t i = 0; i < possible.size(); ++i) {
        const Atom& atom = *possible[i];
        const MixtureTerm::Gain& gain = gains[i];
        Proposal p{parent->log_evidence + atom.log_odds + gain.log_evidence, parent, atom, gain.first, gain.sigma};
        if (atom.kind == MistakeKind::unlogged_bend) p.hoped += std::log(2.5 * odds::unlogged_place);
        if (far_reaching(atom)) p.hoped += generosity;
        // A turn by twice a bend's angle is too far for a first-order guess, and hands are few: try each.
        if (atom.kind == MistakeKind::wrong_hand && parent->atoms.empty())
          p.hoped = std::max(p.hoped, best_ - effort_.reach + 0.5);
        if (p.hoped > best_ - effort_.reach) proposals.push_back(std::move(p));
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
    const std::vector<Choice>& choices = p.parent->choices;
    const std::vector<Attitude>& attitudes = p.parent->assumptions.attitudes;
    Eigen::VectorXd start = p.parent->minimum.x;
    if (p.atom.kind != MistakeKind::unlogged_bend) {
      if (p.atom.kind == MistakeKind::wrong_hand) start[model_.bends[p.atom.index].angle] *= -1;
      children.push_back(add(solve(atoms, choices, start, attitudes)));
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
    children.push_back(add(solve(atoms, choices, start, attitudes)));
    if (std::abs(p.estimate) < 2 * p.sigma) {
      start[model_.slots[fresh].angle] = first > 0 ? -30 * degree : 30 * degree;
      children.push_back(add(solve(atoms, choices, start, attitudes)));
    }
    return children;
  }

  // ---- open angles ----

  /// An angle that only a wide Gaussian was assumed for, in a term.
  struct OpenAngle {
    Eigen::Index unknown = 0;
    bool either_hand = false;
  };

  std::vector<OpenAngle> open_angles(const MixtureTerm& term) const {
    std::vector<OpenAngle> open;
    for (const ModelBend& bend : model_.bends)
      if (bend.size_sigma > 2 * prior::bend_angle && !bend.vertical) open.push_back({bend.angle});
    for (std::size_t s = 0; s < term.assumptions.slots.size(); ++s) open.push_back({model_.slots[s].angle, true});
    return open;
  }

  /// Replaces the leading terms by ones in which each open angle is a standard fitting. Fittings are made in a few
  /// angles only, so a bend estimated at 39 +- 8 degrees is a 45 and nothing else, which turns what follows it.
  void settle_fittings() {
    std::stable_sort(pool_.begin(), pool_.end(),
                     [](const auto& a, const auto& b) { return a->log_evidence > b->log_evidence; });
    std::size_t spent = 0;
    std::vector<std::unique_ptr<MixtureTerm>> settled;
    for (auto& term : pool_) {
      if (term->log_evidence < best_ - 4 || spent >= effort_.fittings) break;
      const std::vector<OpenAngle> open = open_angles(*term);
      if (open.empty()) continue;
      double sum = 0;
      for (const std::vector<Choice>& choices : fitting_choices(*term, open)) {
        if (spent >= effort_.fittings) break;
        auto child = solve(term->atoms, choices, term->minimum.x, term->assumptions.attitudes);
        ++spent;
        if (!std::isfinite(child->log_evidence)) continue;
        sum += std::exp(child->log_evidence - term->log_evidence);
        settled.push_back(std::move(child));
      }
      if (sum > 0) term->log_evidence += static_cast<double>(open.size()) * std::log(odd_fittings);
    }
    for (auto& term : settled) pool_.push_back(std::move(term));
  }

  /// The likeliest ways to make the open angles of a term standard fittings.
  std::vector<std::vector<Choice>> fitting_choices(const MixtureTerm& term,
                                                   const std::vector<OpenAngle>& open) const {
    constexpr double fitting_sigma = 4 * degree;
    constexpr std::size_t most = 4;
    struct Way {
      std::vector<Choice> choices;
      double log_weight = 0;
    };
    std::vector<Way> ways{{term.choices, 0}};
    for (const OpenAngle& angle : open) {
      JacobianMatrix row = JacobianMatrix::Zero(1, model_.unknowns);
      row(0, angle.unknown) = 1;
      const double variance = term.covariance(row)(0, 0);
      const Likelihood seen =
          without_prior(term.minimum.x[angle.unknown], variance, term.assumptions.prior.mean[angle.unknown],
                        term.assumptions.prior.variance[angle.unknown]);
      // The hand that was written, or that the set holds for the right one; not the one the angle drifted to.
      const double hand = angle.either_hand ? 0 : term.assumptions.prior.mean[angle.unknown];
      std::vector<Way> more;
      for (const Way& way : ways) {
        for (const Fitting& fitting : standard_fittings()) {
          for (const double sign : {-1.0, 1.0}) {
            if (hand * sign < 0) continue;
            const double off = seen.mean - sign * fitting.angle,
                         spread = seen.variance + fitting_sigma * fitting_sigma;
            Way next = way;
            const double share = std::log((1 - odd_fittings) * fitting.share * (angle.either_hand ? 0.5 : 1));
            std::erase_if(next.choices, [&](const Choice& c) { return c.angle == angle.unknown; });
            next.choices.push_back({angle.unknown, sign * fitting.angle, fitting_sigma, share});
            next.log_weight += share - off * off / (2 * spread);
            more.push_back(std::move(next));
          }
        }
      }
      std::stable_sort(more.begin(), more.end(),
                       [](const Way& a, const Way& b) { return a.log_weight > b.log_weight; });
      if (more.size() > 2 * most) more.resize(2 * most);
      ways = std::move(more);
    }
    std::vector<std::vector<Choice>> result;
    for (const Way& way : ways)
      if (result.size() < most && way.log_weight > ways.front().log_weight - 3.5) result.push_back(way.choices);
    return result;
  }

  // ---- the answer ----

  std::vector<std::unique_ptr<MixtureTerm>> finish() {
    statistics_.sets_tried = static_cast<int>(pool_.size());
    const auto by_evidence = [](const auto& a, const auto& b) { return a->log_evidence > b->log_evidence; };
    std::stable_sort(pool_.begin(), pool_.end(), by_evidence);
    const double best = pool_.front()->log_evidence;
    std::vector<std::unique_ptr<MixtureTerm>> kept;
    for (auto& term : pool_) {
      if (kept.size() >= effort_.terms || term->log_evidence < best - effort_.keep) break;
      const double adjusted = term->log_evidence;
      auto exact = solve(term->atoms, term->choices, term->minimum.x, term->assumptions.attitudes, final_decrease);
      exact->log_evidence = adjusted;
      kept.push_back(std::move(exact));
    }
    double sum = 0;
    for (auto& term : kept) sum += term->weight = std::exp(term->log_evidence - best);
    for (auto& term : kept) term->weight /= sum;
    return kept;
  }

  const Model& model_;
  SolveStatistics& statistics_;
  Effort effort_;
  bool bends_only_ = false;
  bool some_bends_ = false;  ///< some run says that it wrote down some
  bool careful_ = true;      ///< every run says that all bends were written down
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
