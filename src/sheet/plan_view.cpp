#include "sheet/plan_view.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace swingtie {

PaperPoint PlanView::to_paper(PlanPoint p) const {
  const PlanVector upward = direction(up), d = p - focus;
  const PaperPoint middle = centre(box);
  return {middle.x + mm(dot(d, right_of(upward))), middle.y - mm(dot(d, upward))};
}

PlanPoint PlanView::to_plan(PaperPoint p) const {
  const PlanVector upward = direction(up);
  const PaperPoint d = p - centre(box);
  const double metres_per_mm = denominator / 1000;
  return focus + (d.x * metres_per_mm) * right_of(upward) + (-d.y * metres_per_mm) * upward;
}

Polyline PlanView::to_paper(const std::vector<PlanPoint>& line) const {
  Polyline out;
  out.reserve(line.size());
  for (const PlanPoint p : line) out.push_back(to_paper(p));
  return out;
}

double PlanView::paper_angle(Azimuth a) const {
  return a.radians - up.radians - std::numbers::pi / 2;
}

void TurnedExtent::add(PlanPoint p) {
  const PlanVector upward = direction(up), d{p.e, p.n};
  const double x = dot(d, right_of(upward)), y = dot(d, upward);
  if (empty) {
    left = right = x;
    low = high = y;
    empty = false;
    return;
  }
  left = std::min(left, x);
  right = std::max(right, x);
  low = std::min(low, y);
  high = std::max(high, y);
}

void TurnedExtent::add(const std::vector<PlanPoint>& points) {
  for (const PlanPoint p : points) add(p);
}

void TurnedExtent::grow(double by) {
  left -= by;
  right += by;
  low -= by;
  high += by;
}

PlanPoint TurnedExtent::middle() const {
  const PlanVector upward = direction(up);
  return PlanPoint{0, 0} + ((left + right) / 2) * right_of(upward) + ((low + high) / 2) * upward;
}

std::vector<PlanPoint> ring_around(PlanPoint c, double radius) {
  std::vector<PlanPoint> out;
  constexpr int sides = 48;
  for (int i = 0; i < sides; ++i) out.push_back(c + radius * direction({2 * std::numbers::pi * i / sides}));
  return out;
}

std::vector<PlanPoint> ellipse_outline(PlanPoint c, const ErrorEllipse& ellipse) {
  std::vector<PlanPoint> out;
  constexpr int sides = 40;
  const PlanVector major = direction(ellipse.major_axis), minor = right_of(major);
  for (int i = 0; i < sides; ++i) {
    const double t = 2 * std::numbers::pi * i / sides;
    out.push_back(c + (ellipse.semi_major * std::cos(t)) * major + (ellipse.semi_minor * std::sin(t)) * minor);
  }
  return out;
}

}  // namespace swingtie
