#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <cmath>

#include "findings/geometry.hpp"
#include "findings/phrases.hpp"
#include "findings/questions.hpp"

namespace swingtie {
namespace {

/// Rarer than this and it is not said.
constexpr double least_probability = 0.05;

bool is_utility(FeatureKind kind) {
  return kind == FeatureKind::water || kind == FeatureKind::gas || kind == FeatureKind::electric ||
         kind == FeatureKind::comms;
}

/// Within which distance of a feature's edge, line or trunk something lies "in" it, and how that is said.
struct Zone {
  std::string relation;
  double radius = 0;
};

std::vector<Zone> zones_of(const Feature& feature, const RuleSet& rules) {
  switch (feature.kind) {
    case FeatureKind::tree: {
      std::vector<Zone> out;
      if (const double roots = rules.root_zone(feature.trunk); roots > 0)
        out.push_back({"in the root zone of", roots});
      if (feature.spread) out.push_back({"under the crown of", *feature.spread / 2});
      if (out.empty()) out.push_back({"near", rules.tree_distance > 0 ? rules.tree_distance : 3.0});
      return out;
    }
    case FeatureKind::house:
      return {{"under", 0}};
    case FeatureKind::driveway:
    case FeatureKind::walk:
    case FeatureKind::fence:
    case FeatureKind::wall:
      // A line without a width is taken as wide as a fence: half a foot to each side.
      return {{"under", feature.shape == GeometryKind::area ? 0 : feature.width.value_or(0.3) / 2}};
    case FeatureKind::water:
    case FeatureKind::gas:
    case FeatureKind::electric:
    case FeatureKind::comms:
      return {{"in the tolerance zone of", rules.tolerance_zone + feature.size.value_or(0) / 2}};
    case FeatureKind::hydrant:
    case FeatureKind::pole:
    case FeatureKind::manhole:
    case FeatureKind::valve:
    case FeatureKind::meter:
      return {{"near", 1.0}};
    case FeatureKind::lot:
    case FeatureKind::curb:
    case FeatureKind::right_of_way:
    case FeatureKind::centerline:
    case FeatureKind::rock:
    case FeatureKind::main:
    case FeatureKind::mark:
      break;
  }
  return {};
}

bool mentions(std::string text, std::initializer_list<std::string_view> words) {
  std::transform(text.begin(), text.end(), text.begin(),
                 [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  return std::any_of(words.begin(), words.end(),
                     [&](std::string_view w) { return text.find(w) != std::string::npos; });
}

/// How a suspect spot reads differently with a tree over it, or with none.
void read_against_trees(const Placed& placed, ItemFinding& item) {
  const bool roots =
      mentions(item.what, {"root"}) && !mentions(item.what, {"no root", "without root", "free of root"});
  const bool growth = mentions(item.what, {"growth", "hair", "fibre", "fiber", "intrusion", "obstruct", "blockage",
                                           "tendril", "something grow"});
  const bool opening = mentions(item.what, {"joint", "crack", "offset", "separat", "hole", "gap", "broken"});
  if (!roots && !growth && !opening) return;
  const Above* tree = nullptr;
  for (const Above& above : item.above)
    if (placed.features[above.feature].kind == FeatureKind::tree && above.relation == "in the root zone of" &&
        (tree == nullptr || above.probability > tree->probability))
      tree = &above;
  const bool trees_known = std::any_of(placed.features.begin(), placed.features.end(),
                                       [](const Feature& f) { return f.kind == FeatureKind::tree; });
  if (tree != nullptr) {
    const std::string name = the_tree(placed.features[tree->feature]);
    const std::string zone =
        fmt::format("the spot lies in the root zone of {} ({}), {} from the trunk", name, percent(tree->probability),
                    with_interval(tree->distance, tree->distance95, placed.unit));
    const bool likely = tree->probability >= 0.5;
    if (!likely && !growth)
      item.says.push_back(fmt::format("Perhaps {}; {}.", zone,
                                      roots ? "the roots may also come from a tree that is not on the plan"
                                            : "an open joint or crack there would invite roots"));
    else if (roots)
      item.says.push_back(fmt::format("Roots fit what stands above: {}.", zone));
    else if (growth)
      item.says.push_back(fmt::format("A growth here is {} roots: {}.", likely ? "probably" : "possibly", zone));
    else
      item.says.push_back(fmt::format("An open joint or crack here invites roots: {}.", zone));
  } else if ((roots || growth) && trees_known) {
    item.says.push_back(
        roots ? "The spot itself lies in no root zone of a tree on the plan: ask whether one stood here, or stands "
                "over the fence."
              : "The spot itself lies in no root zone of a tree on the plan, so roots are the less likely reading.");
  }
}

/// Concrete mostly begins near the right-of-way (common practice, no source): whether the crossing agrees.
void compare_material_change(const Sampling& sampling, const Limits& limits, ItemFinding& item) {
  const Placed& placed = sampling.placed();
  const LogItem& logged = placed.runs[item.run].log[item.log];
  const bool first_pipe = std::none_of(placed.runs[item.run].log.begin(),
                                       placed.runs[item.run].log.begin() + static_cast<std::ptrdiff_t>(item.log),
                                       [](const LogItem& before) { return before.pipe.has_value(); });
  if (!logged.pipe || logged.pipe->material != Material::concrete || first_pipe) return;
  const auto street = std::find_if(limits.all().begin(), limits.all().end(), [&](const Limits::Limit& limit) {
    return placed.features[limit.feature].kind == FeatureKind::right_of_way;
  });
  if (street == limits.all().end()) return;
  const Sample sample = sampling.at_counter(item.run, item.at, Sight::seen);
  std::vector<double> before;  // metres from the change on to the crossing
  for (std::size_t d = 0; d < sampling.draws(); ++d) {
    const auto& meetings = street->meetings[item.line][d];
    if (!meetings.empty()) before.push_back(meetings.front().station - sample.stations[d]);
  }
  if (before.size() < sampling.draws() / 2) return;
  const double mean = mean_of(before);
  const Interval range = interval95(before);
  const LengthUnit unit = placed.unit;
  const std::string where =
      fmt::format("The change to concrete lies {} {} the right-of-way crossing",
                  with_interval(std::abs(mean), mean >= 0 ? range : Interval{-range.high, -range.low}, unit),
                  mean >= 0 ? "before" : "past");
  // "Near" is taken as 5 ft or 1.5 m.
  const double near = is_feet(unit) ? 5 * metres_per(unit) : 1.5;
  const char* verdict = range.low > near || range.high < -near
                            ? "this one is not near it: check the counter, the line or the right-of-way drawn"
                        : range.low >= -near && range.high <= near
                            ? "the two agree"
                            : "the two may agree: the interval is too wide to tell";
  item.says.push_back(fmt::format(
      "{}. Concrete mostly begins near the right-of-way (common practice, no source): {}.", where, verdict));
}

}  // namespace

void find_above(const Sampling& sampling, const Limits& limits, const RuleSet& rules,
                std::vector<ItemFinding>& items) {
  const Placed& placed = sampling.placed();
  const double n = static_cast<double>(sampling.draws());
  for (ItemFinding& item : items) {
    const Sample sample = sampling.at_counter(item.run, item.at, Sight::seen);
    const double reach = 3 * item.ellipse95.semi_major;
    for (std::size_t f = 0; f < placed.features.size(); ++f) {
      const Feature& feature = placed.features[f];
      const auto zones = zones_of(feature, rules);
      if (zones.empty()) continue;
      double widest = 0;
      for (const Zone& zone : zones) widest = std::max(widest, zone.radius);
      if (distance_to(feature, plan(item.position)) > widest + reach) continue;
      const auto outline = edges(feature);
      if (outline.empty()) continue;
      std::vector<double> distances;
      for (std::size_t d = 0; d < sampling.draws(); ++d) {
        const PlanPoint p = plan(sample.points[d]) - sampling.shift(f, d);
        distances.push_back(holds(feature, p) ? 0 : nearest_on(outline, p).distance);
      }
      for (const Zone& zone : zones) {
        const auto inside =
            std::count_if(distances.begin(), distances.end(), [&](double x) { return x <= zone.radius; });
        const double probability = static_cast<double>(inside) / n;
        if (probability >= least_probability)
          item.above.push_back({f, zone.relation, probability, mean_of(distances), interval95(distances)});
      }
    }
    for (const Limits::Limit& limit : limits.all()) {
      if (placed.features[limit.feature].kind != FeatureKind::right_of_way) continue;
      std::size_t beyond = 0;
      for (std::size_t d = 0; d < sampling.draws(); ++d)
        beyond += limits.beyond(placed, limit, plan(sample.points[d]) - sampling.shift(limit.feature, d)) ? 1 : 0;
      const double probability = static_cast<double>(beyond) / n;
      if (probability < least_probability) continue;
      std::vector<double> distances;
      const auto outline = edges(placed.features[limit.feature]);
      for (const SitePoint& p : sample.points) distances.push_back(nearest_on(outline, plan(p)).distance);
      item.above.push_back({limit.feature, "beyond", probability, mean_of(distances), interval95(distances)});
    }
    for (const Above& above : item.above) {
      const Feature& feature = placed.features[above.feature];
      if (item.act == Act::none || feature.kind == FeatureKind::tree) continue;
      if (above.relation == "under" || is_utility(feature.kind))
        item.says.push_back(
            fmt::format("The spot lies {} {} ({}).", above.relation, the_name(feature), percent(above.probability)));
    }
    read_against_trees(placed, item);
    compare_material_change(sampling, limits, item);
  }
}

}  // namespace swingtie
