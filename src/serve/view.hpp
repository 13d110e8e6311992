#pragma once

#include <string>

#include "place/placed.hpp"

namespace swingtie {

/// What the page's map shows before anything is solved: features, corners, accesses and locates as JSON, coordinates
/// in the site's own grid and unit, lengths in the site's unit, and the lot as one sees it from the street (null
/// where the job does not tell it). What could not be placed is missing.
std::string write_view(const Placed& placed);

}  // namespace swingtie
