#pragma once

#include <cstddef>
#include <vector>

#include "measure/diagnostic.hpp"
#include "place/placed.hpp"

namespace swingtie {

/// Two inspections as one job: the later one with the earlier one's runs added.
struct JoinedVisits {
  Placed placed;
  std::size_t first_earlier = 0;  ///< runs from this index on are the earlier inspection's
  bool moved = false;             ///< the earlier grid was laid onto the later one's
  double fit = 0;                 ///< metres, root mean square at the common points
  std::vector<Diagnostic> remarks;
};

/// @see compare
JoinedVisits join_visits(const Placed& earlier, const Placed& later);

}  // namespace swingtie
