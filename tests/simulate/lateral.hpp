#pragma once

#include <cstdint>

#include "place/placed.hpp"
#include "simulate/dipole.hpp"
#include "simulate/scenario.hpp"
#include "simulate/truth.hpp"

namespace swingtie::simulate {

/// One house sewer: what lies in the ground and what the inspector wrote down of it.
struct Lateral {
  Truth truth;
  Lawn lawn;
  Placed placed;  ///< the notes, as a job file would give them
  /// The same notes with every mistake put right: wrong locates left out, counters and hands corrected, the counter's
  /// zero stated, every bend logged. What nobody can know from the notes alone; a bound for any method.
  Placed told;
};

/// The same scenario and seed give the same lateral on every machine. All numbers in the notes are rounded as they
/// would be written: positions, ties and depths to 0.01 ft, counters to 0.1 or 0.5 ft, directions to a degree.
Lateral make_lateral(const Scenario& scenario, std::uint64_t seed);

}  // namespace swingtie::simulate
