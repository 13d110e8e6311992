#pragma once

#include <vector>

#include "findings/findings.hpp"
#include "measure/length.hpp"

namespace swingtie {

/// A line as drawn: the stations of its finding joined by straight pieces, for placing marks between them.
class LineCourse {
 public:
  explicit LineCourse(const LineFinding& line) : line_(line) {}
  /// Beyond the ends, the end.
  SitePoint at(Station station) const;
  /// Depth of the axis below ground.
  double depth(Station station) const;
  Interval depth95(Station station) const;
  std::vector<PlanPoint> points() const;
  std::vector<PlanPoint> between(Station from, Station to) const;

 private:
  struct Between {
    std::size_t before = 0;
    double share = 0;
  };
  Between find(Station station) const;
  const LineFinding& line_;
};

/// Distance between station marks that leaves them at least 9 mm apart on paper, metres: 10, 20, 50 ft; 2, 5, 10 m.
double tick_step(LengthUnit unit, double mm_per_metre);

}  // namespace swingtie
