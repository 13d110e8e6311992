#include "place/shapes.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace swingtie {
namespace {

/// Positive when c lies to the left of the way from a to b.
double left_turn(PlanPoint a, PlanPoint b, PlanPoint c) {
  return -clockwise_cross(b - a, c - a);
}

bool within_box(PlanPoint a, PlanPoint b, PlanPoint p) {
  return std::min(a.e, b.e) <= p.e && p.e <= std::max(a.e, b.e) && std::min(a.n, b.n) <= p.n &&
         p.n <= std::max(a.n, b.n);
}

bool meet(PlanPoint a, PlanPoint b, PlanPoint c, PlanPoint d) {
  const double abc = left_turn(a, b, c), abd = left_turn(a, b, d);
  const double cda = left_turn(c, d, a), cdb = left_turn(c, d, b);
  if (((abc > 0 && abd < 0) || (abc < 0 && abd > 0)) && ((cda > 0 && cdb < 0) || (cda < 0 && cdb > 0))) return true;
  return (abc == 0 && within_box(a, b, c)) || (abd == 0 && within_box(a, b, d)) ||
         (cda == 0 && within_box(c, d, a)) || (cdb == 0 && within_box(c, d, b));
}

}  // namespace

double signed_area(const Ring& ring) {
  if (ring.empty()) return 0;
  double twice = 0;
  // About the first vertex, so that large coordinates cost no digits.
  for (std::size_t i = 1; i + 1 < ring.size(); ++i) twice += left_turn(ring[0], ring[i], ring[i + 1]);
  return twice / 2;
}

PlanPoint centroid(const Ring& ring) {
  const PlanPoint origin = ring.front();
  const double area = signed_area(ring);
  PlanVector sum;
  if (std::abs(area) < 1e-9) {
    for (const PlanPoint p : ring) sum = sum + (p - origin);
    return origin + (1.0 / static_cast<double>(ring.size())) * sum;
  }
  for (std::size_t i = 1; i + 1 < ring.size(); ++i) {
    const double twice = left_turn(origin, ring[i], ring[i + 1]);
    sum = sum + (twice / 6) * ((ring[i] - origin) + (ring[i + 1] - origin));
  }
  return origin + (1 / area) * sum;
}

std::optional<std::pair<std::size_t, std::size_t>> crossing_edges(const Ring& ring) {
  const std::size_t n = ring.size();
  // Edges in the order of their smallest easting: only those whose eastings overlap can meet.
  struct Edge {
    double low, high;
    std::size_t index;
  };
  std::vector<Edge> edges;
  for (std::size_t i = 0; i < n; ++i) {
    const PlanPoint a = ring[i], b = ring[(i + 1) % n];
    edges.push_back({std::min(a.e, b.e), std::max(a.e, b.e), i});
  }
  std::stable_sort(edges.begin(), edges.end(), [](const Edge& a, const Edge& b) { return a.low < b.low; });
  for (std::size_t k = 0; k < n; ++k) {
    for (std::size_t m = k + 1; m < n && edges[m].low <= edges[k].high; ++m) {
      const auto [i, j] = std::minmax(edges[k].index, edges[m].index);
      const bool neighbours = j - i == 1 || (i == 0 && j == n - 1);
      if (neighbours) continue;
      if (meet(ring[i], ring[i + 1], ring[j], ring[(j + 1) % n])) return std::pair{i, j};
    }
  }
  return std::nullopt;
}

bool holds(const Ring& ring, PlanPoint point) {
  bool inside = false;
  for (std::size_t i = 0, j = ring.size() - 1; i < ring.size(); j = i++) {
    const PlanPoint a = ring[i], b = ring[j];
    if ((a.n > point.n) == (b.n > point.n)) continue;
    const double e = a.e + (point.n - a.n) / (b.n - a.n) * (b.e - a.e);
    if (point.e < e) inside = !inside;
  }
  return inside;
}

double distance_to_segment(PlanPoint point, PlanPoint a, PlanPoint b) {
  const PlanVector ab = b - a;
  const double squared = dot(ab, ab);
  const double t = squared > 0 ? std::clamp(dot(point - a, ab) / squared, 0.0, 1.0) : 0.0;
  return distance(point, a + t * ab);
}

