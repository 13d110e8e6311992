#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "job/terms.hpp"
#include "measure/diagnostic.hpp"
#include "measure/length.hpp"

namespace swingtie {

/// Local figures that the findings are held against: data, not program. Lengths are metres.
/// Every figure carries the words of who publishes it.
struct RuleSet {
  std::string name;   ///< as a job names it: `us`
  std::string title;  ///< `29 CFR 1926 Subpart P (United States)`
  std::string says;   ///< one sentence for print: whose figures these are and that they must be checked
  LengthUnit unit = LengthUnit::foot;  ///< the unit its figures are written in

  /// Something asked of a hole by its depth.
  struct Threshold {
    enum class When { below, at_or_above, above };
    double depth = 0;
    When when = When::at_or_above;  ///< how deep the hole is against `depth`
    std::string says, cite;
  };
  std::vector<Threshold> thresholds;  ///< by depth

  /// Steepest sides that may be cut without support, horizontal per vertical.
  struct Slope {
    Soil soil = Soil::c;
    double ratio = 0;
    std::string name;  ///< `type C soil`
  };
  std::vector<Slope> slopes;   ///< empty: ask locally
  Soil unsaid_soil = Soil::c;  ///< taken when the job names none
  std::string unsaid_soil_why;
  double slope_limit = 0;  ///< the slopes hold up to and including this depth
  std::string slope_cite;

  double spoil_setback = 0;  ///< 0: ask locally
  std::string spoil_cite;

  double influence_slope =
      1;  ///< horizontal per vertical of the line below which a hole may take a footing's support
  std::string influence_cite;

  double tolerance_zone = 0.4572;  ///< each side of a buried service's edge
  std::string tolerance_cite;

  double step = 0.1524;         ///< window sides are whole multiples
  double bucket = 0.61;         ///< width of the digging bucket when the job does not say
  double working_room = 0.305;  ///< added on each side of the window when the job does not say
  double under_pipe = 0.1524;   ///< dug below the invert to work under the pipe

  /// A root zone is a circle about the trunk: radius = factor * trunk diameter, within bounds.
  struct RootZone {
    double factor = 12;
    double minimum = 0, maximum = 0;  ///< 0: no bound
    std::string cite;
  };
  std::vector<RootZone> root_zones;  ///< the first one is used; the others are other places' figures
  double tree_distance = 0;          ///< trunk to sewer, least; 0: none
  std::string tree_cite;

  /// Least fall of a drain up to a size.
  struct MinimumSlope {
    double up_to_size = 0;  ///< 0: any larger
    double fall = 0;        ///< per length
  };
  std::vector<MinimumSlope> minimum_slopes;
  std::string slope_table_cite;

  struct Separation {
    std::string kind;  ///< `water`, `gas`, `electric`, `comms`
    double horizontal = 0;
    double vertical = 0;  ///< 0: none published
    std::string cite;
  };
  std::vector<Separation> separations;

  double cleanout_spacing = 0;  ///< 0: none
  std::string cleanout_cite;
  double direction_change = 0;  ///< radians turned after which a clean-out is asked; 0: none
  std::string direction_cite;
  double aggregate_change = 0;  ///< radians in all between clean-outs; 0: none
  std::string aggregate_cite;

  /// What is asked of a hole of this depth.
  std::vector<Threshold> passed(double depth) const;
  /// Radius by the first root zone rule, 0 for an unknown trunk.
  double root_zone(std::optional<double> trunk) const;
  std::optional<double> minimum_slope(double pipe_size) const;
};

/// Radius of a root zone for a trunk diameter, metres.
double radius_of(const RuleSet::RootZone& rule, double trunk);

/// Reads a rule set from YAML text. Unknown keys and values that are no lengths are errors, with their line.
Checked<RuleSet> read_rules(std::string_view yaml);

/// A rule set that comes with the program: `us`, `au`, `none`.
const RuleSet* built_in_rules(std::string_view name);
std::vector<std::string> built_in_rule_names();

}  // namespace swingtie
