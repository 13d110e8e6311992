#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "findings/geometry.hpp"
#include "findings/phrases.hpp"
#include "findings/questions.hpp"

namespace swingtie {

std::vector<TreeFinding> find_trees(const Sampling& sampling, const RuleSet& rules) {
  const Placed& placed = sampling.placed();
  const auto& draws = sampling.posterior().draws;
  const LengthUnit unit = placed.unit;
  // Roots of a tree farther off than this concern nobody: the largest root zone of any published rule.
  constexpr double far = 15.0;
  std::vector<TreeFinding> out;
  for (std::size_t f = 0; f < placed.features.size(); ++f) {
    const Feature& tree = placed.features[f];
    if (tree.kind != FeatureKind::tree || tree.shape != GeometryKind::point) continue;
    for (std::size_t l = 0; l < placed.lines.size(); ++l) {
      std::vector<double> distances, stations;
      for (std::size_t d = 0; d < draws.size(); ++d) {
        const auto& course = draws[d].lines[l];
        if (course.vertices.size() < 2) break;
        const PlanPoint trunk = tree.point + sampling.shift(f, d);
        Nearest best{1e30, {}, 0, 0};
        for (std::size_t i = 1; i < course.vertices.size(); ++i) {
          const Nearest here = nearest_on(PlanSegment{plan(course.vertices[i - 1]), plan(course.vertices[i])}, trunk);
          if (here.distance < best.distance) {
            best = here;
            best.segment = i;
          }
        }
        distances.push_back(best.distance);
        stations.push_back(course.stations[best.segment - 1] +
                           best.share * (course.stations[best.segment] - course.stations[best.segment - 1]));
      }
      if (distances.empty()) continue;
      TreeFinding finding;
      finding.feature = f;
      finding.line = l;
      finding.distance = mean_of(distances);
      finding.distance95 = interval95(distances);
      finding.nearest = {mean_of(stations)};
      finding.root_zone = rules.root_zone(tree.trunk);
      if (finding.distance95.low > std::max(far, finding.root_zone)) continue;
      const auto inside =
          std::count_if(distances.begin(), distances.end(), [&](double x) { return x <= finding.root_zone; });
      finding.inside_probability = static_cast<double>(inside) / static_cast<double>(distances.size());
      const auto closer =
          std::count_if(distances.begin(), distances.end(), [&](double x) { return x < rules.tree_distance; });
      finding.closer_probability = static_cast<double>(closer) / static_cast<double>(distances.size());
      finding.says = fmt::format("{}: {} passes {} from the middle of the trunk, nearest {} along", the_tree(tree),
                                 line_name(placed, l), with_interval(finding.distance, finding.distance95, unit),
                                 decimal(finding.nearest.metres, unit));
      if (finding.root_zone > 0)
        finding.says +=
            fmt::format("; there it lies inside the root zone of {} with {} ({})", decimal(finding.root_zone, unit),
                        percent(finding.inside_probability), rules.root_zones.front().cite);
      else
        finding.says += "; its trunk was not measured, so its root zone is not known";
      if (rules.tree_distance > 0 && finding.distance95.low < rules.tree_distance)
        finding.says += fmt::format("; {} than the {} kept between trees and sewers ({})",
                                    finding.distance95.high < rules.tree_distance ? "closer" : "perhaps closer",
                                    decimal(rules.tree_distance, unit), rules.tree_cite);
      finding.says += ".";
      out.push_back(std::move(finding));
    }
  }
  return out;
}

}  // namespace swingtie
