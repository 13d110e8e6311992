#pragma once

#include <optional>
#include <vector>

#include "findings/findings.hpp"
#include "findings/limits.hpp"
#include "findings/rules.hpp"
#include "findings/sampling.hpp"

namespace swingtie {

/// The questions of the three readers, one function and one source file each. Each reads the draws and what the
/// questions before it found; `find` asks them in this order.

std::vector<LineFinding> find_lines(const Sampling& sampling, const RuleSet& rules);
Viewer find_viewer(const Sampling& sampling, const std::vector<LineFinding>& lines);
std::vector<ItemFinding> find_items(const Sampling& sampling, const Limits& limits);
std::vector<Crossing> find_crossings(const Sampling& sampling, const Limits& limits);
std::vector<AlongLimit> find_along_limits(const Sampling& sampling, const Limits& limits);
OwnershipFinding describe_ownership(const Placed& placed);
std::vector<SideLength> find_sides(const Sampling& sampling, const Limits& limits);
/// As in NextLocate::question: `side of 32.7 ft`.
std::string side_question(const Placed& placed, const ItemFinding& item);
/// How far past the nearest change of owner an item lies along its line, metres, in every draw; in a draw without
/// such a change the mean of the others. Empty where most draws have none.
std::vector<double> past_the_limit(const Sampling& sampling, const Limits& limits, const ItemFinding& item);
/// What was left on the ground within `reach` metres of an item along its line, the nearest first.
std::vector<std::string> marks_near(const Sampling& sampling, const ItemFinding& item, double reach);
/// The dig point of each item to be dug, without its ties and conflicts.
std::vector<DigFinding> find_digs(const Sampling& sampling, const std::vector<ItemFinding>& items,
                                  const RuleSet& rules, double sure);
/// What stands over each item, and how that changes its reading; fills `above` and `says` of the items.
void find_above(const Sampling& sampling, const Limits& limits, const RuleSet& rules,
                std::vector<ItemFinding>& items);
std::vector<TreeFinding> find_trees(const Sampling& sampling, const RuleSet& rules);
std::vector<SeparationFinding> find_separations(const Sampling& sampling, const RuleSet& rules);
/// What the hole would hit: fills `conflicts` of the dig points.
void find_conflicts(const Sampling& sampling, const Limits& limits, const RuleSet& rules,
                    std::vector<DigFinding>& digs);
std::vector<GradeFinding> find_grades(const Sampling& sampling, const RuleSet& rules);
std::vector<FittingFinding> find_fittings(const Sampling& sampling, const RuleSet& rules);
std::vector<FollowUp> find_follow_ups(const Placed& placed, const std::vector<ItemFinding>& items);
std::vector<NextLocate> find_next_locates(const Sampling& sampling, const Limits& limits, const RuleSet& rules,
                                          const Findings& so_far);
/// What would tell the side of each item between 5 % and 95 %, after the next locates are known: into its `says`.
void say_sides(const Sampling& sampling, const Limits& limits, const std::vector<NextLocate>& next,
               std::vector<ItemFinding>& items);
std::vector<LocateFinding> find_locates(const Sampling& sampling);

}  // namespace swingtie
