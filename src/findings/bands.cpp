#include "findings/bands.hpp"

#include <algorithm>
#include <boost/geometry.hpp>
#include <boost/geometry/geometries/multi_polygon.hpp>
#include <boost/geometry/geometries/point_xy.hpp>
#include <boost/geometry/geometries/polygon.hpp>
#include <cmath>

#include "measure/bearing.hpp"

namespace swingtie {
namespace {

namespace bg = boost::geometry;
using Point = bg::model::d2::point_xy<double>;
using Polygon = bg::model::polygon<Point, false>;  // counter-clockwise, closed
using MultiPolygon = bg::model::multi_polygon<Polygon>;

/// Everything is computed about an origin nearby: grid coordinates of 10^6 m would cost six digits.
struct Local {
  PlanPoint origin;
  Point operator()(PlanPoint p) const { return {p.e - origin.e, p.n - origin.n}; }
};

Polygon hull_of(const Disc& a, const Disc& b, const Local& local, double tolerance) {
  bg::model::multi_point<Point> points;
  for (const Disc& disc : {a, b}) {
    // The chord of a circle leaves it by r (1 - cos(half the step)).
    const double step = 2 * std::acos(std::clamp(1 - tolerance / std::max(disc.radius, 2 * tolerance), 0.0, 1.0));
    const int corners = std::clamp(static_cast<int>(std::ceil(2 * pi / step)), 8, 64);
    for (int i = 0; i < corners; ++i) {
      const Azimuth way{2 * pi * i / corners};
      points.push_back(local(disc.centre + disc.radius * direction(way)));
    }
  }
  Polygon hull;
  bg::convex_hull(points, hull);
  return hull;
}

/// Pairs first, so that each union is of small things.
MultiPolygon unite(std::vector<MultiPolygon> parts) {
  while (parts.size() > 1) {
    std::vector<MultiPolygon> next;
    for (std::size_t i = 0; i + 1 < parts.size(); i += 2) {
      MultiPolygon both;
      bg::union_(parts[i], parts[i + 1], both);
      next.push_back(std::move(both));
    }
    if (parts.size() % 2 == 1) next.push_back(std::move(parts.back()));
    parts = std::move(next);
  }
  return parts.empty() ? MultiPolygon{} : std::move(parts.front());
}

/// Discs that lie where their neighbours' sweep would put them anyway are left out.
std::vector<Disc> thinned(const std::vector<Disc>& row, double tolerance) {
  std::vector<Disc> out{row.front()};
  std::size_t kept = 0;
  for (std::size_t i = 1; i + 1 < row.size(); ++i) {
    const Disc &a = row[kept], &b = row[i + 1];
    const double whole = distance(a.centre, b.centre);
    bool straight = whole > 0;
    for (std::size_t j = kept + 1; straight && j <= i; ++j) {
      const double t = dot(row[j].centre - a.centre, b.centre - a.centre) / (whole * whole);
      const PlanPoint on = a.centre + t * (b.centre - a.centre);
      straight = t >= 0 && t <= 1 && distance(on, row[j].centre) < tolerance &&
                 std::abs(a.radius + t * (b.radius - a.radius) - row[j].radius) < tolerance;
    }
    if (!straight) {
      out.push_back(row[i]);
      kept = i;
    }
  }
  out.push_back(row.back());
  return out;
}

void add_ring(Region& out, const Polygon::ring_type& ring, const Local& local) {
  std::vector<PlanPoint> points;
  for (std::size_t i = 0; i + 1 < ring.size(); ++i)
    points.push_back({local.origin.e + ring[i].x(), local.origin.n + ring[i].y()});
  if (points.size() >= 3) out.push_back(std::move(points));
}

}  // namespace

Region swept(const std::vector<std::vector<Disc>>& rows, const std::vector<std::vector<PlanPoint>>& rings,
             double tolerance) {
  Local local;
  if (!rows.empty() && !rows.front().empty())
    local.origin = rows.front().front().centre;
  else if (!rings.empty() && !rings.front().empty())
    local.origin = rings.front().front();

  std::vector<MultiPolygon> parts;
  for (const auto& row : rows) {
    if (row.size() < 2) continue;
    const auto few = thinned(row, tolerance / 2);
    for (std::size_t i = 1; i < few.size(); ++i) parts.push_back({hull_of(few[i - 1], few[i], local, tolerance / 2)});
  }
  for (const auto& ring : rings) {
    if (ring.size() < 3) continue;
    Polygon polygon;
    for (const PlanPoint p : ring) bg::append(polygon.outer(), local(p));
    bg::correct(polygon);
    parts.push_back({std::move(polygon)});
  }
  MultiPolygon whole = unite(std::move(parts));
  std::stable_sort(whole.begin(), whole.end(),
                   [](const Polygon& a, const Polygon& b) { return bg::area(a) > bg::area(b); });
  Region out;
  for (const Polygon& polygon : whole) add_ring(out, polygon.outer(), local);
  for (const Polygon& polygon : whole)
    for (const auto& hole : polygon.inners()) add_ring(out, hole, local);
  return out;
}

}  // namespace swingtie
