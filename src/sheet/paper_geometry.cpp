#include "sheet/paper_geometry.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace swingtie {

double length(PaperPoint v) {
  return std::sqrt(v.x * v.x + v.y * v.y);
}
double distance(PaperPoint a, PaperPoint b) {
  return length(a - b);
}

PaperPoint unit(PaperPoint v) {
  const double l = length(v);
  return l > 0 ? PaperPoint{v.x / l, v.y / l} : PaperPoint{1, 0};
}

PaperBox inset(const PaperBox& b, double by) {
  return {b.x + by, b.y + by, b.width - 2 * by, b.height - 2 * by};
}

bool contains(const PaperBox& b, PaperPoint p) {
  return p.x >= b.x && p.x <= right(b) && p.y >= b.y && p.y <= bottom(b);
}

bool overlap(const PaperBox& a, const PaperBox& b) {
  return a.x < right(b) && b.x < right(a) && a.y < bottom(b) && b.y < bottom(a);
}

PaperBox bounds(const Polyline& points) {
  constexpr double far = std::numeric_limits<double>::infinity();
  double left = far, top = far, right_edge = -far, bottom_edge = -far;
  for (const PaperPoint p : points) {
    left = std::min(left, p.x);
    top = std::min(top, p.y);
    right_edge = std::max(right_edge, p.x);
    bottom_edge = std::max(bottom_edge, p.y);
  }
  if (points.empty()) return {};
  return {left, top, right_edge - left, bottom_edge - top};
}

PaperBox joined(const PaperBox& a, const PaperBox& b) {
  const double left = std::min(a.x, b.x), top = std::min(a.y, b.y);
  return {left, top, std::max(right(a), right(b)) - left, std::max(bottom(a), bottom(b)) - top};
}

namespace {

/// Liang and Barsky: the share of a segment inside a box, or false.
bool clip_segment(const PaperBox& box, PaperPoint a, PaperPoint b, double& from, double& to) {
  from = 0;
  to = 1;
  const PaperPoint d = b - a;
  const std::array<std::array<double, 2>, 4> edges = {
      {{-d.x, a.x - box.x}, {d.x, right(box) - a.x}, {-d.y, a.y - box.y}, {d.y, bottom(box) - a.y}}};
  for (const auto& [p, q] : edges) {
    if (p == 0) {
      if (q < 0) return false;
    } else if (p < 0) {
      from = std::max(from, q / p);
    } else {
      to = std::min(to, q / p);
    }
  }
  return from < to;
}

}  // namespace

std::vector<Polyline> clip_line(const Polyline& line, const PaperBox& box) {
  std::vector<Polyline> out;
  bool open = false;
  for (std::size_t i = 0; i + 1 < line.size(); ++i) {
    double from = 0, to = 1;
    if (!clip_segment(box, line[i], line[i + 1], from, to)) {
      open = false;
      continue;
    }
    const PaperPoint d = line[i + 1] - line[i];
    if (!open || from > 0) out.push_back({line[i] + from * d});
    out.back().push_back(to < 1 ? line[i] + to * d : line[i + 1]);
    open = to >= 1;
  }
  return out;
}

Polyline clip_ring(const Polyline& ring, const PaperBox& box) {
  Polyline in = ring;
  const auto against = [&](auto is_in, auto cut) {
    Polyline out;
    for (std::size_t i = 0; i < in.size(); ++i) {
      const PaperPoint a = in[i], b = in[(i + 1) % in.size()];
      if (is_in(a)) out.push_back(a);
      if (is_in(a) != is_in(b)) out.push_back(cut(a, b));
    }
    in = std::move(out);
  };
  const auto at_x = [](double x) {
    return [x](PaperPoint a, PaperPoint b) { return PaperPoint{x, a.y + (x - a.x) / (b.x - a.x) * (b.y - a.y)}; };
  };
  const auto at_y = [](double y) {
    return [y](PaperPoint a, PaperPoint b) { return PaperPoint{a.x + (y - a.y) / (b.y - a.y) * (b.x - a.x), y}; };
  };
  against([&](PaperPoint p) { return p.x >= box.x; }, at_x(box.x));
  against([&](PaperPoint p) { return p.x <= right(box); }, at_x(right(box)));
  against([&](PaperPoint p) { return p.y >= box.y; }, at_y(box.y));
  against([&](PaperPoint p) { return p.y <= bottom(box); }, at_y(bottom(box)));
  return in;
}

