#include <algorithm>
#include <cmath>

#include "measure/bearing.hpp"
#include "route/answers.hpp"
#include "route/mixture.hpp"
#include "route/search.hpp"

namespace swingtie {

namespace {

/// Where two runs meet on one line, which bend of the one is which of the other is plain only once it is known where
/// the second begins. So a line with several runs is solved once without the doubtful bends to find that out.
std::shared_ptr<const Model> find_entries(const Placed& placed, const SolveOptions& options,
                                          SolveStatistics& statistics) {
  std::shared_ptr<const Model> model = make_model(placed, options.piece);
  if (std::none_of(model->runs.begin(), model->runs.end(),
                   [&](const ModelRun& run) { return model->plain.prior.variance[run.entry] > 0; }))
    return model;
  auto terms = search(*model, placed, false, statistics);
  // Where the notes fit as they stand no mistake can have moved an entry; elsewhere the mistakes come first.
  if (options.explain && terms.front()->misfit() > 2) terms = search(*model, placed, true, statistics);
  std::vector<double> entries;
  for (const ModelRun& run : model->runs) entries.push_back(terms.front()->minimum.x[run.entry]);
  return make_model(placed, options.piece, entries);
}

}  // namespace

Posterior solve(const Placed& placed, const SolveOptions& options) {
  Posterior posterior;
  auto mixture = std::make_shared<Mixture>();
  const std::shared_ptr<const Model> model = find_entries(placed, options, posterior.statistics);
  mixture->model = model;
  mixture->terms = search(*model, placed, options.explain, posterior.statistics);
  posterior.mixture = mixture;
  fill_answers(posterior, *mixture, placed, options);
  return posterior;
}

}  // namespace swingtie
