#include <algorithm>
#include <cmath>

#include "measure/bearing.hpp"
#include "route/answers.hpp"
#include "route/mixture.hpp"
#include "route/search.hpp"

namespace swingtie {

Posterior solve(const Placed& placed, const SolveOptions& options) {
  Posterior posterior;
  auto mixture = std::make_shared<Mixture>();
  const std::shared_ptr<const Model> model = make_model(placed, options.piece);
  mixture->model = model;
  mixture->terms = search(*model, placed, options.explain, posterior.statistics);
  posterior.mixture = mixture;
  fill_answers(posterior, *mixture, placed, options);
  return posterior;
}

}  // namespace swingtie
