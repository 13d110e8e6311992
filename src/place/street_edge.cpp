#include "place/street_edge.hpp"

#include <algorithm>
#include <limits>

#include "place/shapes.hpp"

namespace swingtie {

std::optional<std::size_t> street_edge(const Feature& lot, const std::vector<Feature>& features) {
  std::vector<const Polyline*> streets;
  for (const Feature& feature : features) {
    const bool street = feature.kind == FeatureKind::curb || feature.kind == FeatureKind::right_of_way ||
                        feature.kind == FeatureKind::centerline;
    if (!street || feature.shape != GeometryKind::line) continue;
    for (const Polyline& line : feature.lines) streets.push_back(&line);
  }
  if (streets.empty() || lot.shape != GeometryKind::area || lot.corners.size() < 3) return std::nullopt;

  constexpr int samples = 5;
  std::optional<std::size_t> best;
  double nearest = std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i < lot.corners.size(); ++i) {
    const PlanPoint a = lot.corners[i].point.at, b = lot.corners[(i + 1) % lot.corners.size()].point.at;
    if (distance(a, b) < 0.5) continue;  // a cut corner of a lot faces nothing
    for (const Polyline* street : streets) {
      double sum = 0;
      for (int k = 0; k <= samples; ++k)
        sum += distance_to(*street, a + (k / static_cast<double>(samples)) * (b - a));
      if (sum < nearest - 1e-9) {
        nearest = sum;
        best = i;
      }
    }
  }
  return best;
}

}  // namespace swingtie
