#include "simulate/counter.hpp"

#include <cmath>

#include "measure/bearing.hpp"
#include "measure/length.hpp"
#include "simulate/lot.hpp"

namespace swingtie::simulate {

Counter::Counter(const TrueRun& run, Random& random)
    : run_(run),
      step_ft_(random.chance(0.15) ? 0.5 : 0.1),
      slack_(random.uniform(0, 0.12) * metres_per_foot),
      wave_(2 * pi / (random.uniform(20, 60) * metres_per_foot)),
      phase_(random.uniform(0, 2 * pi)) {}

double Counter::read(double travelled, Random& random) const {
  const double slack = slack_ * std::sin(wave_ * travelled + phase_);
  return rounded_ft(shown(travelled) + slack + random.normal(0, 0.12) * metres_per_foot, step_ft_);
}

}  // namespace swingtie::simulate
