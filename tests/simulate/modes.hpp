#pragma once

#include <string>
#include <vector>

#include "place/placed.hpp"

namespace swingtie::simulate {

/// A job whose readings can be explained in two ways, and the place where the two part.
struct TwoModes {
  std::string says;
  Placed placed;
  CounterReading at;  ///< where the routes of the two modes lie apart
  PlanPoint from;     ///< a line between the modes, through this point
  PlanVector along;   ///< and along this; the first mode lies right of it
  bool first(PlanPoint p) const { return clockwise_cross(along, p - from) > 0; }
};

/// Ten of them: doubtful hands, locates that are wrong or show a bend, bends nobody wrote down.
std::vector<TwoModes> two_mode_cases();

}  // namespace swingtie::simulate
