#include <fmt/format.h>

#include <Eigen/Cholesky>
#include <Eigen/LU>
#include <algorithm>
#include <cmath>

#include "findings/geometry.hpp"
#include "findings/phrases.hpp"
#include "findings/questions.hpp"
#include "measure/bearing.hpp"
#include "measure/covariance.hpp"
#include "route/priors.hpp"

namespace swingtie {
namespace {

using Eigen::Matrix2d;
using Eigen::Vector2d;

/// Draws beyond this many would sharpen a plan of what to measure by nothing anybody could see.
constexpr std::size_t most_draws = 400;
/// An alternative with fewer draws than this has no covariance worth the name.
constexpr std::size_t least_members = 8;
constexpr std::size_t ranks = 3;

/// Radius of the 95 % circle of a plan covariance to 1 %: exact for a circle (5.991) and for a line (3.841).
double radius95(const Matrix2d& c) {
  const double half = c.trace() / 2;
  const double spread = std::sqrt(std::max(0.0, half * half - c.determinant()));
  return std::sqrt(std::max(0.0, 3.841 * (half + spread) + 2.150 * (half - spread)));
}

/// Moments of a pair of points within one alternative.
struct Moments {
  Vector2d mean = Vector2d::Zero();
  Matrix2d covariance = Matrix2d::Zero();
};

/// A point per draw (a scalar answer in the first coordinate), and its moments within each alternative.
struct Quantity {
  std::vector<Vector2d> values;
  std::vector<Moments> within;
  bool scalar = false;
};

/// What the readings so far leave open, one Gaussian per alternative.
class Plan {
 public:
  explicit Plan(const Sampling& sampling) {
    const auto& draws = sampling.posterior().draws;
    stride_ = std::max<std::size_t>(1, draws.size() / most_draws);
    std::size_t groups = 1;
    for (const RouteDraw& draw : draws) groups = std::max(groups, draw.alternative + 1);
    std::vector<std::vector<std::size_t>> members(groups);
    std::size_t all = 0;
    for (std::size_t d = 0; d < draws.size(); d += stride_) members[draws[d].alternative].push_back(all++);
    std::size_t kept = 0;
    for (auto& group : members) {
      if (group.size() < least_members && group.size() * 2 < all) continue;
      kept += group.size();
      members_.push_back(std::move(group));
    }
    if (members_.empty()) {  // many tiny alternatives: one Gaussian for all of them
      members_.emplace_back();
      for (std::size_t i = 0; i < all; ++i) members_.back().push_back(i);
      kept = all;
    }
    for (const auto& group : members_)
      weights_.push_back(static_cast<double>(group.size()) / static_cast<double>(kept));
  }

  std::size_t stride() const { return stride_; }

  /// @param points  of every draw
  Quantity quantity(const std::vector<SitePoint>& points) const {
    Quantity out;
    for (std::size_t d = 0; d < points.size(); d += stride_) out.values.push_back({points[d].e, points[d].n});
    return with_moments(std::move(out));
  }

  /// @param points  of every stride()-th draw
  Quantity thinned(const std::vector<SitePoint>& points) const {
    Quantity out;
    for (const SitePoint& p : points) out.values.push_back({p.e, p.n});
    return with_moments(std::move(out));
  }

  Quantity scalar(const std::vector<double>& values) const {
    Quantity out;
    out.scalar = true;
    for (std::size_t d = 0; d < values.size(); d += stride_) out.values.push_back({values[d], 0});
    return with_moments(std::move(out));
  }

  double size95(const Quantity& q, const Matrix2d& covariance) const {
    return q.scalar ? 1.960 * std::sqrt(std::max(0.0, covariance(0, 0))) : radius95(covariance);
  }

  double now(const Quantity& q) const {
    return size95(q, mixed(weights_, [&](std::size_t k) { return q.within[k]; }));
  }

  double best_weight() const { return *std::max_element(weights_.begin(), weights_.end()); }
  std::size_t alternatives() const { return weights_.size(); }

