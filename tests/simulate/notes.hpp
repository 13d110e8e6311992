#pragma once

#include "simulate/lateral.hpp"
#include "simulate/pipe.hpp"
#include "simulate/random.hpp"

namespace swingtie::simulate {

/// Where a run begins, which way it goes and how far.
struct RunPlan {
  std::size_t line = 0;
  double entry = 0;  ///< metres of pipe from the line's house end
  Travel toward = Travel::toward_main;
  double furthest = 0;  ///< metres of pipe that the lens travels
  int locates = 4;
  bool reaches_main = false;
  std::optional<double> wye;     ///< metres of pipe from the house end at which a branch comes in
  std::optional<Hand> wye_hand;  ///< as the water flows
  std::string ends_in;           ///< what the run ends in, where not the main
};

/// The separate sequences of one seed, so that adding a mistake leaves the pipe and the readings as they were.
struct Streams {
  Random counters, receiver, mistakes;
};

/// The pipe along a line, by distance from its house end, the first stretch at 0.
using PipeTable = std::vector<PipeStretchPlan>;

/// Plays one inspection and appends its run to the notes, the corrected notes and the truth.
/// @param shared_shift  standard normal; the part of every position's error that Scenario::shared_shift makes common
void inspect(const Scenario& scenario, const RunPlan& plan, const PipeTable& pipes,
             const Eigen::Vector2d& shared_shift, Streams& streams, Lateral& lateral);

/// One more locate taken at leisure, without a mistake, with the counter showing this.
Locate further_locate(const Scenario& scenario, const Lateral& lateral, std::size_t run, CounterReading at,
                      LocateMethod by, Random& random);

}  // namespace swingtie::simulate
