#include "route/aim.hpp"

#include <algorithm>
#include <cmath>

namespace swingtie {

Foot foot_of(PlanPoint p, const std::vector<Known>& known) {
  const double before = distance(p, known.front().at), after = distance(p, known.back().at);
  Foot foot{known.back().u + after, after};
  if (known.size() > 1 && before < after) foot = {known.front().u - before, before};
  for (std::size_t i = 0; i + 1 < known.size(); ++i) {
    const PlanVector along = known[i + 1].at - known[i].at;
    const double t = dot(p - known[i].at, along) / std::max(dot(along, along), 1e-9);
    if (t < 0 || t > 1) continue;
    const double off = distance(p, known[i].at + t * along);
    if (off < foot.off) foot = {known[i].u + t * (known[i + 1].u - known[i].u), off};
  }
  return foot;
}

double turn_to_meet(const Chain& chain, double about, const Eigen::Vector2d& laid_from, PlanPoint read_from,
                    const std::vector<Known>& targets, double nearest, double furthest) {
  double cross = 0, along = 0;
  int met = 0;
  for (const Known& target : targets) {
    const double off = target.u - about;
    if (nearest > 0 && off < nearest) continue;
    if (std::abs(off) > furthest && met >= 2) continue;
    const Eigen::Vector2d laid = chain.point(target.u).at.head<2>() - laid_from;
    const PlanVector a{laid.x(), laid.y()};
    cross += clockwise_cross(a, target.at - read_from);
    along += dot(a, target.at - read_from);
    ++met;
  }
  return cross != 0 || along != 0 ? std::atan2(cross, along) : 0;
}

std::vector<std::vector<PlanPoint>> polylines(const Feature& feature) {
  if (feature.shape == GeometryKind::point) return {{feature.point}};
  if (feature.shape == GeometryKind::line) return feature.lines;
  std::vector<std::vector<PlanPoint>> edges;
  for (const AreaPart& part : feature.areas) {
    edges.push_back(part.outer);
    if (!part.outer.empty()) edges.back().push_back(part.outer.front());
  }
  return edges;
}

std::optional<PlanPoint> end_hint(const Placed& placed, std::size_t line, PlanPoint from) {
  if (const auto* point = std::get_if<PlacedPoint>(&placed.lines[line].end)) return point->at;
  if (const auto* feature = std::get_if<Line::OnFeatureEnd>(&placed.lines[line].end)) {
    std::optional<PlanPoint> nearest;
    for (const auto& polyline : polylines(placed.features[feature->feature]))
      for (std::size_t i = 0; i < polyline.size(); ++i) {
        PlanPoint p = polyline[i];
        if (i + 1 < polyline.size()) {
          const PlanVector along = polyline[i + 1] - p;
          p = p + std::clamp(dot(from - p, along) / std::max(dot(along, along), 1e-12), 0.0, 1.0) * along;
        }
        if (!nearest || distance(p, from) < distance(*nearest, from)) nearest = p;
      }
    return nearest;
  }
  return std::nullopt;
}

}  // namespace swingtie
