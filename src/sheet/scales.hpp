#pragma once

#include <vector>

#include "measure/length.hpp"

namespace swingtie {

/// Standard denominators, largest scale first: engineer's scales (1 in = 10, 20, 30, 40, 50, 60 ft and their tenths
/// and tens) in feet; 1:20 to 1:2000 in metres. Source: ASME Y14.1 and ISO 5455 practice, as in
/// tests/reference/sheets.
std::vector<double> plan_scales(LengthUnit unit);
std::vector<double> inset_scales(LengthUnit unit);
/// The largest standard scale at which so many metres fit into so many mm, or the smallest there is.
double scale_to_fit(LengthUnit unit, double metres_wide, double metres_high, double mm_wide, double mm_high);

}  // namespace swingtie
