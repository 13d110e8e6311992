#include "route/search.hpp"

#include <cmath>

#include "measure/bearing.hpp"

namespace swingtie {

std::vector<std::unique_ptr<MixtureTerm>> search(const Model& model, const Placed&, bool,
                                                 SolveStatistics& statistics) {
  std::vector<std::unique_ptr<MixtureTerm>> terms;
  Assumptions assumptions = model.plain;
  Eigen::VectorXd start = model.start;
  for (int pass = 0; pass < 2; ++pass) {
    auto term = std::make_unique<MixtureTerm>(model, std::vector<Atom>{}, assumptions, start);
    statistics.solves += 1;
    double turned = 0;
    for (std::size_t k = 0; k < model.locates.size(); ++k) {
      const double heading = term->state().sightings[model.locates[k].sighting].point.heading;
      turned = std::max(turned, std::abs(std::sin(heading - assumptions.frames[k])));
      assumptions.frames[k] = heading;
    }
    start = term->minimum.x;
    terms.clear();
    terms.push_back(std::move(term));
    if (turned < 3 * degree) break;
  }
  terms.front()->weight = 1;
  statistics.sets_tried = 1;
  return terms;
}

}  // namespace swingtie
