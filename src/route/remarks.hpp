#pragma once

#include "route/mixture.hpp"

namespace swingtie {

/// What a person should know of the readings beyond the numbers, most important first: contradictions, cable shorter
/// than the straight line it spans, two routes that fit alike, directions nothing determines, where the locates end.
std::vector<Diagnostic> remarks(const Posterior& posterior, const Mixture& mixture, const Placed& placed);

}  // namespace swingtie
