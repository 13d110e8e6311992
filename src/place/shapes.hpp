#pragma once

#include <optional>
#include <utility>
#include <vector>

#include "measure/plane.hpp"

namespace swingtie {

using Polyline = std::vector<PlanPoint>;
/// A closed polygon whose first vertex is not repeated.
using Ring = std::vector<PlanPoint>;

/// The area with sign, square metres, positive for a ring that runs counter-clockwise.
double signed_area(const Ring& ring);

/// Centre of gravity of the enclosed area; the mean of the vertices where the area is nil.
PlanPoint centroid(const Ring& ring);

/// Two edges of the ring that cross or touch although they are not neighbours, as indices of their first
/// vertices; nothing for a simple ring.
std::optional<std::pair<std::size_t, std::size_t>> crossing_edges(const Ring& ring);

/// True strictly inside; a point on the boundary may count either way.
bool holds(const Ring& ring, PlanPoint point);

double distance_to_segment(PlanPoint point, PlanPoint a, PlanPoint b);
/// Distance to a polyline of one vertex or more.
double distance_to(const Polyline& line, PlanPoint point);
/// Distance to the boundary of a ring.
double distance_to_ring(const Ring& ring, PlanPoint point);

double polyline_length(const Polyline& line);

/// A place on a polyline: on the segment that begins at vertex `segment`, a share `t` along it. `t` lies outside
/// [0, 1] only beyond the ends of the line.
struct OnPolyline {
  std::size_t segment = 0;
  double t = 0;
  double off = 0;  ///< distance of the point asked about from the line, metres
};
/// Foot of the perpendicular (or nearest vertex) of a point on a polyline of two vertices or more. The first and
/// last segments go on beyond the ends.
OnPolyline project(const Polyline& line, PlanPoint point);
/// The place a distance further along, negative for back; beyond the ends the end segments go on straight.
OnPolyline walk(const Polyline& line, OnPolyline from, double go);
PlanPoint point_on(const Polyline& line, OnPolyline place);

/// The parallel curve at a distance to the right (negative: left) of a polyline, its corners mitred. Segments that
/// the offset would turn round are dropped. Every vertex of the result names the vertex of `line` it came from.
struct ParallelVertex {
  PlanPoint at;
  std::size_t from = 0;
  PlanVector per_metre;  ///< how the vertex moves when the offset grows by a metre
};
std::vector<ParallelVertex> parallel(const Polyline& line, double right);

}  // namespace swingtie
