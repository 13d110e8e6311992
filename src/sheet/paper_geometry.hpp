#pragma once

#include <array>
#include <vector>

#include "sheet/sheet.hpp"

namespace swingtie {

/// Plane geometry on the paper, millimetres, y down.

using Polyline = std::vector<PaperPoint>;

inline PaperPoint operator+(PaperPoint a, PaperPoint b) {
  return {a.x + b.x, a.y + b.y};
}
inline PaperPoint operator-(PaperPoint a, PaperPoint b) {
  return {a.x - b.x, a.y - b.y};
}
inline PaperPoint operator*(double k, PaperPoint a) {
  return {k * a.x, k * a.y};
}
inline double dot(PaperPoint a, PaperPoint b) {
  return a.x * b.x + a.y * b.y;
}
inline double cross(PaperPoint a, PaperPoint b) {
  return a.x * b.y - a.y * b.x;
}
double length(PaperPoint v);
double distance(PaperPoint a, PaperPoint b);
/// Unit vector, or (1, 0) for the null vector.
PaperPoint unit(PaperPoint v);
inline PaperPoint left_of(PaperPoint v) {
  return {v.y, -v.x};
}

inline double right(const PaperBox& b) {
  return b.x + b.width;
}
inline double bottom(const PaperBox& b) {
  return b.y + b.height;
}
inline PaperPoint centre(const PaperBox& b) {
  return {b.x + b.width / 2, b.y + b.height / 2};
}
/// Smaller (or larger, for a negative amount) by this much on every side.
PaperBox inset(const PaperBox& b, double by);
bool contains(const PaperBox& b, PaperPoint p);
bool overlap(const PaperBox& a, const PaperBox& b);
PaperBox bounds(const Polyline& points);
PaperBox joined(const PaperBox& a, const PaperBox& b);

/// The pieces of a line inside a box.
std::vector<Polyline> clip_line(const Polyline& line, const PaperBox& box);
/// The part of a ring inside a box; a ring cut in several may run along the edge of the box between them.
Polyline clip_ring(const Polyline& ring, const PaperBox& box);

/// Parallel lines across the rings' inside (even-odd), clipped to it.
/// @param angle  radians, of the lines, clockwise from the x axis
std::vector<std::array<PaperPoint, 2>> hatch(const std::vector<Polyline>& rings, double spacing, double angle);

double length(const Polyline& line);
struct PlaceOnLine {
  PaperPoint at;
  PaperPoint along;  ///< unit
};
/// The place this far along; beyond the ends, the end.
PlaceOnLine along(const Polyline& line, double distance);
/// The part of the line between two distances along it.
Polyline part(const Polyline& line, double from, double to);
/// The line moved sideways, positive to the left of its course as drawn (y down); mitred, sharp corners cut.
Polyline offset_line(const Polyline& line, double by);

double distance_to_segment(PaperPoint p, PaperPoint a, PaperPoint b);
double distance_to_line(PaperPoint p, const Polyline& line);
bool segments_cross(PaperPoint a, PaperPoint b, PaperPoint c, PaperPoint d);
/// True inside the ring, even-odd.
bool inside(PaperPoint p, const Polyline& ring);
double signed_area(const Polyline& ring);
/// The hull, in order, without repeated points.
Polyline convex_hull(Polyline points);

/// A rectangle that may be turned: the box of a label.
struct TurnedBox {
  PaperPoint centre;
  double half_width = 0, half_height = 0;
  double rotation = 0;  ///< radians, clockwise on the paper

  std::array<PaperPoint, 4> corners() const;
  PaperBox bounds() const;
  TurnedBox grown(double by) const { return {centre, half_width + by, half_height + by, rotation}; }
};
TurnedBox turned_box(const PaperBox& b);
bool overlap(const TurnedBox& a, const TurnedBox& b);
/// Common area, mm².
double overlap_area(const TurnedBox& a, const TurnedBox& b);
/// True when any part of the segment lies inside.
bool overlap(const TurnedBox& box, PaperPoint a, PaperPoint b);
bool contains(const TurnedBox& box, PaperPoint p);

/// A turned box asked many times whether a segment enters it: its angle is worked out once.
class SegmentProbe {
 public:
  explicit SegmentProbe(const TurnedBox& box);
  /// @param grown  by how much the box is larger on every side
  bool touches(PaperPoint a, PaperPoint b, double grown) const;

 private:
  PaperPoint seen(PaperPoint p) const;
  TurnedBox box_;
  double cosine_ = 1, sine_ = 0;
};
/// Point of the box's edge nearest to p.
PaperPoint nearest_on_edge(const TurnedBox& box, PaperPoint p);

}  // namespace swingtie
