#pragma once

#include <string_view>

#include "job/job.hpp"
#include "measure/length.hpp"

namespace swingtie {

/// Reads a leg of walls: `28`, `R 42`, `left 10`, `R 45 12.5`, `R 22.5 14'3 1/2"`. Without an angle a turn is a right
/// angle. The place of the result is left empty.
Parsed<WallLeg> parse_wall_leg(std::string_view text, LengthUnit unit);

/// Reads a call of a deed: a course `N 04 30 00 E 118.00`, or an arc written out with words for its parts:
/// `arc left radius 475 delta 28-49-34 chord N 30-35-13 W 236.47 length 238.98`. The place is left empty.
Parsed<DeedCall> parse_deed_call(std::string_view text, LengthUnit unit);

/// Reads what a deed says of a chord into a call: bearing and length, or one of the two.
Parsed<DeedCall> parse_chord(std::string_view text, LengthUnit unit);

}  // namespace swingtie
