#pragma once

#include <string>

#include "findings/findings.hpp"

namespace swingtie {

/// A corner as somebody finds it who stands in the street, faces the house and has no drawing.
struct CornerWords {
  std::string says;   ///< `the front left corner of the house`, `the street end of the fence`
  bool plain = true;  ///< false: it takes distances to other corners to say which one is meant
};

/// @param corner  index into `feature.corners`
CornerWords corner_words(const Placed& placed, const Feature& feature, std::size_t corner, const Viewer& viewer);

/// `toward the street`, `away from the street`, `to the right (facing the house from the street)` …
std::string toward_words(const Viewer& viewer, PlanVector way);
/// The same in eight directions, for the course of a line: `toward the street and to the left (facing …)`.
std::string course_words(const Viewer& viewer, PlanVector way);
/// `on the street side`, `on the side away from the street`, `on the left (facing the house from the street)` …
std::string side_words(const Viewer& viewer, PlanVector way);

}  // namespace swingtie
