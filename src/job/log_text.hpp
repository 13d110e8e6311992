#pragma once

#include <string_view>

#include "job/job.hpp"
#include "measure/length.hpp"

namespace swingtie {

/// Reads a bend as it is written in a log: `left 45`, `right`, `down 22.5`, `22 1/2`, `left 1/8 bend`, `unknown`.
/// The fractions of the trade are those of a full turn: 1/4, 1/5, 1/6, 1/8, 1/16 (a 1/8 bend turns 45 degrees).
Parsed<BendNote> parse_bend(std::string_view text);

/// Reads a pipe: `4 in cast iron`, `4" clay`, `100 mm PVC`, `cast iron`, `6 in`. The size must carry its unit.
Parsed<PipeNote> parse_pipe(std::string_view text, LengthUnit unit);

}  // namespace swingtie
