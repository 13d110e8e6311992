#include "simulate/score.hpp"

#include <Eigen/LU>
#include <algorithm>
#include <cmath>
#include <ctime>

#include "measure/bearing.hpp"
#include "measure/length.hpp"
#include "simulate/baseline.hpp"
#include "simulate/random.hpp"

namespace swingtie::simulate {

namespace {

constexpr double ft = metres_per_foot;

PlanPoint plan_of(const Eigen::Vector3d& p) {
  return {p.x(), p.y()};
}

double normal_below(double x) {
  return 0.5 * std::erfc(-x / std::sqrt(2.0));
}

/// Processor time of this thread, so that a busy machine does not make the engine slow.
double processor_ms() {
  timespec now{};
  clock_gettime(CLOCK_THREAD_CPUTIME_ID, &now);
  return 1e3 * static_cast<double>(now.tv_sec) + 1e-6 * static_cast<double>(now.tv_nsec);
}

double zero_of(const TrueRun& run) {
  return std::max(run.zero, 0.0);
}

double last_reading(const TrueRun& run) {
  return run.zero + run.furthest / run.scale;
}

bool locate_kind(MistakeKind kind) {
  return kind == MistakeKind::wrong_locate || kind == MistakeKind::misread_counter;
}

/// Whether a person who knows everything but this locate could call it wrong: posterior odds above one for a locate
/// drawn evenly within 12 ft of the pipe against a sound one, at the rate with which such mistakes are made.
bool locate_stands_out(const Lateral& lateral, const Posterior& bound, const Mistake& mistake, double rate) {
  const Locate& locate = lateral.placed.runs[mistake.run].locates[mistake.index];
  const PointMixture expected = bound.at_counter(mistake.run, locate.at, Sight::sonde);
  const Eigen::Vector2d off = Eigen::Vector2d(locate.position.at.e, locate.position.at.n) - expected.mean().head<2>();
  const double receiver = 0.15 * 2.0;  // metres: 0.15 of a depth of 2 m, as an ellipse's mean radius
  const Eigen::Matrix2d spread = expected.covariance().topLeftCorner<2, 2>() + locate.position.covariance +
                                 receiver * receiver * Eigen::Matrix2d::Identity();
  const double sound = std::exp(-0.5 * off.dot(spread.inverse() * off)) / (2 * pi * std::sqrt(spread.determinant()));
  const double wrong = 1 / (pi * 12 * ft * 12 * ft);
  return rate * wrong > (1 - rate) * sound;
}

/// The same question for a hand: the misfit of the notes, put right but for this hand, against all put right.
bool hand_stands_out(const Lateral& lateral, const Posterior& bound, const Mistake& mistake, double rate,
                     const Solver& solver) {
  Placed but_this = lateral.told;
  for (LogItem& item : but_this.runs[mistake.run].log) {
    if (!item.bend || item.at.metres != mistake.at) continue;
    item.bend->hand = *item.bend->hand == Hand::left ? Hand::right : Hand::left;
  }
  SolveOptions plain;
  plain.explain = false;
  const double worse = solver(but_this, plain).verdict.chi_square - bound.verdict.chi_square;
  return rate * std::exp(std::min(worse / 2, 600.0)) > 1 - rate;
}

/// The same for a counter that was not zeroed: by up to 8 ft too far or 4 ft too little, where a sound one is within
/// the error of its zero. The chance of that error among all those amounts is part of the odds.
bool zero_stands_out(const Lateral& lateral, const Posterior& bound, const Mistake& mistake, double rate,
                     const Solver& solver) {
  Placed as_written = lateral.told;
  as_written.runs[mistake.run].zero = lateral.placed.runs[mistake.run].zero;
  as_written.runs[mistake.run].zero_reading = lateral.placed.runs[mistake.run].zero_reading;
  SolveOptions plain;
  plain.explain = false;
  const double worse = solver(as_written, plain).verdict.chi_square - bound.verdict.chi_square;
  const double error = 0.3 * ft * std::sqrt(2 * pi), amounts = 12 * ft;
  return rate * error / amounts * std::exp(std::min(worse / 2, 600.0)) > 1 - rate;
}

double named(const Posterior& answer, const Lateral& lateral, const Mistake& mistake, bool& right_kind) {
  const Run& run = lateral.placed.runs[mistake.run];
  double best = 0, of_kind = 0;
  if (locate_kind(mistake.what)) {
    const Span span = run.locates[mistake.index].span;
    double sum = 0;
    for (const Explanation& e : answer.explanations) {
      if (!locate_kind(e.what) || e.span != span) continue;
      sum += e.probability;
      if (e.what == mistake.what) of_kind = std::max(of_kind, e.probability);
    }
    best = std::min(sum, 1.0);
    for (const LocateResidual& r : answer.residuals)
      if (r.run == mistake.run && r.locate == mistake.index) best = std::max(best, r.wrong_probability);
  } else {
    for (const Explanation& e : answer.explanations) {
      if (e.what != mistake.what || e.run != mistake.run) continue;
      if (mistake.what == MistakeKind::wrong_hand && e.span != run.log[mistake.index].span) continue;
      if (mistake.what == MistakeKind::unlogged_bend && std::abs(e.at.metres - mistake.at) > 6 * ft) continue;
      of_kind += e.probability;
    }
    best = std::min(of_kind, 1.0);
  }
  right_kind = of_kind > 0.5 * best;
  return best;
}

void score_mistakes(const Scenario& scenario, const Lateral& lateral, const Posterior& answer, const Posterior& bound,
                    const Solver& solver, LateralScore& result) {
  for (const Mistake& mistake : lateral.truth.mistakes) {
    MistakeScore scored;
    scored.what = mistake.what;
    scored.amount = mistake.amount;
    scored.named = named(answer, lateral, mistake, scored.of_right_kind);
    if (scored.named <= 0.5 && locate_kind(mistake.what)) {
      const double rate = std::max({scenario.blunder, scenario.misread, scenario.one_misread / scenario.locates});
      scored.bound_can_tell = locate_stands_out(lateral, bound, mistake, rate);
    }
    if (scored.named <= 0.5 && mistake.what == MistakeKind::wrong_hand)
      scored.bound_can_tell = hand_stands_out(lateral, bound, mistake, scenario.wrong_hand, solver);
    if (scored.named <= 0.5 && mistake.what == MistakeKind::counter_zero)
      scored.bound_can_tell = zero_stands_out(lateral, bound, mistake, scenario.not_zeroed, solver);
    result.mistakes.push_back(scored);
  }
  const auto made = [&](MistakeKind kind, std::size_t run, std::size_t index) {
    return std::any_of(lateral.truth.mistakes.begin(), lateral.truth.mistakes.end(), [&](const Mistake& m) {
      const bool same_kind = m.what == kind || (locate_kind(m.what) && locate_kind(kind));
      return same_kind && m.run == run && m.index == index;
    });
  };
  for (std::size_t r = 0; r < lateral.placed.runs.size(); ++r) {
    const Run& run = lateral.placed.runs[r];
    for (std::size_t i = 0; i < run.locates.size(); ++i) {
      if (made(MistakeKind::wrong_locate, r, i)) continue;
      ++result.sound_locates;
      double accused = 0;
      for (const Explanation& e : answer.explanations)
        if (locate_kind(e.what) && e.span == run.locates[i].span) accused += e.probability;
      for (const LocateResidual& residual : answer.residuals)
        if (residual.run == r && residual.locate == i) accused = std::max(accused, residual.wrong_probability);
      if (accused > 0.5) result.false_accusations.push_back({MistakeKind::wrong_locate, accused});
    }
    for (std::size_t i = 0; i < run.log.size(); ++i) {
      if (!run.log[i].bend || made(MistakeKind::wrong_hand, r, i)) continue;
      ++result.sound_bends;
      for (const Explanation& e : answer.explanations)
        if (e.what == MistakeKind::wrong_hand && e.span == run.log[i].span && e.probability > 0.5)
          result.false_accusations.push_back({MistakeKind::wrong_hand, e.probability});
    }
    const bool zero_wrong = made(MistakeKind::counter_zero, r, 0);
    if (!zero_wrong) ++result.sound_zeros;
    for (const Explanation& e : answer.explanations) {
      if (e.run != r || e.probability <= 0.5) continue;
      if (e.what == MistakeKind::counter_zero && !zero_wrong)
        result.false_accusations.push_back({MistakeKind::counter_zero, e.probability});
      if (e.what != MistakeKind::unlogged_bend) continue;
      const bool there =
          std::any_of(lateral.truth.mistakes.begin(), lateral.truth.mistakes.end(), [&](const Mistake& m) {
            return m.what == MistakeKind::unlogged_bend && m.run == r && std::abs(m.at - e.at.metres) <= 6 * ft;
          });
      if (!there) result.false_accusations.push_back({MistakeKind::unlogged_bend, e.probability});
    }
  }
}

/// Puts a right-of-way line at random near a buried point and asks on which side of it the point is.
void score_side(const Lateral& lateral, const Posterior& answer, Random& random, RegionScore& scored) {
  const std::size_t run = scored.point.run;
  const TrueRun& really = lateral.truth.runs[run];
  const double distance = really.distance(scored.point.counter);
  const Eigen::Vector3d flow = lateral.truth.lines[really.line].direction(distance);
  const bool runs_along = random.chance(0.3);
  const double azimuth_rad =
      std::atan2(flow.x(), flow.y()) + (runs_along ? 0 : pi / 2) + random.uniform(-25, 25) * degree;
  const PlanVector limit = direction(Azimuth{azimuth_rad});
  const PlanPoint there = plan_of(lateral.truth.lines[really.line].at(distance));
  const double off = random.uniform(-3, 3) * ft;
  const auto private_side = [&](PlanPoint p) { return clockwise_cross(limit, p - there) > off; };
  scored.is_private = private_side(there);
  int inside = 0;
  for (const RouteDraw& draw : answer.draws)
    if (private_side(plan(point_at(draw, lateral.placed, run, {scored.point.counter}, Sight::lens)))) ++inside;
  scored.private_probability = answer.draws.empty() ? 0.5 : inside / static_cast<double>(answer.draws.size());
}

RegionScore score_region(const Lateral& lateral, const Posterior& answer, const PointScore& point, Random& random) {
  RegionScore scored;
  scored.point = point;
  const PointMixture mixture = answer.at_counter(point.run, {point.counter}, Sight::lens);
  const Eigen::Vector3d there = lateral.truth.at(point.run, {point.counter});
  const Region region = highest_density_region(mixture, 0.95);
  scored.inside = contains(region, plan_of(there));
  scored.area = area(region);
  scored.depth = lateral.lawn.height(there.x(), there.y()) - there.z();
  const double low = quantile(mixture, 2, 0.025), high = quantile(mixture, 2, 0.975);
  scored.depth_inside = there.z() >= low && there.z() <= high;
  scored.depth_half = (high - low) / 2;
  score_side(lateral, answer, random, scored);
  return scored;
}

void measure_locates(const Lateral& lateral, LateralScore& result) {
  for (std::size_t r = 0; r < lateral.told.runs.size(); ++r) {
    const TrueRun& really = lateral.truth.runs[r];
    const Run& run = lateral.told.runs[r];
    for (const Locate& locate : run.locates) {
      const double sonde = really.distance(locate.at.metres - run.sonde_behind_lens);
      const TrueLine& line = lateral.truth.lines[really.line];
      const Eigen::Vector2d flow = line.direction(sonde).head<2>();
      if (locate.by == LocateMethod::line || flow.norm() < 0.5) continue;
      const Eigen::Vector2d along = flow.normalized();
      const Eigen::Vector2d off =
          Eigen::Vector2d(locate.position.at.e, locate.position.at.n) - line.at(sonde).head<2>();
      const double on = off.dot(along);
      result.locate_error_along += on * on;
      result.locate_error_across += off.squaredNorm() - on * on;
      ++result.locates_measured;
    }
  }
}

}  // namespace

bool contains(const Region& region, PlanPoint point) {
  bool inside = false;
  for (const auto& ring : region) {
    for (std::size_t i = 0, j = ring.size() - 1; i < ring.size(); j = i++) {
      const PlanPoint a = ring[i], b = ring[j];
      if ((a.n > point.n) != (b.n > point.n) && point.e < (b.e - a.e) * (point.n - a.n) / (b.n - a.n) + a.e)
        inside = !inside;
    }
  }
  return inside;
}

double area(const Region& region) {
  double twice = 0;
  for (const auto& ring : region)
    for (std::size_t i = 0, j = ring.size() - 1; i < ring.size(); j = i++)
      twice += (ring[j].e - ring[0].e) * (ring[i].n - ring[0].n) - (ring[i].e - ring[0].e) * (ring[j].n - ring[0].n);
  return std::abs(twice) / 2;
}

double quantile(const PointMixture& mixture, int coordinate, double p) {
  double low = 1e300, high = -1e300;
  for (const auto& term : mixture.terms) {
    const double sigma = std::sqrt(std::max(term.covariance(coordinate, coordinate), 0.0));
    low = std::min(low, term.mean(coordinate) - 9 * sigma - 1e-9);
    high = std::max(high, term.mean(coordinate) + 9 * sigma + 1e-9);
  }
  const auto below = [&](double x) {
    double sum = 0, total = 0;
    for (const auto& term : mixture.terms) {
      const double sigma = std::sqrt(std::max(term.covariance(coordinate, coordinate), 1e-18));
      sum += term.weight * normal_below((x - term.mean(coordinate)) / sigma);
      total += term.weight;
    }
    return sum / total;
  };
  for (int i = 0; i < 60; ++i) {
    const double middle = 0.5 * (low + high);
    (below(middle) < p ? low : high) = middle;
  }
  return 0.5 * (low + high);
}

LateralScore score(const Scenario& scenario, std::uint64_t seed, const Solver& solver) {
  const Lateral lateral = make_lateral(scenario, seed);
  LateralScore result;
  result.seed = seed;
  const double begin = processor_ms();
  const Posterior answer = solver(lateral.placed, {});
  result.milliseconds = processor_ms() - begin;
  result.solves = answer.statistics.solves;
  SolveOptions plain;
  plain.explain = false;
  const Posterior bound = solver(lateral.told, plain);

  Random random(seed, 9);
  for (std::size_t r = 0; r < lateral.placed.runs.size(); ++r) {
    const Run& run = lateral.placed.runs[r];
    const TrueRun& really = lateral.truth.runs[r];
    const JoinedLocates joined(run);
    // Where a person told of the mistakes would say the last locate is: a misread one must not stretch the span.
    const JoinedLocates told(lateral.told.runs[r]);
    for (double counter = zero_of(really) + 0.5 * ft; counter < last_reading(really); counter += 1 * ft) {
      PointScore point;
      point.run = r;
      point.counter = counter;
      point.to_locate = counter - really.zero;
      for (const Locate& locate : lateral.told.runs[r].locates)
        point.to_locate = std::min(point.to_locate, std::abs(counter - (locate.at.metres - run.sonde_behind_lens)));
      point.between = counter <= told.last();
      const PlanPoint there = plan_of(lateral.truth.at(r, {counter}));
      const auto off = [&](const Posterior& posterior) {
        return distance(plan_of(posterior.at_counter(r, {counter}, Sight::lens).mean()), there);
      };
      point.error = off(answer);
      const Eigen::Vector3d flow = lateral.truth.lines[really.line].direction(really.distance(counter));
      const PlanVector on = direction(Azimuth{std::atan2(flow.x(), flow.y())});
      const PlanVector miss = plan_of(answer.at_counter(r, {counter}, Sight::lens).mean()) - there;
      point.along = dot(miss, on);
      point.across = dot(miss, right_of(on));
      point.bound_error = off(bound);
      point.joined_error = distance(joined.straight({counter}), there);
      point.spline_error = distance(joined.smooth({counter}), there);
      result.points.push_back(point);
    }
  }
  for (int i = 0; i < 10 && !result.points.empty(); ++i) {
    const PointScore& point = random.one_of(result.points);
    result.regions.push_back(score_region(lateral, answer, point, random));
  }
  score_mistakes(scenario, lateral, answer, bound, solver, result);
  measure_locates(lateral, result);
  return result;
}

}  // namespace swingtie::simulate