  /// What a locate of the point `seen` with this covariance leaves of `asked` on average: every alternative in turn
  /// is taken for true, four readings are tried about where it would put the locate, and each is weighed against all
  /// alternatives. Within an alternative the update is that of Gaussians.
  struct Expected {
    double size95 = 0, best_weight = 0;
  };
  Expected after(const Quantity& seen, const Matrix2d& reading, const Quantity* asked) const {
    const std::size_t n = members_.size();
    std::vector<Matrix2d> inverse(n), gain(n, Matrix2d::Zero()), left(n, Matrix2d::Zero());
    std::vector<double> log_scale(n);
    for (std::size_t k = 0; k < n; ++k) {
      const Matrix2d s = seen.within[k].covariance + reading;
      inverse[k] = s.inverse();
      log_scale[k] = std::log(weights_[k]) - 0.5 * std::log(s.determinant());
      if (asked == nullptr) continue;
      Matrix2d cross = Matrix2d::Zero();
      for (const std::size_t d : members_[k])
        cross += (asked->values[d] - asked->within[k].mean) * (seen.values[d] - seen.within[k].mean).transpose();
      cross /= static_cast<double>(members_[k].size());
      gain[k] = cross * inverse[k];
      // Two coefficients fitted to few draws take out more than they would of draws not seen.
      const double m = static_cast<double>(members_[k].size());
      const double fitted = m / std::max(m - 3, 1.0);
      left[k] = fitted * (asked->within[k].covariance - gain[k] * cross.transpose());
    }
    Expected out;
    std::vector<double> weights(n);
    for (std::size_t truth = 0; truth < n; ++truth) {
      const Matrix2d root = (seen.within[truth].covariance + reading).llt().matrixL();
      const int tries = n == 1 ? 1 : 4;  // with one alternative the reading's value changes nothing
      for (int t = 0; t < tries; ++t) {
        Vector2d step = Vector2d::Zero();
        if (n > 1) step[t / 2] = (t % 2 == 0 ? 1 : -1) * std::sqrt(2.0);
        const Vector2d z = seen.within[truth].mean + root * step;
        double top = -1e300, sum = 0;
        for (std::size_t k = 0; k < n; ++k) {
          const Vector2d r = z - seen.within[k].mean;
          weights[k] = log_scale[k] - 0.5 * r.dot(inverse[k] * r);
          top = std::max(top, weights[k]);
        }
        for (double& w : weights) sum += w = std::exp(w - top);
        for (double& w : weights) w /= sum;
        const double share = weights_[truth] / tries;
        out.best_weight += share * *std::max_element(weights.begin(), weights.end());
        if (asked == nullptr) continue;
        const Matrix2d whole = mixed(weights, [&](std::size_t k) {
          return Moments{asked->within[k].mean + gain[k] * (z - seen.within[k].mean), left[k]};
        });
        out.size95 += share * size95(*asked, whole);
      }
    }
    return out;
  }

 private:
  Quantity with_moments(Quantity q) const {
    for (const auto& group : members_) {
      Moments m;
      for (const std::size_t d : group) m.mean += q.values[d];
      m.mean /= static_cast<double>(group.size());
      for (const std::size_t d : group) m.covariance += (q.values[d] - m.mean) * (q.values[d] - m.mean).transpose();
      m.covariance /= static_cast<double>(group.size());
      q.within.push_back(m);
    }
    return q;
  }

  template <class Each>
  static Matrix2d mixed(const std::vector<double>& weights, Each&& each) {
    Vector2d mean = Vector2d::Zero();
    for (std::size_t k = 0; k < weights.size(); ++k) mean += weights[k] * each(k).mean;
    Matrix2d out = Matrix2d::Zero();
    for (std::size_t k = 0; k < weights.size(); ++k) {
      const Moments m = each(k);
      out += weights[k] * (m.covariance + (m.mean - mean) * (m.mean - mean).transpose());
    }
    return out;
  }

