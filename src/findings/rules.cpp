#include "findings/rules.hpp"

#include <fmt/format.h>
#include <yaml-cpp/yaml.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <iterator>
#include <set>

#include "findings/built_in_rules.hpp"
#include "measure/bearing.hpp"

namespace swingtie {
namespace {

class Reader {
 public:
  explicit Reader(std::vector<Diagnostic>& faults) : faults_(faults) {}

  void fault(const YAML::Node& node, std::string message, std::string expected) {
    const auto mark = node.Mark();
    Span at;
    if (mark.line >= 0) at = {static_cast<std::size_t>(mark.line + 1), static_cast<std::size_t>(mark.column + 1), 1};
    faults_.push_back({Severity::error, at, std::move(message), std::move(expected), ""});
  }

  void known_keys(const YAML::Node& map, const std::vector<std::string>& keys) {
    if (!map.IsMap()) return fault(map, "this is no mapping", "keys and values");
    std::set<std::string> seen;
    for (const auto& entry : map) {
      const std::string key = entry.first.Scalar();
      if (std::find(keys.begin(), keys.end(), key) == keys.end()) {
        fault(entry.first, fmt::format("unknown key `{}`", key), "");
        if (const auto near = nearest_name(key, keys)) faults_.back().hint = fmt::format("did you mean `{}`?", *near);
      } else if (!seen.insert(key).second) {
        fault(entry.first, fmt::format("`{}` is given twice", key), "");
      }
    }
  }

  void text(const YAML::Node& map, const char* key, std::string& out) {
    if (const auto node = map[key]) {
      if (!node.IsScalar()) return fault(node, fmt::format("`{}` is no text", key), "words");
      out = node.Scalar();
    }
  }
  void length(const YAML::Node& map, const char* key, double& out, bool above_zero = false) {
    if (const auto node = map[key]) {
      const auto parsed = node.IsScalar() ? parse_length(node.Scalar(), unit) : Parsed<double>{};
      if (!parsed.value || *parsed.value < 0 || (above_zero && *parsed.value == 0))
        return fault(node, fmt::format("`{}` is no length", key), "a length such as 18 in or 0.5 m, not below zero");
      out = *parsed.value;
    }
  }
  void number(const YAML::Node& map, const char* key, double& out) {
    if (const auto node = map[key]) {
      double value = 0;
      if (!node.IsScalar() || !YAML::convert<double>::decode(node, value) || !std::isfinite(value) || value < 0)
        return fault(node, fmt::format("`{}` is no number", key), "a number, not below zero");
      out = value;
    }
  }

  LengthUnit unit = LengthUnit::foot;