std::vector<std::array<PaperPoint, 2>> hatch(const std::vector<Polyline>& rings, double spacing, double angle) {
  std::vector<std::array<PaperPoint, 2>> out;
  const double c = std::cos(angle), s = std::sin(angle);
  const auto turned = [&](PaperPoint p) { return PaperPoint{p.x * c + p.y * s, -p.x * s + p.y * c}; };
  const auto back = [&](PaperPoint p) { return PaperPoint{p.x * c - p.y * s, p.x * s + p.y * c}; };
  double low = std::numeric_limits<double>::infinity(), high = -low;
  std::vector<Polyline> flat = rings;
  for (Polyline& ring : flat) {
    for (PaperPoint& p : ring) {
      p = turned(p);
      low = std::min(low, p.y);
      high = std::max(high, p.y);
    }
  }
  if (!(low < high)) return out;
  std::vector<double> cuts;
  // Rows are counted from the origin of the sheet, so that neighbouring areas hatch in register.
  for (double row = std::ceil(low / spacing); row * spacing < high; ++row) {
    const double y = row * spacing;
    cuts.clear();
    for (const Polyline& ring : flat) {
      for (std::size_t i = 0; i < ring.size(); ++i) {
        const PaperPoint a = ring[i], b = ring[(i + 1) % ring.size()];
        if ((a.y <= y) != (b.y <= y)) cuts.push_back(a.x + (y - a.y) / (b.y - a.y) * (b.x - a.x));
      }
    }
    std::sort(cuts.begin(), cuts.end());
    for (std::size_t i = 0; i + 1 < cuts.size(); i += 2) {
      if (cuts[i + 1] - cuts[i] > 0.05) out.push_back({back({cuts[i], y}), back({cuts[i + 1], y})});
    }
  }
  return out;
}

double length(const Polyline& line) {
  double sum = 0;
  for (std::size_t i = 0; i + 1 < line.size(); ++i) sum += distance(line[i], line[i + 1]);
  return sum;
}

PlaceOnLine along(const Polyline& line, double d) {
  if (line.size() < 2) return {line.empty() ? PaperPoint{} : line.front(), {1, 0}};
  for (std::size_t i = 0; i + 1 < line.size(); ++i) {
    const double l = distance(line[i], line[i + 1]);
    if (d <= l || i + 2 == line.size()) {
      const PaperPoint u = unit(line[i + 1] - line[i]);
      return {line[i] + std::clamp(d, 0.0, l) * u, u};
    }
    d -= l;
  }
  return {line.back(), {1, 0}};
}

Polyline part(const Polyline& line, double from, double to) {
  Polyline out;
  double done = 0;
  for (std::size_t i = 0; i + 1 < line.size(); ++i) {
    const double l = distance(line[i], line[i + 1]);
    const double a = std::max(from - done, 0.0), b = std::min(to - done, l);
    if (l > 0 && a < b) {
      const PaperPoint u = unit(line[i + 1] - line[i]);
      if (out.empty()) out.push_back(line[i] + a * u);
      out.push_back(line[i] + b * u);
    }
    done += l;
  }
  return out;
}

