#pragma once

#include <string>

#include "exchange/table.hpp"

namespace swingtie {

/// Everything the findings say, as JSON: lengths in the site's unit, angles in degrees clockwise from grid north,
/// coordinates in the job's own grid, probabilities 0..1. Lengths have 4 decimals, angles 2, probabilities 4.
/// One element of a list per line; the same findings give the same bytes. Ends with a newline.
std::string write_json(const JobFindings& job);

}  // namespace swingtie
