#pragma once

#include "route/mixture.hpp"

namespace swingtie {

/// One mistake of a term, in words that name the job's line and say what to do.
/// @param probability  of the mistake; 1 where the words are about a route on which it was made, and then without
/// odds
Explanation explain(const Atom& atom, const MixtureTerm& term, const Mixture& mixture, const Placed& placed,
                    double probability);

/// Verdict, explanations and remarks of a posterior whose numbers are filled, most important first.
void fill_words(Posterior& posterior, const Mixture& mixture, const Placed& placed);

}  // namespace swingtie