Polyline offset_line(const Polyline& line, double by) {
  Polyline out;
  for (std::size_t i = 0; i < line.size(); ++i) {
    const PaperPoint before = left_of(unit(i > 0 ? line[i] - line[i - 1] : line[1] - line[0]));
    const PaperPoint after = left_of(unit(i + 1 < line.size() ? line[i + 1] - line[i] : line[i] - line[i - 1]));
    const PaperPoint sum = before + after;
    const double squared = dot(sum, sum);
    // 2 / |sum|² is the mitre; beyond a factor of two the corner is cut off by two points.
    if (squared > 0.5) {
      out.push_back(line[i] + (2 * by / squared) * sum);
    } else {
      out.push_back(line[i] + by * before);
      out.push_back(line[i] + by * after);
    }
  }
  return out;
}

double distance_to_segment(PaperPoint p, PaperPoint a, PaperPoint b) {
  const PaperPoint d = b - a;
  const double squared = dot(d, d);
  const double t = squared > 0 ? std::clamp(dot(p - a, d) / squared, 0.0, 1.0) : 0.0;
  return distance(p, a + t * d);
}

double distance_to_line(PaperPoint p, const Polyline& line) {
  double least = std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i + 1 < line.size(); ++i)
    least = std::min(least, distance_to_segment(p, line[i], line[i + 1]));
  return least;
}

bool segments_cross(PaperPoint a, PaperPoint b, PaperPoint c, PaperPoint d) {
  const double d1 = cross(b - a, c - a), d2 = cross(b - a, d - a);
  const double d3 = cross(d - c, a - c), d4 = cross(d - c, b - c);
  return ((d1 > 0) != (d2 > 0)) && ((d3 > 0) != (d4 > 0));
}

bool inside(PaperPoint p, const Polyline& ring) {
  bool in = false;
  for (std::size_t i = 0, j = ring.size() - 1; i < ring.size(); j = i++) {
    if ((ring[i].y > p.y) != (ring[j].y > p.y) &&
        p.x < (ring[j].x - ring[i].x) * (p.y - ring[i].y) / (ring[j].y - ring[i].y) + ring[i].x) {
      in = !in;
    }
  }
  return in;
}

double signed_area(const Polyline& ring) {
  double twice = 0;
  for (std::size_t i = 0; i < ring.size(); ++i) twice += cross(ring[i], ring[(i + 1) % ring.size()]);
  return twice / 2;
}

Polyline convex_hull(Polyline points) {
  std::sort(points.begin(), points.end(),
            [](PaperPoint a, PaperPoint b) { return a.x < b.x || (a.x == b.x && a.y < b.y); });
  if (points.size() < 3) return points;
  Polyline hull(2 * points.size());
  std::size_t k = 0;
  for (const PaperPoint p : points) {
    while (k >= 2 && cross(hull[k - 1] - hull[k - 2], p - hull[k - 1]) <= 0) --k;
    hull[k++] = p;
  }
  const std::size_t lower = k + 1;
  for (std::size_t i = points.size() - 1; i-- > 0;) {
    while (k >= lower && cross(hull[k - 1] - hull[k - 2], points[i] - hull[k - 1]) <= 0) --k;
    hull[k++] = points[i];
  }
  hull.resize(k - 1);
  return hull;
}

std::array<PaperPoint, 4> TurnedBox::corners() const {
  const double c = std::cos(rotation), s = std::sin(rotation);
  const PaperPoint u{half_width * c, half_width * s}, v{-half_height * s, half_height * c};
  return {centre - u - v, centre + u - v, centre + u + v, centre - u + v};
}

PaperBox TurnedBox::bounds() const {
  if (rotation == 0) return {centre.x - half_width, centre.y - half_height, 2 * half_width, 2 * half_height};
  const double c = std::abs(std::cos(rotation)), s = std::abs(std::sin(rotation));
  const double w = half_width * c + half_height * s, h = half_width * s + half_height * c;
  return {centre.x - w, centre.y - h, 2 * w, 2 * h};
}

TurnedBox turned_box(const PaperBox& b) {
  return {centre(b), b.width / 2, b.height / 2, 0};
}

