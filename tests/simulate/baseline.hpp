#pragma once

#include <vector>

#include "place/placed.hpp"

namespace swingtie::simulate {

/// What people do without an adjustment: join the access point and the locates in the order of their counters.
/// Repeats at one reading are averaged; a run without locates stays at its access.
class JoinedLocates {
 public:
  explicit JoinedLocates(const Run& run);
  /// On straight lines between the points; beyond the last one straight on.
  PlanPoint straight(CounterReading at) const;
  /// On a natural cubic spline in the counter through the same points; beyond the last one along its end tangent.
  PlanPoint smooth(CounterReading at) const;
  double first() const { return knots_.front(); }
  double last() const { return knots_.back(); }

 private:
  std::vector<double> knots_;
  std::vector<PlanVector> values_, second_;  ///< second derivatives of the spline at the knots
  PlanPoint origin_;
};

}  // namespace swingtie::simulate
