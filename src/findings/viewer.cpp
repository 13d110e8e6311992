#include <cmath>

#include "findings/geometry.hpp"
#include "findings/questions.hpp"
#include "measure/bearing.hpp"

namespace swingtie {
namespace {

std::optional<std::size_t> first_of(const Placed& placed, FeatureKind kind) {
  for (std::size_t i = 0; i < placed.features.size(); ++i)
    if (placed.features[i].kind == kind) return i;
  return std::nullopt;
}

/// The house that the lines start nearest to: a neighbour's may be drawn too.
std::optional<std::size_t> own_house(const Placed& placed) {
  std::optional<std::size_t> best;
  double least = 0;
  for (std::size_t i = 0; i < placed.features.size(); ++i) {
    if (placed.features[i].kind != FeatureKind::house) continue;
    double here = 0;
    for (const Run& run : placed.runs) here += distance_to(placed.features[i], run.access.at);
    if (!best || here < least) {
      best = i;
      least = here;
    }
  }
  return best;
}

}  // namespace

Viewer find_viewer(const Sampling& sampling, const std::vector<LineFinding>& lines) {
  const Placed& placed = sampling.placed();
  Viewer out;
  out.house = own_house(placed);
  std::optional<PlanPoint> centre;
  if (out.house)
    centre = middle(placed.features[*out.house]);
  else if (const auto lot = first_of(placed, FeatureKind::lot))
    centre = middle(placed.features[*lot]);

  for (const Feature& lot : placed.features) {
    if (lot.kind != FeatureKind::lot || !lot.street_edge || lot.corners.size() < 2 || !centre || !holds(lot, *centre))
      continue;
    const PlanPoint a = lot.corners[*lot.street_edge].point.at;
    const PlanPoint b = lot.corners[(*lot.street_edge + 1) % lot.corners.size()].point.at;
    PlanVector inward = right_of(b - a);
    if (dot(inward, *centre - a) < 0) inward = -inward;
    out.facing = azimuth(inward);
    out.from_street = true;
    return out;
  }
  if (centre) {
    for (const FeatureKind kind :
         {FeatureKind::curb, FeatureKind::right_of_way, FeatureKind::centerline, FeatureKind::main}) {
      std::optional<Nearest> nearest;
      for (const Feature& street : placed.features) {
        if (street.kind != kind || street.shape != GeometryKind::line) continue;
        const auto all = edges(street);
        if (all.empty()) continue;
        const Nearest here = nearest_on(all, *centre);
        if (!nearest || here.distance < nearest->distance) nearest = here;
      }
      if (!nearest || nearest->distance < 0.1) continue;
      out.facing = azimuth(nearest->foot, *centre);
      out.from_street = true;
      return out;
    }
  }
  for (const LineFinding& line : lines) {
    if (line.stations.size() < 2) continue;
    out.facing = azimuth(plan(line.stations.back().at), centre ? *centre : plan(line.stations.front().at));
    break;
  }
  return out;
}

}  // namespace swingtie
