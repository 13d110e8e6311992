#pragma once

#include "route/mixture.hpp"

namespace swingtie {

/// One mistake of a term, in words that name the job's line and say what to do.
Explanation explain(const Atom& atom, const MixtureTerm& term, const Mixture& mixture, const Placed& placed);

/// Verdict, explanations and remarks of a posterior whose numbers are filled, most important first.
void fill_words(Posterior& posterior, const Mixture& mixture, const Placed& placed);

}  // namespace swingtie
