#include "findings/geometry.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <limits>

namespace swingtie {
namespace {

void add_ring(std::vector<PlanSegment>& out, const std::vector<PlanPoint>& ring) {
  for (std::size_t i = 0; i < ring.size(); ++i) out.push_back({ring[i], ring[(i + 1) % ring.size()]});
}

bool ring_holds(std::span<const PlanPoint> ring, PlanPoint p) {
  bool inside = false;
  for (std::size_t i = 0, j = ring.size() - 1; i < ring.size(); j = i++) {
    const PlanPoint a = ring[i], b = ring[j];
    if ((a.n > p.n) != (b.n > p.n) && p.e < a.e + (p.n - a.n) * (b.e - a.e) / (b.n - a.n)) inside = !inside;
  }
  return inside;
}

PlanPoint ring_centroid(const std::vector<PlanPoint>& ring) {
  double twice_area = 0, de = 0, dn = 0;
  const PlanPoint o = ring.front();
  for (std::size_t i = 0; i < ring.size(); ++i) {
    const PlanVector a = ring[i] - o, b = ring[(i + 1) % ring.size()] - o;
    const double cross = a.de * b.dn - a.dn * b.de;
    twice_area += cross;
    de += (a.de + b.de) * cross;
    dn += (a.dn + b.dn) * cross;
  }
  if (std::abs(twice_area) < 1e-9) return o;
  return o + PlanVector{de / (3 * twice_area), dn / (3 * twice_area)};
}

}  // namespace

Nearest nearest_on(const PlanSegment& segment, PlanPoint p) {
  const PlanVector along = segment.b - segment.a;
  const double square = dot(along, along);
  const double share = square > 0 ? std::clamp(dot(p - segment.a, along) / square, 0.0, 1.0) : 0.0;
  const PlanPoint foot = segment.a + share * along;
  // Not std::hypot: a lot is never 1e150 m wide, and this is asked a million times.
  const PlanVector away = p - foot;
  return {std::sqrt(dot(away, away)), foot, 0, share};
}

Nearest nearest_on(std::span<const PlanSegment> segments, PlanPoint p) {
  assert(!segments.empty());
  Nearest best;
  best.distance = std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i < segments.size(); ++i) {
    Nearest here = nearest_on(segments[i], p);
    if (here.distance < best.distance) {
      here.segment = i;
      best = here;
    }
  }
  return best;
}

std::vector<PlanSegment> edges(const Feature& feature) {
  std::vector<PlanSegment> out;
  switch (feature.shape) {
    case GeometryKind::point:
      out.push_back({feature.point, feature.point});
      break;
    case GeometryKind::line:
      for (const auto& part : feature.lines)
        for (std::size_t i = 1; i < part.size(); ++i) out.push_back({part[i - 1], part[i]});
      break;
    case GeometryKind::area:
      for (const auto& part : feature.areas) {
        add_ring(out, part.outer);
        for (const auto& hole : part.holes) add_ring(out, hole);
      }
      break;
  }
  return out;
}

bool holds(const Feature& feature, PlanPoint p) {
  if (feature.shape != GeometryKind::area) return false;
  for (const auto& part : feature.areas) {
    if (!ring_holds(part.outer, p)) continue;
    const bool in_hole =
        std::any_of(part.holes.begin(), part.holes.end(), [&](const auto& hole) { return ring_holds(hole, p); });
    if (!in_hole) return true;
  }
  return false;
}

double distance_to(const Feature& feature, PlanPoint p) {
  if (feature.shape == GeometryKind::point) return distance(feature.point, p);
  if (holds(feature, p)) return 0;
  const auto all = edges(feature);
  return all.empty() ? std::numeric_limits<double>::infinity() : nearest_on(all, p).distance;
}

PlanPoint middle(const Feature& feature) {
  if (feature.shape == GeometryKind::area && !feature.areas.empty() && !feature.areas.front().outer.empty())
    return ring_centroid(feature.areas.front().outer);
  if (feature.shape == GeometryKind::line && !feature.lines.empty() && !feature.lines.front().empty()) {
    const auto& part = feature.lines.front();
    double whole = 0;
    for (std::size_t i = 1; i < part.size(); ++i) whole += distance(part[i - 1], part[i]);
    double left = whole / 2;
    for (std::size_t i = 1; i < part.size(); ++i) {
      const double step = distance(part[i - 1], part[i]);
      if (left <= step && step > 0) return part[i - 1] + (left / step) * (part[i] - part[i - 1]);
      left -= step;
    }
    return part.back();
  }
  return feature.point;
}

std::optional<std::array<double, 2>> crossing_of(const PlanSegment& one, const PlanSegment& other) {
  const PlanVector u = one.b - one.a, v = other.b - other.a;
  const double a0 = clockwise_cross(v, one.a - other.a), a1 = clockwise_cross(v, one.b - other.a);
  if ((a0 >= 0) == (a1 >= 0)) return std::nullopt;
  const double b0 = clockwise_cross(u, other.a - one.a), b1 = clockwise_cross(u, other.b - one.a);
  if ((b0 >= 0) == (b1 >= 0)) return std::nullopt;
  return std::array<double, 2>{a0 / (a0 - a1), b0 / (b0 - b1)};
}

std::array<PlanPoint, 4> rectangle(PlanPoint centre, Azimuth along, double length, double width) {
  const PlanVector ahead = (length / 2) * direction(along), right = (width / 2) * right_of(direction(along));
  return {centre - ahead + right, centre + ahead + right, centre + ahead - right, centre - ahead - right};
}

bool holds(std::span<const PlanPoint> convex_ring, PlanPoint p) {
  return ring_holds(convex_ring, p);
}

}  // namespace swingtie
