#pragma once

#include "simulate/random.hpp"
#include "simulate/truth.hpp"

namespace swingtie::simulate {

/// The counter of one run as its operator sees it: scale, zero, slack in the cable that comes and goes, 0.12 ft of
/// reading noise, and a display in steps of 0.1 ft, or of 0.5 ft on every seventh machine.
class Counter {
 public:
  Counter(const TrueRun& run, Random& random);

  /// What is written down with the lens this many metres of pipe from the pipe entry; metres.
  double read(double travelled, Random& random) const;
  /// What an ideal counter of this scale and zero would show.
  double shown(double travelled) const { return run_.zero + travelled / run_.scale; }

 private:
  TrueRun run_;
  double step_ft_, slack_, wave_, phase_;
};

}  // namespace swingtie::simulate
