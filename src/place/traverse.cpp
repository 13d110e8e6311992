#include "place/traverse.hpp"

#include <algorithm>
#include <cmath>

#include "measure/bearing.hpp"

namespace swingtie {
namespace {

PlanVector turned(PlanVector v, double clockwise) {
  const double c = std::cos(clockwise), s = std::sin(clockwise);
  return {v.de * c + v.dn * s, v.dn * c - v.de * s};
}

}  // namespace

double course_length(const TraverseCourse& course) {
  return course.arc ? course.arc->radius * course.arc->delta : length(course.chord);
}

CurveElements curve_elements(double radius, double delta) {
  return {radius * delta, 2 * radius * std::sin(delta / 2), radius * (1 - std::cos(delta / 2))};
}

PlanVector misclosure(const std::vector<TraverseCourse>& courses) {
  PlanVector sum;
  for (const TraverseCourse& course : courses) sum = sum + course.chord;
  return sum;
}

double perimeter(const std::vector<TraverseCourse>& courses) {
  double sum = 0;
  for (const TraverseCourse& course : courses) sum += course_length(course);
  return sum;
}

std::vector<TraverseCourse> balanced_by_compass_rule(const std::vector<TraverseCourse>& courses) {
  const PlanVector gap = misclosure(courses);
  const double whole = perimeter(courses);
  std::vector<TraverseCourse> balanced = courses;
  for (TraverseCourse& course : balanced) {
    const PlanVector old = course.chord;
    course.chord = old - (course_length(course) / whole) * gap;
    if (course.arc) course.arc->radius *= length(course.chord) / length(old);
  }
  return balanced;
}

double enclosed_area(const std::vector<TraverseCourse>& courses) {
  double twice = 0;  // positive for a figure that runs clockwise
  PlanVector at;
  for (const TraverseCourse& course : courses) {
    const PlanVector next = at + course.chord;
    twice += clockwise_cross(at, next);
    if (course.arc) {
      const ArcShape& arc = *course.arc;
      const double segment = arc.radius * arc.radius * (arc.delta - std::sin(arc.delta));
      // An arc that turns right bulges to the left of its chord: outward when the figure runs clockwise.
      twice += arc.to_left ? -segment : segment;
    }
    at = next;
  }
  return std::abs(twice) / 2;
}

std::vector<PlanPoint> arc_points(PlanPoint start, const TraverseCourse& course, double sagitta) {
  std::vector<PlanPoint> points;
  if (!course.arc) return points;
  const ArcShape& arc = *course.arc;
  const double cosine = std::clamp(1 - sagitta / arc.radius, -1.0, 1.0);
  const double step = std::max(2 * std::acos(cosine), 0.01);
  const int pieces = std::max(2, static_cast<int>(std::ceil(arc.delta / step)));
  const double hand = arc.to_left ? -1 : 1;  // clockwise turning positive
  const PlanVector tangent = turned((1 / length(course.chord)) * course.chord, -hand * arc.delta / 2);
  const PlanPoint centre = start + (hand * arc.radius) * right_of(tangent);
  for (int i = 1; i < pieces; ++i) points.push_back(centre + turned(start - centre, hand * arc.delta * i / pieces));
  return points;
}

std::vector<CourseMistake> explain_misclosure(const std::vector<TraverseCourse>& courses, double tolerance) {
  const PlanVector gap = misclosure(courses);
  std::vector<CourseMistake> found;
  for (std::size_t i = 0; i < courses.size(); ++i) {
    if (courses[i].arc) continue;
    const PlanVector v = courses[i].chord;
    const PlanVector without = gap - v;  // what the other courses add up to
    auto weigh = [&](CourseMistake::Kind kind, PlanVector instead) {
      const double left_over = length(without + instead);
      if (left_over > tolerance) return false;
      found.push_back({kind, i, azimuth(instead), length(instead), left_over});
      return true;
    };
    // The exchange of a letter leaves the figure as it is when the course runs along an axis.
    const bool letter = weigh(CourseMistake::Kind::reversed, -v) ||
                        weigh(CourseMistake::Kind::east_for_west, {-v.de, v.dn}) ||
                        weigh(CourseMistake::Kind::north_for_south, {v.de, -v.dn});
    if (letter) continue;
    const double l = length(v);
    const PlanVector unit = (1 / l) * v;
    const double wanted = -dot(without, unit);
    if (wanted > 0 && std::abs(wanted - l) > tolerance && weigh(CourseMistake::Kind::length, wanted * unit)) continue;
    if (length(without) > 0) weigh(CourseMistake::Kind::bearing, (-l / length(without)) * without);
  }
  std::stable_sort(found.begin(), found.end(), [](const CourseMistake& a, const CourseMistake& b) {
    const bool a_letter = a.kind < CourseMistake::Kind::length, b_letter = b.kind < CourseMistake::Kind::length;
    return a_letter != b_letter ? a_letter : a.left_over < b.left_over;
  });
  return found;
}

}  // namespace swingtie
