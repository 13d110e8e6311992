#pragma once

#include "route/mixture.hpp"

namespace swingtie {

/// The sets of mistakes worth keeping, by falling weight; weights sum to 1. Never empty.
/// @param explain  false solves once, taking the notes at their word
std::vector<std::unique_ptr<MixtureTerm>> search(const Model& model, const Placed& placed, bool explain,
                                                 SolveStatistics& statistics);

}  // namespace swingtie
