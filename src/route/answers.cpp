#include "route/answers.hpp"

#include <Eigen/Eigenvalues>
#include <Eigen/LU>
#include <algorithm>
#include <cmath>

#include "measure/bearing.hpp"
#include "route/priors.hpp"
#include "route/words.hpp"

namespace swingtie {
namespace {

/// The outer width of the tolerance zone most utility laws draw about a mark, 24 in: a route known to less is as
/// good as located.
constexpr double trusted = 24 * metres_per_inch;

SitePoint site(const Model& model, const Eigen::Vector3d& p) {
  return {model.origin.e + p.x(), model.origin.n + p.y(), model.origin.up + p.z()};
}

/// Where a line begins and ends in one term or draw, and the vertices between.
struct Course {
  std::vector<double> u;
  double low = 0, high = 0;
};

Course course(const State& state, const ModelLine& line, std::size_t index) {
  Course c;
  c.low = state.endpoint(line.begin).u;
  c.high = std::max(state.endpoint(line.end).u, c.low + 0.01);
  c.u.push_back(c.low);
  for (const Chain::Piece& piece : state.chains[index].pieces())
    if (piece.u > c.u.back() + 1e-6 && piece.u < c.high - 1e-6) c.u.push_back(piece.u);
  c.u.push_back(c.high);
  return c;
}

std::vector<SitePoint> vertices(const Model& model, const State& state, std::size_t index, const Course& c) {
  std::vector<SitePoint> points;
  points.reserve(c.u.size());
  for (const double u : c.u) points.push_back(site(model, state.chains[index].point(u).at));
  return points;
}

void fill_stations(Posterior& posterior, const Mixture& mixture, const Placed& placed) {
  const Model& model = *mixture.model;
  posterior.lines.resize(model.lines.size());
  for (std::size_t line = 0; line < model.lines.size(); ++line) {
    if (!model.lines[line].known) continue;
    const State& best = mixture.terms.front()->state();
    const Course c = course(best, model.lines[line], line);
    const double zero = best.chains[line].plan_length(c.low);
    std::vector<Station> stations;
    for (const double u : c.u) {
      const Station station{best.chains[line].plan_length(u) - zero};
      // Inside a vertical piece there is no new station.
      if (stations.empty() ? station.metres > -1 : station > stations.back()) stations.push_back(station);
    }
    const std::vector<PointMixture> points = at_stations(mixture, line, stations);
    for (std::size_t i = 0; i < stations.size(); ++i) {
      RouteStation station;
      station.station = stations[i];
      const PointMixture& point = points[i];
      const Eigen::Vector3d mean = point.mean();
      const SpaceCovariance covariance = point.covariance();
      station.at = {mean.x(), mean.y(), mean.z()};
      station.covariance = covariance.topLeftCorner<2, 2>();
      const double ground_sigma = placed.ground ? placed.ground->sigma(plan(station.at)) : 0;
      station.depth = (placed.ground ? placed.ground->height(plan(station.at)) : 0) - station.at.up;
      station.sigma_depth = std::hypot(std::sqrt(covariance(2, 2)), ground_sigma);
      const bool trust = error_ellipse(station.covariance, 0.95).semi_major <= trusted;
      station.knowledge = trust ? Knowledge::located : Knowledge::inferred;
      posterior.lines[line].push_back(station);
    }
  }
}

void fill_alternatives(Posterior& posterior, const Mixture& mixture, const Placed& placed) {
  for (const auto& term : mixture.terms) {
    Alternative alternative;
    alternative.probability = term->weight;
    for (const Atom& atom : term->atoms) alternative.mistakes.push_back(explain(atom, *term, mixture, placed, 1));
    for (std::size_t line = 0; line < mixture.model->lines.size(); ++line) {
      alternative.routes.emplace_back();
      if (!mixture.model->lines[line].known) continue;
      const Course c = course(term->state(), mixture.model->lines[line], line);
      alternative.routes.back() = vertices(*mixture.model, term->state(), line, c);
    }
    posterior.alternatives.push_back(std::move(alternative));
  }
}

RouteDraw one_draw(const Model& model, const State& state) {
  RouteDraw draw;
  draw.lines.resize(model.lines.size());
  draw.runs.resize(model.runs.size());
  std::vector<double> lows(model.lines.size());
  for (std::size_t line = 0; line < model.lines.size(); ++line) {
    if (!model.lines[line].known) continue;
    const Course c = course(state, model.lines[line], line);
    lows[line] = c.low;
    draw.lines[line].vertices = vertices(model, state, line, c);
    const double zero = state.chains[line].plan_length(c.low);
    for (const double u : c.u) {
      draw.lines[line].stations.push_back(state.chains[line].plan_length(u) - zero);
      draw.lines[line].pipe.push_back(u - c.low);
    }
  }
  for (std::size_t r = 0; r < model.runs.size(); ++r) {
    const ModelRun& run = model.runs[r];
    draw.runs[r] = {1 + state.x[run.scale],
                    state.x[run.zero],
                    state.x[run.entry] - lows[run.line],
                    run.sense,
                    state.assumptions.restart_after[r],
                    state.x[run.restart]};
  }
  return draw;
}

/// By how much the logarithm of the true density at a draw exceeds what the term's Gaussian says, up to a constant.
/// @param linear  sum of squares of the residuals that the term's linear model expects there
double excess(const Model& model, const State& state, double linear) {
  Eigen::VectorXd residuals = Eigen::VectorXd::Zero(model.readings);
  Eigen::Index row = 0;
  for (const auto& observation : model.observations) {
    observation->evaluate(state, row, residuals, nullptr);
    row += observation->rows();
  }
  const double all = (linear - residuals.squaredNorm()) / 2;
  // Differences within a factor of e are let pass: there, draws that owe nothing to each other are worth more.
  return all - std::clamp(all, -1.0, 1.0);
}

/// Draws from one term. The Gaussian about its minimum proposes; where the readings bend away from it (a bend near
/// the pipe's end may turn far, but not along a straight tangent) a proposal is taken only as often as its true
/// density asks: the independence sampler of Metropolis and Hastings, which takes nearly all where the term is nearly
/// linear.
void draw_from(const MixtureTerm& term, std::size_t index, std::size_t count, const Model& model, Random& random,
               std::vector<RouteDraw>& draws) {
  constexpr Eigen::Index settling = 8;  // proposals before the first draw is kept
  const auto [x, linear] = term.draw(random, static_cast<Eigen::Index>(count) + settling);
  RouteDraw current;
  double level = 0;
  bool any = false;
  for (Eigen::Index k = 0; k < x.cols(); ++k) {
    const Eigen::VectorXd proposed = x.col(k);
    const State state(model, term.assumptions, proposed, false);
    const double proposed_level = excess(model, state, linear.col(k).squaredNorm());
    const double chance = random.uniform();
    if (!any || std::log(std::max(chance, 1e-300)) < proposed_level - level) {
      level = proposed_level;
      any = true;
      current = one_draw(model, state);
    }
    if (k < settling) continue;
    draws.push_back(current);
    draws.back().alternative = index;
  }
}

void fill_draws(Posterior& posterior, const Mixture& mixture, const SolveOptions& options) {
  // Each alternative gets its share of the draws to within one, the odd ones by the largest remainder.
  const std::size_t count = static_cast<std::size_t>(std::max(options.draws, 0));
  std::vector<std::size_t> share(mixture.terms.size());
  std::vector<std::pair<double, std::size_t>> remainder;
  std::size_t given = 0;
  for (std::size_t t = 0; t < mixture.terms.size(); ++t) {
    const double exact = mixture.terms[t]->weight * static_cast<double>(count);
    share[t] = static_cast<std::size_t>(exact);
    given += share[t];
    remainder.emplace_back(static_cast<double>(share[t]) - exact, t);
  }
  std::stable_sort(remainder.begin(), remainder.end());
  for (std::size_t i = 0; given < count; ++i, ++given) ++share[remainder[i % remainder.size()].second];

  Random random(options.seed);
  posterior.draws.reserve(count);
  for (std::size_t t = 0; t < mixture.terms.size(); ++t)
    if (share[t] > 0) draw_from(*mixture.terms[t], t, share[t], *mixture.model, random, posterior.draws);
}

/// Probability that a locate is wrong itself or carries a wrong counter.
double wrong_probability(const Mixture& mixture, std::size_t locate) {
  double sum = 0;
  for (const auto& term : mixture.terms)
    for (const Atom& atom : term->atoms)
      if ((atom.kind == MistakeKind::wrong_locate || atom.kind == MistakeKind::misread_counter) &&
          atom.index == locate) {
        sum += term->weight;
        break;
      }
  return std::min(sum, 1.0);
}

/// Probability of a misfit at least as large as a locate's, place, depths and direction together, if it is sound.
double quality(const MixtureTerm& term, std::size_t index, const ModelLocate& locate) {
  const Eigen::Index first = locate.first_row, count = locate.end_row - locate.first_row;
  Eigen::VectorXd misfit = term.minimum.residuals.segment(first, count);
  JacobianMatrix slopes = term.minimum.jacobian.middleRows(first, count);
  const bool held_wrong = std::any_of(term.atoms.begin(), term.atoms.end(), [&](const Atom& atom) {
    return (atom.kind == MistakeKind::wrong_locate || atom.kind == MistakeKind::misread_counter) &&
           atom.index == index;
  });
  // Held for wrong it had no say in the route, and misses it by what the mistake took up.
  if (held_wrong)
    for (const Eigen::Index unknown : {locate.blunder, locate.blunder + 1, locate.blunder + 2, locate.shift}) {
      misfit -= slopes.col(unknown) * term.minimum.x[unknown];
      slopes.col(unknown).setZero();
    }
  // A reading that took part in the fit leaves a residual smaller than itself, one that did not a larger one.
  const Eigen::MatrixXd route = term.covariance(slopes);
  const Eigen::MatrixXd spread = Eigen::MatrixXd::Identity(count, count) + (held_wrong ? route : -route);
  const Eigen::SelfAdjointEigenSolver<Eigen::MatrixXd> axes(spread);
  double square = 0;
  int directions = 0;
  for (Eigen::Index i = 0; i < count; ++i) {
    // Without redundancy in a direction its residual is zero whatever was read, and says nothing.
    if (axes.eigenvalues()[i] < 1e-3) continue;
    const double part = axes.eigenvectors().col(i).dot(misfit);
    square += part * part / axes.eigenvalues()[i];
    ++directions;
  }
  return directions == 0 ? 1 : chi_square_beyond(square, directions);
}

void fill_residuals(Posterior& posterior, const Mixture& mixture, const Placed& placed) {
  const Model& model = *mixture.model;
  const MixtureTerm& best = *mixture.terms.front();
  const State& state = best.state();
  for (std::size_t k = 0; k < model.locates.size(); ++k) {
    const ModelLocate& locate = model.locates[k];
    const State::Seen& seen = state.sightings[locate.sighting];
    const Locate& read = placed.runs[locate.run].locates[locate.locate];
    LocateResidual residual;
    residual.run = locate.run;
    residual.locate = locate.locate;
    residual.adjusted = site(model, seen.point.at);
    const Eigen::Vector2d off = Eigen::Vector2d(locate.at.e, locate.at.n) - seen.point.at.head<2>();
    const Eigen::Vector2d along(std::sin(seen.point.heading), std::cos(seen.point.heading));
    const Eigen::Vector2d right(along.y(), -along.x());
    residual.along = off.dot(along);
    residual.across = off.dot(right);
    const double depth = model.height(seen.point.at.x(), seen.point.at.y()) - seen.point.at.z();
    if (read.depth.along)
      residual.depth = *read.depth.along - depth;
    else if (read.depth.nulls)
      residual.depth = *read.depth.nulls / std::sqrt(2.0) - depth;
    else if (read.depth.across)
      residual.depth = *read.depth.across - depth;

    residual.quality = quality(best, k, locate);
    residual.wrong_probability = wrong_probability(mixture, k);
    posterior.residuals.push_back(residual);
  }
}

}  // namespace

void fill_answers(Posterior& posterior, const Mixture& mixture, const Placed& placed, const SolveOptions& options) {
  fill_stations(posterior, mixture, placed);
  fill_alternatives(posterior, mixture, placed);
  fill_draws(posterior, mixture, options);
  fill_residuals(posterior, mixture, placed);
  fill_words(posterior, mixture, placed);
  posterior.statistics.condition = condition(mixture.terms.front()->minimum);
}

}  // namespace swingtie