bool overlap(const TurnedBox& a, const TurnedBox& b) {
  const PaperPoint d = b.centre - a.centre;
  // Seen along one box's sides the other is as long as its own sides are seen there (Gottschalk, Lin, Manocha 1996,
  // on the plane): apart on any of the four axes, apart altogether.
  if (a.rotation == 0 && b.rotation == 0)
    return std::abs(d.x) < a.half_width + b.half_width && std::abs(d.y) < a.half_height + b.half_height;
  const double ca = std::cos(a.rotation), sa = std::sin(a.rotation);
  const double cb = std::cos(b.rotation), sb = std::sin(b.rotation);
  const double c = std::abs(ca * cb + sa * sb), s = std::abs(sa * cb - ca * sb);
  return std::abs(d.x * ca + d.y * sa) < a.half_width + b.half_width * c + b.half_height * s &&
         std::abs(d.y * ca - d.x * sa) < a.half_height + b.half_width * s + b.half_height * c &&
         std::abs(d.x * cb + d.y * sb) < b.half_width + a.half_width * c + a.half_height * s &&
         std::abs(d.y * cb - d.x * sb) < b.half_height + a.half_width * s + a.half_height * c;
}

double overlap_area(const TurnedBox& a, const TurnedBox& b) {
  if (!overlap(a, b)) return 0;
  // Seen from b, b is an upright box and a is a ring to clip to it.
  const double c = std::cos(b.rotation), s = std::sin(b.rotation);
  Polyline ring;
  for (const PaperPoint p : a.corners()) {
    const PaperPoint d = p - b.centre;
    ring.push_back({d.x * c + d.y * s, -d.x * s + d.y * c});
  }
  return std::abs(signed_area(clip_ring(ring, {-b.half_width, -b.half_height, 2 * b.half_width, 2 * b.half_height})));
}

namespace {

PaperPoint seen_from(const TurnedBox& box, PaperPoint p) {
  const PaperPoint d = p - box.centre;
  if (box.rotation == 0) return d;
  const double c = std::cos(box.rotation), s = std::sin(box.rotation);
  return {d.x * c + d.y * s, -d.x * s + d.y * c};
}

}  // namespace

bool overlap(const TurnedBox& box, PaperPoint a, PaperPoint b) {
  double from = 0, to = 1;
  return clip_segment({-box.half_width, -box.half_height, 2 * box.half_width, 2 * box.half_height}, seen_from(box, a),
                      seen_from(box, b), from, to);
}

SegmentProbe::SegmentProbe(const TurnedBox& box) : box_(box) {
  if (box.rotation == 0) return;
  cosine_ = std::cos(box.rotation);
  sine_ = std::sin(box.rotation);
}

PaperPoint SegmentProbe::seen(PaperPoint p) const {
  const PaperPoint d = p - box_.centre;
  return {d.x * cosine_ + d.y * sine_, -d.x * sine_ + d.y * cosine_};
}

bool SegmentProbe::touches(PaperPoint a, PaperPoint b, double grown) const {
  const double w = box_.half_width + grown, h = box_.half_height + grown;
  const PaperPoint p = seen(a), q = seen(b);
  if ((p.x < -w && q.x < -w) || (p.x > w && q.x > w) || (p.y < -h && q.y < -h) || (p.y > h && q.y > h)) return false;
  double from = 0, to = 1;
  return clip_segment({-w, -h, 2 * w, 2 * h}, p, q, from, to);
}

bool contains(const TurnedBox& box, PaperPoint p) {
  const PaperPoint q = seen_from(box, p);
  return std::abs(q.x) <= box.half_width && std::abs(q.y) <= box.half_height;
}

PaperPoint nearest_on_edge(const TurnedBox& box, PaperPoint p) {
  PaperPoint q = seen_from(box, p);
  q = {std::clamp(q.x, -box.half_width, box.half_width), std::clamp(q.y, -box.half_height, box.half_height)};
  const double c = std::cos(box.rotation), s = std::sin(box.rotation);
  return {box.centre.x + q.x * c - q.y * s, box.centre.y + q.x * s + q.y * c};
}

}  // namespace swingtie
