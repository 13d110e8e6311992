#include "simulate/score_findings.hpp"

#include <Eigen/LU>
#include <algorithm>
#include <chrono>
#include <cmath>
#include <optional>

#include "findings/questions.hpp"
#include "measure/length.hpp"
#include "route/posterior.hpp"
#include "simulate/notes.hpp"
#include "simulate/score.hpp"

namespace swingtie::simulate {

namespace {

constexpr double ft = metres_per_foot;
constexpr double tape_sigma = 0.1 * ft;

PlanPoint plan_of(const Eigen::Vector3d& p) {
  return {p.x(), p.y()};
}

Eigen::Vector3d truth_of(const Lateral& lateral, const ItemFinding& item) {
  const TrueRun& really = lateral.truth.runs[item.run];
  return lateral.truth.lines[really.line].at(really.log_distances.at(item.log));
}

/// Stations begin where some camera came nearest to the house: metres of pipe.
double house_end(const Lateral& lateral, std::size_t line) {
  double least = lateral.truth.lines[line].length();
  for (const TrueRun& run : lateral.truth.runs)
    if (run.line == line) least = std::min(least, run.sense > 0 ? run.entry : run.entry - run.furthest);
  return least;
}

/// The house side of the right-of-way line is private.
class Limit {
 public:
  explicit Limit(const Lateral& lateral) {
    for (const Feature& feature : lateral.placed.features)
      if (feature.kind == FeatureKind::right_of_way) {
        from_ = feature.lines.front().front();
        along_ = feature.lines.front().back() - from_;
      }
    house_ = across(plan_of(lateral.truth.lines[0].vertices.front()));
  }
  bool is_private(PlanPoint p) const { return (across(p) > 0) == (house_ > 0); }
  double across(PlanPoint p) const { return clockwise_cross(along_, p - from_); }

