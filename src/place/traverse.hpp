#pragma once

#include <optional>
#include <string>
#include <vector>

#include "measure/plane.hpp"

namespace swingtie {

/// A circular arc by its central angle.
struct ArcShape {
  bool to_left = false;
  double radius = 0;  ///< metres, > 0
  double delta = 0;   ///< central angle, radians, in (0, 2 pi)
};

/// One course of a closed figure: its chord, and the arc over it where it is not straight.
struct TraverseCourse {
  PlanVector chord;
  std::optional<ArcShape> arc;
};

/// Length along the course: the arc where there is one.
double course_length(const TraverseCourse& course);

struct CurveElements {
  double arc = 0;              ///< R delta
  double chord = 0;            ///< 2 R sin(delta / 2)
  double middle_ordinate = 0;  ///< R (1 - cos(delta / 2)), from the middle of the chord to the arc
};
/// Arc definition of a circular curve. Source: route surveying practice; tests/reference/curves.csv.
CurveElements curve_elements(double radius, double delta);

/// End minus start of a figure that should return to its start.
PlanVector misclosure(const std::vector<TraverseCourse>& courses);

/// Sum of the lengths along all courses, metres.
double perimeter(const std::vector<TraverseCourse>& courses);

/// The courses with the misclosure spread over them in proportion to their lengths (compass or Bowditch rule).
/// An arc keeps its central angle; its radius follows its chord.
/// Source: Wolf and Ghilani, Elementary Surveying, traverse computations; tests/reference/traverse-*.csv.
std::vector<TraverseCourse> balanced_by_compass_rule(const std::vector<TraverseCourse>& courses);

/// Area enclosed by courses that close, arcs included, square metres; always positive.
double enclosed_area(const std::vector<TraverseCourse>& courses);

/// Points on the arc strictly between its ends, close enough that the polyline leaves it by at most `sagitta`.
std::vector<PlanPoint> arc_points(PlanPoint start, const TraverseCourse& course, double sagitta);

/// One mistyped course that would explain why a figure does not close.
struct CourseMistake {
  enum class Kind {
    reversed,         ///< run the other way
    east_for_west,    ///< E and W interchanged
    north_for_south,  ///< N and S interchanged
    length,           ///< the bearing stands, the length is another
    bearing           ///< the length stands, the bearing is another
  } kind = Kind::length;
  std::size_t course = 0;  ///< index
  Azimuth bearing;         ///< that would close the figure
  double length = 0;       ///< that would close the figure, metres
  double left_over = 0;    ///< misclosure that would remain, metres
};

/// Every single mistake in one straight course that would bring the misclosure down to `tolerance` metres or less,
/// interchanged letters first, then by what would remain. A length is suspected where the misclosure runs parallel
/// to its course, a bearing where the other courses leave a gap of just its length.
std::vector<CourseMistake> explain_misclosure(const std::vector<TraverseCourse>& courses, double tolerance);

}  // namespace swingtie