double distance_to(const Polyline& line, PlanPoint point) {
  double nearest = distance(line.front(), point);
  for (std::size_t i = 0; i + 1 < line.size(); ++i) {
    nearest = std::min(nearest, distance_to_segment(point, line[i], line[i + 1]));
  }
  return nearest;
}

double distance_to_ring(const Ring& ring, PlanPoint point) {
  return std::min(distance_to(ring, point), distance_to_segment(point, ring.back(), ring.front()));
}

double polyline_length(const Polyline& line) {
  double sum = 0;
  for (std::size_t i = 0; i + 1 < line.size(); ++i) sum += distance(line[i], line[i + 1]);
  return sum;
}

OnPolyline project(const Polyline& line, PlanPoint point) {
  OnPolyline nearest{0, 0, std::numeric_limits<double>::infinity()};
  const std::size_t last = line.size() - 2;
  for (std::size_t i = 0; i <= last; ++i) {
    const PlanVector ab = line[i + 1] - line[i];
    const double squared = dot(ab, ab);
    if (squared == 0) continue;
    const double t =
        std::clamp(dot(point - line[i], ab) / squared, i == 0 ? -std::numeric_limits<double>::infinity() : 0.0,
                   i == last ? std::numeric_limits<double>::infinity() : 1.0);
    const double off = distance(point, line[i] + t * ab);
    if (off < nearest.off) nearest = {i, t, off};
  }
  return nearest;
}

OnPolyline walk(const Polyline& line, OnPolyline from, double go) {
  const std::size_t last = line.size() - 2;
  std::size_t segment = from.segment;
  double at = from.t * distance(line[segment], line[segment + 1]) + go;
  while (at < 0 && segment > 0) {
    --segment;
    at += distance(line[segment], line[segment + 1]);
  }
  while (segment < last && at > distance(line[segment], line[segment + 1])) {
    at -= distance(line[segment], line[segment + 1]);
    ++segment;
  }
  return {segment, at / distance(line[segment], line[segment + 1]), 0};
}

PlanPoint point_on(const Polyline& line, OnPolyline place) {
  return line[place.segment] + place.t * (line[place.segment + 1] - line[place.segment]);
}

std::vector<ParallelVertex> parallel(const Polyline& line, double right) {
  struct Side {
    std::size_t a, b;
    PlanVector along;
  };
  std::vector<Side> sides;
  for (std::size_t i = 0; i + 1 < line.size(); ++i) {
    const PlanVector v = line[i + 1] - line[i];
    if (length(v) > 0) sides.push_back({i, i + 1, (1 / length(v)) * v});
  }
  // The corner where two offset sides meet: at + right * (n1 + n2) / (1 + n1 . n2).
  auto mitre = [](const Side& before, const Side& after) {
    const PlanVector n1 = right_of(before.along), n2 = right_of(after.along);
    return (1 / std::max(1 + dot(n1, n2), 0.05)) * (n1 + n2);
  };
  auto vertices = [&] {
    std::vector<ParallelVertex> result;
    for (std::size_t i = 0; i <= sides.size(); ++i) {
      const bool first = i == 0, end = i == sides.size();
      const std::size_t vertex = end ? sides.back().b : sides[i].a;
      const PlanVector per_metre = first ? right_of(sides[0].along)
                                   : end ? right_of(sides.back().along)
                                         : mitre(sides[i - 1], sides[i]);
      PlanPoint at = line[vertex] + right * per_metre;
      if (!first && !end && sides[i - 1].b != sides[i].a) {
        // A side between these two was dropped: their offset lines cross elsewhere.
        const Side &p = sides[i - 1], &q = sides[i];
        const PlanPoint a = line[p.a] + right * right_of(p.along), c = line[q.a] + right * right_of(q.along);
        const double turn = clockwise_cross(p.along, q.along);
        if (std::abs(turn) > 1e-9) at = a + (clockwise_cross(c - a, q.along) / turn) * p.along;
      }
      result.push_back({at, vertex, per_metre});
    }
    return result;
  };
  while (sides.size() > 1) {
    const auto result = vertices();
    std::size_t turned = sides.size();
    for (std::size_t i = 0; i < sides.size(); ++i) {
      if (dot(result[i + 1].at - result[i].at, sides[i].along) <= 0) turned = std::min(turned, i);
    }
    if (turned == sides.size()) return result;
    sides.erase(sides.begin() + static_cast<std::ptrdiff_t>(turned));
  }
  return vertices();
}

}  // namespace swingtie
