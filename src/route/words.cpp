#include "route/words.hpp"

#include <algorithm>
#include <cmath>

namespace swingtie {

Explanation explain(const Atom&, const MixtureTerm&, const Mixture&, const Placed&) {
  return {};
}

void fill_words(Posterior& posterior, const Mixture& mixture, const Placed&) {
  const MixtureTerm& best = *mixture.terms.front();
  posterior.verdict.chi_square = best.minimum.sum_of_squares;
  posterior.verdict.readings = static_cast<int>(mixture.model->readings);
}

}  // namespace swingtie
