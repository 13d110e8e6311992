#pragma once

#include <string>

#include "simulate/lateral.hpp"

namespace swingtie::simulate {

/// The notes of a lateral as a job file (units: ft), so that any simulated lateral can go through the whole program.
/// Reading and placing it gives the same notes again to the last digits of a double.
std::string job_yaml(const Lateral& lateral);

}  // namespace swingtie::simulate