  std::size_t stride_ = 1;
  std::vector<std::vector<std::size_t>> members_;
  std::vector<double> weights_;
};

/// A counter at which the camera could be stopped.
struct Stop {
  std::size_t run = 0;
  CounterReading at;
  Quantity seen;
  Matrix2d reading = Matrix2d::Zero();
};

/// How well the position of a locate is measured on this job: the middle one of its locates, or half a foot.
PlanCovariance usual_position(const Placed& placed) {
  std::vector<double> variances;
  for (const Run& run : placed.runs)
    for (const Locate& locate : run.locates) variances.push_back(locate.position.covariance.trace() / 2);
  if (variances.empty()) return covariance_within(0.15);
  return quantile(variances, 0.5) * PlanCovariance::Identity();
}

std::vector<Stop> stops(const Sampling& sampling, const Plan& plan) {
  const Placed& placed = sampling.placed();
  const PlanCovariance position = usual_position(placed);
  const double unit = is_feet(placed.unit) ? metres_per(placed.unit) : 0.5;
  std::vector<Stop> out;
  for (std::size_t r = 0; r < placed.runs.size(); ++r) {
    const Run& run = placed.runs[r];
    if (sampling.posterior().draws.front().lines[run.line].vertices.size() < 2) continue;
    double first = 0, last = 0;
    for (const LogItem& item : run.log) last = std::max(last, item.at.metres);
    for (const Locate& locate : run.locates) last = std::max(last, locate.at.metres);
    if (run.zero == CounterZero::stated) first = run.zero_reading.metres;
    // Some twenty stops per run, at whole feet or half metres, and where the camera stopped anyhow.
    const double step = std::max(1.0, std::ceil((last - first) / 20 / unit)) * unit;
    const int stops = static_cast<int>((last - first + 1e-9) / step);
    std::vector<double> counters;
    for (int i = 1; i <= stops; ++i) counters.push_back(first + i * step);
    for (const LogItem& item : run.log)
      if (item.act != Act::none) counters.push_back(item.at.metres);
    std::sort(counters.begin(), counters.end());
    for (const double at : counters) {
      const Sample sample = sampling.exactly_at(r, {at}, Sight::sonde, plan.stride());
      const double depth = std::max(0.3, mean_of(sampling.depths(sample)));
      // Taken midway between the two nulls: as good along the pipe as across it.
      const double receiver = std::hypot(prior::receiver_mark, prior::receiver_nulls_per_depth * depth);
      Stop stop{r, {at}, plan.thinned(sample.points), position + receiver * receiver * Matrix2d::Identity()};
      const PlanVector along = direction(sampling.heading(run.line, mean_of(sample.stations)));
      const Vector2d u(along.de, along.dn);
      stop.reading += prior::counter_reading * prior::counter_reading * (u * u.transpose());
      out.push_back(std::move(stop));
    }
  }
  return out;
}

struct Question {
  std::string name;             ///< as in NextLocate::question
  std::string sought;           ///< in a sentence: `the dig point at 41.0 ft`
  std::vector<Quantity> parts;  ///< the worst of them counts
  double enough95 = 0;
  bool settled = true;  ///< what hangs on it is settled at the present size
};

std::string reading_words(const Placed& placed, const Stop& stop) {
  return placed.runs.size() > 1
             ? fmt::format("{} of {}", decimal(stop.at.metres, placed.unit), placed.runs[stop.run].id)
             : decimal(stop.at.metres, placed.unit);
}

/// What one stop would do for one question.
struct Prospect {
  double then = 0;
  std::size_t stop = 0;
};

/// The best stops in their order, apart from each other by at least two metres; beyond the first only those that
/// help.
/// @param order  best first
template <class Helps>
std::vector<Prospect> apart(const std::vector<Stop>& all, const std::vector<Prospect>& order, std::size_t most,
                            Helps&& helps) {
  std::vector<Prospect> out;
  for (const Prospect& next : order) {
    if (out.size() == most || (!out.empty() && !helps(next))) break;
    const bool close = std::any_of(out.begin(), out.end(), [&](const Prospect& other) {
      return all[other.stop].run == all[next.stop].run && std::abs(all[other.stop].at - all[next.stop].at) < 2.0;
    });
    if (!close) out.push_back(next);
  }
  return out;
}

/// A locate is worth the walk when it takes a tenth off what is not known.
constexpr double worth = 0.1;

void rank(const Placed& placed, const Plan& plan, const std::vector<Stop>& all, const Question& question,
          std::vector<NextLocate>& out) {
  double now = 0;
  for (const Quantity& part : question.parts) now = std::max(now, plan.now(part));
  std::vector<Prospect> order;
  for (std::size_t i = 0; i < all.size(); ++i) {
    double then = 0;
    for (const Quantity& part : question.parts)
      then = std::max(then, plan.after(all[i].seen, all[i].reading, &part).size95);
    order.push_back({then, i});
  }
  std::stable_sort(order.begin(), order.end(), [](const Prospect& a, const Prospect& b) { return a.then < b.then; });
  const bool enough = now <= question.enough95 && question.settled;
  const auto helps = [&](const Prospect& p) { return p.then < (1 - worth) * now; };
  for (const Prospect& best : apart(all, order, enough ? 1 : ranks, helps)) {
    const Stop& stop = all[best.stop];
    NextLocate next{stop.run, stop.at, question.name, now, std::min(now, best.then), false, enough, false, ""};
    next.helps = !enough && helps(best);
    if (enough)
      next.says = fmt::format("You have enough for {}: known to {}.", question.sought, decimal(now, placed.unit));
    else if (!next.helps)
      next.says =
          fmt::format("One more locate would hardly help {}: {} now, {} after the best one, at {}.", question.sought,
                      decimal(now, placed.unit), decimal(next.then95, placed.unit), reading_words(placed, stop));
    else
      next.says = fmt::format("A locate at {}, midway between the nulls, would bring {} from {} to about {}.",
                              reading_words(placed, stop), question.sought, decimal(now, placed.unit),
                              decimal(next.then95, placed.unit));
    out.push_back(std::move(next));
  }
}

/// A question of which of some answers is true.
struct Choice {
  std::string name, what, best;  ///< `which alternative`, `tell the routes apart`, `the best one`
};

/// @param order  with the mean probability of the likeliest answer after each stop
void rank_choice(const Placed& placed, const std::vector<Stop>& all, std::vector<Prospect> order, double now,
                 const Choice& choice, std::vector<NextLocate>& out) {
  std::stable_sort(order.begin(), order.end(), [](const Prospect& a, const Prospect& b) { return a.then > b.then; });
  const bool enough = now >= 0.95;
  const auto helps = [&](const Prospect& p) { return p.then > now + worth * (1 - now); };
  for (const Prospect& best : apart(all, order, enough ? 1 : ranks, helps)) {
    const Stop& stop = all[best.stop];
    NextLocate next{stop.run, stop.at, choice.name, now, std::max(now, best.then), true, enough, false, ""};
    next.helps = !enough && helps(best);
    const std::string before = percent(now), after = percent(next.then95);
    if (enough)
      next.says = fmt::format("You have enough to {}: {} has {}.", choice.what, choice.best, before);
    else if (!next.helps)
      next.says = fmt::format("No single locate would {}: {} has {} and would stay near {}.", choice.what,
                              choice.best, before, after);
    else
      next.says = fmt::format(
          "A locate at {}, midway between the nulls, would help to {}: {} has {} now, about {} "
          "after it.",
          reading_words(placed, stop), choice.what, choice.best, before, after);
    out.push_back(std::move(next));
  }
}

void rank_for_alternatives(const Placed& placed, const Plan& plan, const std::vector<Stop>& all,
                           std::vector<NextLocate>& out) {
  if (plan.alternatives() < 2) return;
  std::vector<Prospect> order;
  for (std::size_t i = 0; i < all.size(); ++i)
    order.push_back({plan.after(all[i].seen, all[i].reading, nullptr).best_weight, i});
  rank_choice(placed, all, std::move(order), plan.best_weight(),
              {"which alternative", "tell the routes apart", "the best one"}, out);
}

/// How sure one will be on average of the sign of a Gaussian quantity once its deviation has shrunk: the mean of the
/// larger of the two probabilities over where its new mean may come to lie.
double mean_certainty(double mean, double now, double then) {
  const double moved = std::sqrt(std::max(0.0, now * now - then * then));
  constexpr int steps = 40;
  constexpr double reach = 4;
  double sum = 0, weights = 0;
  for (int i = 0; i <= steps; ++i) {
    const double z = reach * (2.0 * i / steps - 1);
    const double weight = std::exp(-z * z / 2);
    const double at = std::abs(mean + moved * z);
    sum += weight * (then > 0 ? normal_cdf(at / then) : 1.0);
    weights += weight;
  }
  return sum / weights;
}

void rank_for_sides(const Sampling& sampling, const Limits& limits, const Plan& plan, const std::vector<Stop>& all,
                    const std::vector<ItemFinding>& items, std::vector<NextLocate>& out) {
  const Placed& placed = sampling.placed();
  for (const ItemFinding& item : items) {
    if (item.act == Act::none || !item.private_probability || *item.private_probability <= 0.05 ||
        *item.private_probability >= 0.95)
      continue;
    const std::vector<double> past = past_the_limit(sampling, limits, item);
    if (past.empty()) continue;
    const Quantity quantity = plan.scalar(past);
    const double now = plan.now(quantity) / normal_quantile(0.975);
    const double told = std::max(*item.private_probability, 1 - *item.private_probability);
    // The mean that gives the told probability, so that a locate that adds nothing leaves it as it is.
    const double mean = normal_quantile(told) * now;
    std::vector<Prospect> order;
    for (std::size_t i = 0; i < all.size(); ++i)
      order.push_back({mean_certainty(mean, now,
                                      std::min(now, plan.after(all[i].seen, all[i].reading, &quantity).size95 /
                                                        normal_quantile(0.975))),
                       i});
    rank_choice(placed, all, std::move(order), told,
                {side_question(placed, item),
                 fmt::format("tell the side of the item at station {} ({})",
                             decimal(item.station.metres, placed.unit), item.what),
                 "the likelier side"},
                out);
  }
}

}  // namespace

std::vector<NextLocate> find_next_locates(const Sampling& sampling, const Limits& limits, const RuleSet& rules,
                                          const Findings& so_far) {
  const Placed& placed = sampling.placed();
  const Plan plan(sampling);
  const std::vector<Stop> all = stops(sampling, plan);
  if (all.empty()) return {};
  std::vector<NextLocate> out;

  for (const DigFinding& dig : so_far.digs) {
    const ItemFinding& item = so_far.items[dig.item];
    Question question{fmt::format("dig at {}", decimal(item.at.metres, placed.unit)),
                      fmt::format("the dig point at {}", decimal(item.at.metres, placed.unit)),
                      {},
                      rules.tolerance_zone,
                      true};
    question.parts.push_back(plan.quantity(sampling.at_counter(item.run, item.at, Sight::seen).points));
    rank(placed, plan, all, question, out);
  }
  for (const Limits::Limit& limit : limits.all()) {
    if (!limit.rules && placed.features[limit.feature].kind != FeatureKind::right_of_way) continue;
    for (std::size_t l = 0; l < placed.lines.size(); ++l) {
      std::vector<double> stations;
      double sum = 0;
      std::size_t met = 0;
      for (const auto& draw : limit.meetings[l]) {
        stations.push_back(draw.empty() ? std::nan("") : draw.front().station);
        if (!draw.empty()) {
          sum += stations.back();
          ++met;
        }
      }
      if (2 * met < stations.size()) continue;
      for (double& s : stations)
        if (std::isnan(s)) s = sum / static_cast<double>(met);
      Question question{"crossing " + placed.features[limit.feature].id,
                        fmt::format("the station of the crossing of {}", the_name(placed.features[limit.feature])),
                        {plan.scalar(stations)},
                        1.0,
                        true};
      if (limit.rules)
        for (const ItemFinding& item : so_far.items)
          if (item.line == l && item.act != Act::none && item.private_probability &&
              *item.private_probability > 0.05 && *item.private_probability < 0.95)
            question.settled = false;
      rank(placed, plan, all, question, out);
    }
  }
  Question whole{"whole route", "the whole route", {}, rules.tolerance_zone, true};
  constexpr int parts = 6;
  for (const LineFinding& line : so_far.lines)
    if (line.stations.size() >= 2)
      for (int i = 0; i <= parts; ++i)
        whole.parts.push_back(plan.quantity(sampling.at_station(line.line, line.length * i / parts).points));
  if (!whole.parts.empty()) rank(placed, plan, all, whole, out);
  rank_for_alternatives(placed, plan, all, out);
  rank_for_sides(sampling, limits, plan, all, so_far.items, out);
  return out;
}

}  // namespace swingtie
