#pragma once

#include <string>

#include "findings/findings.hpp"

namespace swingtie::words {

std::string for_excavator(const Placed& placed, const Findings& findings);
std::string for_buyer(const Placed& placed, const Findings& findings);
std::string for_city(const Placed& placed, const Findings& findings);

}  // namespace swingtie::words