 private:
  std::vector<Diagnostic>& faults_;
};

constexpr std::array<std::pair<const char*, Soil>, 4> soils{
    {{"rock", Soil::rock}, {"a", Soil::a}, {"b", Soil::b}, {"c", Soil::c}}};

/// `1/8 in per ft`, `1 %`, `1 in 60`. @return fall per length, or below zero where the words are none of these
double fall_of(const std::string& words) {
  double a = 0, b = 0;
  char rest = 0;
  if (std::sscanf(words.c_str(), "%lf/%lf in per ft%c", &a, &b, &rest) == 2 && b > 0) return a / b / 12;
  if (std::sscanf(words.c_str(), "1 in %lf%c", &b, &rest) == 1 && b > 0) return 1 / b;
  if (std::sscanf(words.c_str(), "%lf %c", &a, &rest) == 2 && rest == '%') return a / 100;
  return -1;
}

void read_thresholds(Reader& read, const YAML::Node& list, RuleSet& out) {
  for (const auto& entry : list) {
    read.known_keys(entry, {"depth", "when", "says", "cite"});
    if (!entry.IsMap()) continue;
    RuleSet::Threshold threshold;
    read.length(entry, "depth", threshold.depth, true);
    std::string when = "at or above";
    read.text(entry, "when", when);
    using When = RuleSet::Threshold::When;
    if (when == "below")
      threshold.when = When::below;
    else if (when == "above")
      threshold.when = When::above;
    else if (when != "at or above")
      read.fault(entry["when"], "unknown `when`", "below | at or above | above");
    read.text(entry, "says", threshold.says);
    read.text(entry, "cite", threshold.cite);
    out.thresholds.push_back(std::move(threshold));
  }
  std::stable_sort(out.thresholds.begin(), out.thresholds.end(),
                   [](const auto& x, const auto& y) { return x.depth < y.depth; });
}

void read_soils(Reader& read, const YAML::Node& root, RuleSet& out) {
  if (const auto slopes = root["slopes"]) {
    read.known_keys(slopes, {"rock", "a", "b", "c"});
    for (const auto& [key, soil] : soils) {
      if (!slopes.IsMap() || !slopes[key]) continue;
      RuleSet::Slope slope{soil, 0, key};
      read.number(slopes, key, slope.ratio);
      if (root["slope_names"] && root["slope_names"].IsMap()) read.text(root["slope_names"], key, slope.name);
      out.slopes.push_back(std::move(slope));
    }
  }
  if (const auto soil = root["unsaid_soil"]) {
    const auto known = std::find_if(soils.begin(), soils.end(),
                                    [&](const auto& s) { return soil.IsScalar() && soil.Scalar() == s.first; });
    if (known == soils.end())
      read.fault(soil, "unknown soil", "rock | a | b | c");
    else
      out.unsaid_soil = known->second;
  }
}

void read_lists(Reader& read, const YAML::Node& root, RuleSet& out) {
  for (const auto& entry : root["root_zones"]) {
    read.known_keys(entry, {"factor", "minimum", "maximum", "cite"});
    if (!entry.IsMap()) continue;
    RuleSet::RootZone zone;
    read.number(entry, "factor", zone.factor);
    read.length(entry, "minimum", zone.minimum);
    read.length(entry, "maximum", zone.maximum);
    read.text(entry, "cite", zone.cite);
    out.root_zones.push_back(std::move(zone));
  }
  for (const auto& entry : root["minimum_slopes"]) {
    read.known_keys(entry, {"up_to", "fall"});
    if (!entry.IsMap()) continue;
    RuleSet::MinimumSlope slope;
    read.length(entry, "up_to", slope.up_to_size);
    std::string fall;
    read.text(entry, "fall", fall);
    slope.fall = fall_of(fall);
    if (slope.fall < 0) read.fault(entry, "`fall` is no slope", "1/8 in per ft, 1 % or 1 in 60");
    out.minimum_slopes.push_back(slope);
  }
  for (const auto& entry : root["separations"]) {
    read.known_keys(entry, {"kind", "horizontal", "vertical", "cite"});
    if (!entry.IsMap()) continue;
    RuleSet::Separation separation;
    read.text(entry, "kind", separation.kind);
    read.length(entry, "horizontal", separation.horizontal);
    read.length(entry, "vertical", separation.vertical);
    read.text(entry, "cite", separation.cite);
    out.separations.push_back(std::move(separation));
  }
}

}  // namespace

std::vector<RuleSet::Threshold> RuleSet::passed(double depth) const {
  // Half a micrometre: a depth written 4 ft must not miss 4 ft by the last bit of a conversion.
  constexpr double hair = 5e-7;
  std::vector<Threshold> out;
  const auto holds = [&](const Threshold& threshold) {
    switch (threshold.when) {
      case Threshold::When::below:
        return depth < threshold.depth - hair;
      case Threshold::When::at_or_above:
        return depth >= threshold.depth - hair;
      case Threshold::When::above:
        break;
    }
    return depth > threshold.depth + hair;
  };
  std::copy_if(thresholds.begin(), thresholds.end(), std::back_inserter(out), holds);
  return out;
}

double radius_of(const RuleSet::RootZone& rule, double trunk) {
  double radius = std::max(rule.factor * trunk, rule.minimum);
  return rule.maximum > 0 ? std::min(radius, rule.maximum) : radius;
}

double RuleSet::root_zone(std::optional<double> trunk) const {
  return trunk && !root_zones.empty() ? radius_of(root_zones.front(), *trunk) : 0.0;
}

std::optional<double> RuleSet::minimum_slope(double pipe_size) const {
  for (const MinimumSlope& row : minimum_slopes)
    if (row.up_to_size == 0 || pipe_size <= row.up_to_size + 1e-6) return row.fall;
  return std::nullopt;
}

Checked<RuleSet> read_rules(std::string_view yaml) {
  Checked<RuleSet> out;
  RuleSet rules;
  Reader read(out.diagnostics);
  try {
    const YAML::Node root = YAML::Load(std::string(yaml));
    read.known_keys(root, {"rules",
                           "title",
                           "says",
                           "units",
                           "thresholds",
                           "slopes",
                           "slope_names",
                           "slope_limit",
                           "slope_cite",
                           "unsaid_soil",
                           "unsaid_soil_why",
                           "spoil_setback",
                           "spoil_cite",
                           "influence_slope",
                           "influence_cite",
                           "tolerance_zone",
                           "tolerance_cite",
                           "step",
                           "bucket",
                           "working_room",
                           "under_pipe",
                           "root_zones",
                           "tree_distance",
                           "tree_cite",
                           "minimum_slopes",
                           "slope_table_cite",
                           "separations",
                           "cleanout_spacing",
                           "cleanout_cite",
                           "direction_change",
                           "direction_cite",
                           "aggregate_change",
                           "aggregate_cite"});
    if (!root.IsMap()) return out;
    std::string units = "ft";
    read.text(root, "units", units);
    if (units == "m")
      rules.unit = LengthUnit::metre;
    else if (units != "ft")
      read.fault(root["units"], "unknown unit", "ft | m");
    read.unit = rules.unit;
    read.text(root, "rules", rules.name);
    read.text(root, "title", rules.title);
    read.text(root, "says", rules.says);
    read_thresholds(read, root["thresholds"], rules);
    read_soils(read, root, rules);
    read_lists(read, root, rules);
    read.length(root, "slope_limit", rules.slope_limit);
    read.text(root, "slope_cite", rules.slope_cite);
    read.text(root, "unsaid_soil_why", rules.unsaid_soil_why);
    read.length(root, "spoil_setback", rules.spoil_setback);
    read.text(root, "spoil_cite", rules.spoil_cite);
    read.number(root, "influence_slope", rules.influence_slope);
    read.text(root, "influence_cite", rules.influence_cite);
    read.length(root, "tolerance_zone", rules.tolerance_zone, true);
    read.text(root, "tolerance_cite", rules.tolerance_cite);
    read.length(root, "step", rules.step, true);
    read.length(root, "bucket", rules.bucket);
    read.length(root, "working_room", rules.working_room);
    read.length(root, "under_pipe", rules.under_pipe);
    read.length(root, "tree_distance", rules.tree_distance);
    read.text(root, "tree_cite", rules.tree_cite);
    read.text(root, "slope_table_cite", rules.slope_table_cite);
    read.length(root, "cleanout_spacing", rules.cleanout_spacing);
    read.text(root, "cleanout_cite", rules.cleanout_cite);
    read.number(root, "direction_change", rules.direction_change);
    read.text(root, "direction_cite", rules.direction_cite);
    read.number(root, "aggregate_change", rules.aggregate_change);
    read.text(root, "aggregate_cite", rules.aggregate_cite);
    rules.direction_change *= degree;
    rules.aggregate_change *= degree;
  } catch (const YAML::Exception& fault) {
    out.diagnostics.push_back({Severity::error,
                               {static_cast<std::size_t>(std::max(0, fault.mark.line + 1)),
                                static_cast<std::size_t>(std::max(0, fault.mark.column + 1)), 1},
                               "this is no YAML: " + fault.msg,
                               "",
                               ""});
  }
  if (out.diagnostics.empty()) out.value = std::move(rules);
  return out;
}

const RuleSet* built_in_rules(std::string_view name) {
  // Each is read when it is first asked for: a run that draws one plan needs one.
  if (name == "us") {
    static const RuleSet us = read_rules(built_in_rule_texts[0]).value.value();
    return &us;
  }
  if (name == "au") {
    static const RuleSet au = read_rules(built_in_rule_texts[1]).value.value();
    return &au;
  }
  if (name == "none") {
    static const RuleSet none = read_rules(built_in_rule_texts[2]).value.value();
    return &none;
  }
  return nullptr;
}

std::vector<std::string> built_in_rule_names() {
  return {"us", "au", "none"};
}

}  // namespace swingtie
