#pragma once

#include <array>
#include <optional>
#include <span>
#include <vector>

#include "place/placed.hpp"

namespace swingtie {

struct PlanSegment {
  PlanPoint a, b;
};

/// Nearest point of something to a point.
struct Nearest {
  double distance = 0;  ///< metres
  PlanPoint foot;
  std::size_t segment = 0;
  double share = 0;  ///< of the segment, from a (0) to b (1)
};

Nearest nearest_on(const PlanSegment& segment, PlanPoint p);
/// Of several segments; `segments` is not empty.
Nearest nearest_on(std::span<const PlanSegment> segments, PlanPoint p);

/// Every edge of a line or an area, rings closed; a point gives one edge of length zero.
std::vector<PlanSegment> edges(const Feature& feature);

/// Inside the outline and outside its holes. False for points and lines.
bool holds(const Feature& feature, PlanPoint p);

/// Distance to a feature's edge, trunk or line on the plan; 0 inside an area.
double distance_to(const Feature& feature, PlanPoint p);

/// Middle of a feature: the point, the half-way point of a line, the centroid of an area.
PlanPoint middle(const Feature& feature);

/// Whether two segments cross, ends shared by neighbours counted once; where on each (0 to 1).
std::optional<std::array<double, 2>> crossing_of(const PlanSegment& one, const PlanSegment& other);

/// Corners of a rectangle, counter-clockwise as seen from above: back right, front right, front left, back left,
/// front being toward `along`.
std::array<PlanPoint, 4> rectangle(PlanPoint centre, Azimuth along, double length, double width);

bool holds(std::span<const PlanPoint> convex_ring, PlanPoint p);

/// Share of a rectangle's area that fulfils a condition, by a regular grid of 24 by 24 points.
template <class Condition>
double share_of(const std::array<PlanPoint, 4>& quad, Condition&& condition) {
  constexpr int n = 24;
  int inside = 0;
  for (int i = 0; i < n; ++i) {
    for (int j = 0; j < n; ++j) {
      const double u = (i + 0.5) / n, v = (j + 0.5) / n;
      inside += condition(quad[0] + u * (quad[1] - quad[0]) + v * (quad[3] - quad[0])) ? 1 : 0;
    }
  }
  return static_cast<double>(inside) / (n * n);
}

}  // namespace swingtie
