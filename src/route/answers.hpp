#pragma once

#include "route/mixture.hpp"

namespace swingtie {

/// Fills everything a Posterior tells from the mixture it was given.
void fill_answers(Posterior& posterior, const Mixture& mixture, const Placed& placed, const SolveOptions& options);

}  // namespace swingtie
