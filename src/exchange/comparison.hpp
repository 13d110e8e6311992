#pragma once

#include <string>

#include "findings/compare.hpp"

namespace swingtie {

/// Two visits as JSON: every change with its station and probability, lengths in the later job's unit. `earlier` and
/// `later` of a change are null where it was not seen then. Ends with a newline.
std::string write_json(const Placed& later, const Comparison& comparison);

}  // namespace swingtie