 private:
  PlanPoint from_;
  PlanVector along_;
  double house_ = 0;
};

void score_items(const Lateral& lateral, const Findings& findings, FindingsScore& result) {
  const Limit limit(lateral);
  for (const ItemFinding& item : findings.items) {
    if (!item.private_probability) continue;
    result.sides.push_back({*item.private_probability, limit.is_private(plan_of(truth_of(lateral, item)))});
  }
  for (const DigFinding& dig : findings.digs) {
    const ItemFinding& item = findings.items[dig.item];
    const Eigen::Vector3d there = truth_of(lateral, item);
    WindowScore window;
    window.wanted = dig.wanted_probability;
    window.claimed = dig.contains_probability;
    const Region outline = {{dig.window.begin(), dig.window.end()}};
    window.contains = contains(outline, plan_of(there));
    window.area = area(outline);
    const double depth = lateral.lawn.height(there.x(), there.y()) - there.z();
    window.depth_inside = depth >= item.depth95.low && depth <= item.depth95.high;
    result.windows.push_back(window);
  }
  // A route that wanders back over the line has several crossings; the nearest is the one meant.
  for (const Crossing& crossing : findings.crossings) {
    if (crossing.line != 0 || lateral.placed.features[crossing.feature].kind != FeatureKind::right_of_way) continue;
    if (crossing.probability < 0.5) continue;
    const TrueLine& line = lateral.truth.lines[0];
    double best = 1e9, at = 0;
    for (double d = 0; d + 0.05 < line.length(); d += 0.05) {
      const bool crosses = (limit.across(plan_of(line.at(d))) > 0) != (limit.across(plan_of(line.at(d + 0.05))) > 0);
      const double off = distance(plan_of(line.at(d)), plan(crossing.position));
      if (crosses && off < best) best = off, at = d + 0.025;
    }
    if (best > 1e8) continue;
    CrossingScore scored;
    const double station = line.station(at) - line.station(house_end(lateral, 0));
    scored.station_inside = station >= crossing.station95.low && station <= crossing.station95.high;
    const PlanVector off = plan_of(line.at(at)) - plan(crossing.position);
    const PlanVector major = direction(crossing.ellipse95.major_axis);
    const double a = dot(off, major) / std::max(crossing.ellipse95.semi_major, 1e-6);
    const double b = dot(off, right_of(major)) / std::max(crossing.ellipse95.semi_minor, 0.03);
    scored.position_inside = a * a + b * b <= 1;
    result.crossings.push_back(scored);
  }
}

void score_ties(const Findings& findings, Random& random, FindingsScore& result) {
  std::vector<const TieSet*> sets;
  for (const DigFinding& dig : findings.digs) sets.push_back(&dig.ties);
  for (const TieSet& set : findings.tie_sets) sets.push_back(&set);
  for (const TieSet* set : sets) {
    if (set->ties.size() < 2) continue;
    std::vector<double> errors;
    for (std::size_t i = 0; i < set->ties.size(); ++i) errors.push_back(random.normal(0, tape_sigma));
    result.finders.push_back({set->finder_radius95, distance(swing(*set, errors), set->target)});
  }
}

/// The probability of an item's likelier side; 1 where it has none.
double surer_side(const ItemFinding& item) {
  return std::max(item.private_probability.value_or(1), 1 - item.private_probability.value_or(1));
}

/// What became of an answer after the locate was taken. A question of a side is no longer asked once it is settled,
/// so its answer is read from the item itself.
std::optional<double> answered(const Placed& placed, const NextLocate& next, const Findings& after) {
  for (const ItemFinding& item : after.items)
    if (item.act != Act::none && side_question(placed, item) == next.question) return surer_side(item);
  for (const NextLocate& answer : after.next_locates)
    if (answer.question == next.question) return answer.now95;
  return std::nullopt;
}

void score_next(const Scenario& scenario, const Lateral& lateral, const Findings& findings,
                const FindingsOptions& options, Random& random, FindingsScore& result) {
  std::vector<std::string> asked;
  for (const NextLocate& next : findings.next_locates) {
    if (next.enough || std::find(asked.begin(), asked.end(), next.question) != asked.end()) continue;
    asked.push_back(next.question);
    Placed more = lateral.placed;
    std::vector<Locate>& locates = more.runs[next.run].locates;
    locates.push_back(further_locate(scenario, lateral, next.run, next.at, LocateMethod::nulls, random));
    std::stable_sort(locates.begin(), locates.end(), [](const Locate& a, const Locate& b) { return a.at < b.at; });
    const Findings after = find(more, solve(more), options);
    if (const std::optional<double> then = answered(lateral.placed, next, after))
      result.next.push_back({next.question, next.now95, next.then95, *then, next.by_probability});
  }
}

}  // namespace

PlanPoint swing(const TieSet& ties, const std::vector<double>& errors) {
  // The finder reads whole inches off the sheet.
  const auto on_tape = [](double metres) { return std::round(metres / metres_per_inch) * metres_per_inch; };
  Eigen::Vector2d at(ties.target.e, ties.target.n);
  for (int step = 0; step < 20; ++step) {
    Eigen::Matrix2d normal = 1e-12 * Eigen::Matrix2d::Identity();
    Eigen::Vector2d right = Eigen::Vector2d::Zero();
    for (std::size_t i = 0; i < ties.ties.size(); ++i) {
      if (ties.ties[i].check) continue;
      const Eigen::Vector2d way = at - Eigen::Vector2d(ties.ties[i].fixed.e, ties.ties[i].fixed.n);
      const Eigen::Vector2d unit = way.normalized();
      normal += unit * unit.transpose();
      right += unit * (on_tape(ties.ties[i].distance) + errors[i] - way.norm());
    }
    at += normal.inverse() * right;
  }
  return {at.x(), at.y()};
}

FindingsScore score_findings(const Scenario& scenario, std::uint64_t seed, double sure, bool take_next) {
  const Lateral lateral = make_lateral(scenario, seed);
  FindingsOptions options;
  options.sure = sure;
  FindingsScore result;
  result.seed = seed;
  Random random(seed, 10);
  const Posterior posterior = solve(lateral.placed);
  const auto begin = std::chrono::steady_clock::now();
  const Findings findings = find(lateral.placed, posterior, options);
  result.find_ms = std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now() - begin).count();
  score_items(lateral, findings, result);
  score_ties(findings, random, result);
  if (take_next) score_next(scenario, lateral, findings, options, random, result);
  return result;
}

}  // namespace swingtie::simulate
