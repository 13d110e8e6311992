#include <fmt/format.h>

#include <algorithm>

#include "findings/geometry.hpp"
#include "findings/phrases.hpp"
#include "findings/questions.hpp"
#include "findings/ties.hpp"
#include "measure/covariance.hpp"

namespace swingtie {
namespace {

const char* code_name(MistakeKind kind) {
  switch (kind) {
    case MistakeKind::unlogged_bend:
      return "unlogged-bend";
    case MistakeKind::wrong_locate:
      return "wrong-locate";
    case MistakeKind::misread_counter:
      return "misread-counter";
    case MistakeKind::wrong_hand:
      return "wrong-hand";
    case MistakeKind::counter_zero:
      return "counter-zero";
  }
  return "";
}

std::vector<std::string> cautions(const RuleSet& rules) {
  return {
      "Positions and depths are estimates from readings at the surface, with the uncertainty stated beside them.",
      "Call the one-call or dig-safe service and wait for the marks before digging. Private laterals are usually not "
      "marked.",
      "Inside the tolerance zone of any marked line, and near the estimated pipe, expose by hand or vacuum.",
      "Protection of the trench is decided on the spot by a competent person, whatever is printed here.",
      "Right-of-way and lot lines drawn here are not a boundary survey.",
      "Local codes and licensed practice rule. " + rules.says,
  };
}

/// The rule set to hold the numbers against, and a remark where the one asked for is not known.
RuleSet chosen_rules(const Placed& placed, const FindingsOptions& options, std::vector<Diagnostic>& remarks) {
  if (!options.rules_yaml.empty()) {
    Checked<RuleSet> read = read_rules(options.rules_yaml);
    if (read.value) return *read.value;
    for (Diagnostic& fault : read.diagnostics) {
      fault.message = "rule set: " + fault.message;
      fault.at = {};
      fault.severity = Severity::warning;
      remarks.push_back(std::move(fault));
    }
    return *built_in_rules("none");
  }
  // Feet are measured where the first set holds; whose law holds on a metric lot the job must say.
  const std::string name = !placed.digging.rules.empty() ? placed.digging.rules
                           : is_feet(placed.unit)        ? "us"
                                                         : "none";
  if (const RuleSet* rules = built_in_rules(name)) return *rules;
  Diagnostic unknown{
      Severity::warning, {}, fmt::format("no rule set `{}` is known: no trench figures are given", name), "", ""};
  if (const auto near = nearest_name(name, built_in_rule_names()))
    unknown.hint = fmt::format("did you mean `{}`?", *near);
  remarks.push_back(std::move(unknown));
  return *built_in_rules("none");
}

/// The ties of every clean-out out of doors; two runs from one clean-out share theirs.
void add_clean_outs(const Placed& placed, Findings& findings) {
  constexpr double same = 0.3;  // metres: closer than two clean-outs ever stand
  const std::size_t first = findings.tie_sets.size();
  for (const Run& run : placed.runs) {
    const bool indoors = std::any_of(placed.features.begin(), placed.features.end(), [&](const Feature& f) {
      return f.kind == FeatureKind::house && holds(f, run.access.at);
    });
    if (indoors) continue;
    const auto known =
        std::find_if(findings.tie_sets.begin() + static_cast<std::ptrdiff_t>(first), findings.tie_sets.end(),
                     [&](const TieSet& set) { return distance(set.target, run.access.at) < same; });
    if (known != findings.tie_sets.end()) {
      known->of += " and " + run.id;
      continue;
    }
    findings.tie_sets.push_back(swing_ties(placed, findings.viewer, run.access.at, "clean-out of " + run.id, {}));
    state_intervals(findings.tie_sets.back(), run.access.covariance);
  }
}

void add_ties(const Sampling& sampling, Findings& findings) {
  const Placed& placed = sampling.placed();
  for (DigFinding& dig : findings.digs) {
    const ItemFinding& item = findings.items[dig.item];
    const Sample truth = sampling.at_counter(item.run, item.at, Sight::seen);
    dig.ties = swing_ties(placed, findings.viewer, plan(dig.position),
                          fmt::format("dig point at {}", decimal(item.at.metres, placed.unit)), truth);
  }
  for (const Crossing& crossing : findings.crossings) {
    if (placed.features[crossing.feature].kind != FeatureKind::right_of_way && !crossing.limit) continue;
    findings.tie_sets.push_back(swing_ties(placed, findings.viewer, plan(crossing.position),
                                           name_of(placed.features[crossing.feature]) + " crossing", {}));
    state_intervals(findings.tie_sets.back(), covariance_of(crossing.ellipse95, 0.95));
  }
  add_clean_outs(placed, findings);
}

}  // namespace

std::vector<LocateFinding> find_locates(const Sampling& sampling) {
  const Placed& placed = sampling.placed();
  std::vector<LocateFinding> out;
  for (const LocateResidual& residual : sampling.posterior().residuals) {
    const Locate& locate = placed.runs[residual.run].locates[residual.locate];
    LocateFinding finding;
    finding.run = residual.run;
    finding.locate = residual.locate;
    finding.read = locate.position.at;
    finding.adjusted = plan(residual.adjusted);
    finding.along = residual.along;
    finding.across = residual.across;
    if (residual.depth) {
      finding.depth_residual = residual.depth;
      finding.depth_read = placed.ground->height(finding.adjusted) - residual.adjusted.up + *residual.depth;
    }
    finding.wrong_probability = residual.wrong_probability;
    finding.ellipse95 = error_ellipse(locate.position.covariance, 0.95);
    out.push_back(std::move(finding));
  }
  return out;
}

Findings find(const Placed& placed, const Posterior& posterior, const FindingsOptions& options) {
  Findings out;
  out.remarks = posterior.remarks;
  const RuleSet rules = chosen_rules(placed, options, out.remarks);
  out.rules = {rules.name, rules.title, rules.says, rules.tolerance_zone, rules.spoil_setback};
  out.cautions = cautions(rules);
  out.verdict = posterior.verdict;
  out.statistics = posterior.statistics;
  out.ownership = describe_ownership(placed);
  const Sampling sampling(placed, posterior);
  if (sampling.draws() == 0) return out;
  for (const Explanation& e : posterior.explanations)
    out.explanations.push_back({e.run, code_name(e.what), e.at, e.probability, e.says, e.span});

  const Limits limits(sampling);
  out.lines = find_lines(sampling, rules);
  out.viewer = find_viewer(sampling, out.lines);
  out.items = find_items(sampling, limits);
  out.crossings = find_crossings(sampling, limits);
  out.along_limits = find_along_limits(sampling, limits);
  out.sides = find_sides(sampling, limits);
  find_above(sampling, limits, rules, out.items);
  out.trees = find_trees(sampling, rules);
  out.separations = find_separations(sampling, rules);
  out.grades = find_grades(sampling, rules);
  out.fittings = find_fittings(sampling, rules);
  out.follow_ups = find_follow_ups(placed, out.items);
  out.digs = find_digs(sampling, out.items, rules, options.sure);
  find_conflicts(sampling, limits, rules, out.digs);
  out.next_locates = find_next_locates(sampling, limits, rules, out);
  say_sides(sampling, limits, out.next_locates, out.items);
  out.locates = find_locates(sampling);
  add_ties(sampling, out);
  return out;
}

}  // namespace swingtie
