#include "findings/corners.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <vector>

#include "findings/geometry.hpp"
#include "findings/phrases.hpp"
#include "findings/statistics.hpp"
#include "measure/bearing.hpp"

namespace swingtie {
namespace {

/// A point in the viewer's own axes: how far to the right, how far away from the street.
struct Seen {
  double right = 0, away = 0;
};

Seen seen(const Viewer& viewer, PlanPoint p) {
  const PlanVector facing = direction(viewer.facing);
  const PlanVector v = p - PlanPoint{};
  return {dot(v, right_of(facing)), dot(v, facing)};
}

const char* street_word(const Viewer& viewer) {
  return viewer.from_street ? "street" : "main";
}

/// The viewer turned to the nearest of the four directions of the longest wall: an oblique house still has a front.
Viewer squared_to(const Feature& feature, Viewer viewer) {
  double longest = 0;
  Azimuth wall;
  for (const PlanSegment& edge : edges(feature)) {
    if (distance(edge.a, edge.b) <= longest + 1e-6) continue;
    longest = distance(edge.a, edge.b);
    wall = azimuth(edge.a, edge.b);
  }
  const double quarters = turn_between(wall, viewer.facing) / (pi / 2);
  viewer.facing = {wall.radians + std::round(quarters) * (pi / 2)};
  return viewer;
}

CornerWords of_area(const Placed& placed, const Feature& feature, std::size_t corner, const Viewer& from_street) {
  const Viewer viewer = squared_to(feature, from_street);
  // The four corners that lie farthest toward each diagonal have names that need no drawing.
  static constexpr const char* names[4] = {"front left", "front right", "back left", "back right"};
  std::size_t extreme[4] = {0, 0, 0, 0};
  double best[4] = {-1e300, -1e300, -1e300, -1e300}, second[4] = {-1e300, -1e300, -1e300, -1e300};
  for (std::size_t i = 0; i < feature.corners.size(); ++i) {
    const Seen p = seen(viewer, feature.corners[i].point.at);
    for (int q = 0; q < 4; ++q) {
      const double score = (q % 2 == 1 ? p.right : -p.right) + (q >= 2 ? p.away : -p.away);
      if (score > best[q]) {
        second[q] = best[q];
        best[q] = score;
        extreme[q] = i;
      } else {
        second[q] = std::max(second[q], score);
      }
    }
  }
  const std::string name = the_name(feature);
  for (int q = 0; q < 4; ++q) {
    // Half a metre ahead of the next one, or two people would choose differently.
    if (extreme[q] != corner || best[q] - second[q] < 0.5) continue;
    return {fmt::format("the {} corner of {}", names[q], name), true};
  }
  std::vector<std::string> from;
  for (const int q : {0, 1, 2, 3}) {
    if (from.size() == 2) break;
    if (extreme[q] == corner || best[q] - second[q] < 0.5) continue;
    from.push_back(fmt::format(
        "{} from its {} corner",
        tape(distance(feature.corners[corner].point.at, feature.corners[extreme[q]].point.at), placed.unit),
        names[q]));
  }
  // No corner stands out on a round shape: there the job's own name is all there is.
  const std::string& own = feature.corners[corner].name;
  return {from.empty() ? fmt::format("the corner {} of {}", own, name)
                       : fmt::format("the corner of {}, {}", name, list_of(from)),
          false};
}

CornerWords of_line(const Placed& placed, const Feature& feature, std::size_t corner, const Viewer& viewer) {
  const std::string name = the_name(feature);
  const std::size_t last = feature.corners.size() - 1;
  const Seen a = seen(viewer, feature.corners.front().point.at), b = seen(viewer, feature.corners[last].point.at);
  const double right = b.right - a.right, away = b.away - a.away;
  if (corner == 0 || corner == last) {
    const bool first = corner == 0;
    if (std::abs(right) > 1.5 * std::abs(away))
      return {fmt::format("the {} end of {}", (right > 0) == first ? "left" : "right", name), true};
    if (std::abs(away) > 1.5 * std::abs(right))
      return {(away > 0) == first ? fmt::format("the {} end of {}", street_word(viewer), name)
                                  : fmt::format("the far end of {}", name),
              true};
    return {fmt::format("the {} {} end of {}", (right > 0) == first ? "left" : "right",
                        (away > 0) == first ? "front" : "back", name),
            true};
  }
  const PlanPoint p = feature.corners[corner].point.at;
  return {fmt::format("the corner of {}, {} and {} from its two ends", name,
                      tape(distance(p, feature.corners.front().point.at), placed.unit),
                      tape(distance(p, feature.corners[last].point.at), placed.unit)),
          false};
}

}  // namespace

CornerWords corner_words(const Placed& placed, const Feature& feature, std::size_t corner, const Viewer& viewer) {
  switch (feature.shape) {
    case GeometryKind::point:
      return {
          feature.kind == FeatureKind::tree ? "the middle of the trunk of " + the_tree(feature) : the_name(feature),
          true};
    case GeometryKind::line:
      return of_line(placed, feature, corner, viewer);
    case GeometryKind::area:
      break;
  }
  return of_area(placed, feature, corner, viewer);
}

std::string toward_words(const Viewer& viewer, PlanVector way) {
  const double turn = turn_between(viewer.facing, azimuth(way));
  if (std::abs(turn) <= pi / 4) return fmt::format("away from the {}", street_word(viewer));
  if (std::abs(turn) >= 3 * pi / 4) return fmt::format("toward the {}", street_word(viewer));
  return fmt::format("to the {} (facing the house from the {})", turn > 0 ? "right" : "left", street_word(viewer));
}

std::string side_words(const Viewer& viewer, PlanVector way) {
  const double turn = turn_between(viewer.facing, azimuth(way));
  if (std::abs(turn) <= pi / 4) return fmt::format("on the side away from the {}", street_word(viewer));
  if (std::abs(turn) >= 3 * pi / 4) return fmt::format("on the {} side", street_word(viewer));
  return fmt::format("on the {} (facing the house from the {})", turn > 0 ? "right" : "left", street_word(viewer));
}

std::string course_words(const Viewer& viewer, PlanVector way) {
  const double turn = turn_between(viewer.facing, azimuth(way));
  const char* hand = turn > 0 ? "right" : "left";
  const double off = std::abs(turn);
  if (off <= pi / 8) return fmt::format("away from the {}", street_word(viewer));
  if (off >= 7 * pi / 8) return fmt::format("toward the {}", street_word(viewer));
  const std::string side = fmt::format("to the {} (facing the house from the {})", hand, street_word(viewer));
  if (off > 3 * pi / 8 && off < 5 * pi / 8) return side;
  return fmt::format("{} the {} and {}", off < pi / 2 ? "away from" : "toward", street_word(viewer), side);
}

}  // namespace swingtie
