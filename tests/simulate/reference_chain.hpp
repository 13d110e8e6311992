#pragma once

#include <cstdint>
#include <vector>

#include "measure/bearing.hpp"
#include "measure/length.hpp"
#include "place/placed.hpp"

namespace swingtie::simulate {

/// The statistical model as the design states it, for a chain that owes the engine nothing but these numbers.
/// Standard deviations in metres and radians; probabilities 0..1.
struct StatedModel {
  double drift_per_root_metre = 1.0 * degree / 0.55208713;  ///< 1 degree per root foot
  double bend_angle = 5 * degree;
  double bend_angle_unwritten = 22 * degree, bend_angle_usual = 45 * degree;
  double counter_scale = 0.01;
  double counter_zero = 0.3 * metres_per_foot;
  double counter_reading = 0.175 * metres_per_foot;
  double access = 0.03;
  double wrong_locate = 0.04;      ///< probability of one
  double wrong_locate_by = 2.1;    ///< how far off it is, per axis
  double misread_counter = 0.015;  ///< probability of one
  double misread_by = 3.5;         ///< along the pipe
  double wrong_hand = 0.04;        ///< probability of one
  double not_zeroed = 0.03;        ///< probability that the counter was not
  double not_zeroed_by = 1.8;
  double unlogged_per_metre = 0;  ///< expected number of bends nobody wrote down
  double unlogged_angle = 50 * degree;
};

/// The stated model for notes of this completeness.
StatedModel stated_model(Completeness bends);

struct ChainOptions {
  int temperatures = 24;
  int sweeps = 40000;  ///< of which the first fifth is thrown away
  std::uint64_t seed = 1;
};

/// What the chain says: shares of its time, and points it passed through.
struct ChainAnswer {
  std::vector<double> wrong_locate;  ///< per locate
  std::vector<double> wrong_hand;    ///< per written bend, in the order of the log
  double any_unlogged = 0;
  std::vector<std::vector<PlanPoint>> points;  ///< per asked counter, every tenth sweep
  double swaps = 0;                            ///< accepted share of the exchanges next to the cold chain
};

/// Samples the posterior of a job with one level run toward the main whose locates state their whole error.
///
/// Parallel tempering: chains at falling powers of the likelihood exchange their states, the hottest of which is the
/// prior itself, so modes of any separation are visited in proportion to their probability. Within a chain: Gaussian
/// unknowns by preconditioned Crank-Nicolson steps (Cotter, Roberts, Stuart, White, Statistical Science 28(3), 2013),
/// hands by flips, bends nobody wrote down by births and deaths from the prior; a wrong locate is summed over in the
/// likelihood. Tempering after C. J. Geyer, Computing Science and Statistics 23 (1991).
/// @param asked  counters at which the lens' position is wanted
ChainAnswer run_chain(const Placed& placed, const StatedModel& model, const std::vector<CounterReading>& asked,
                      const ChainOptions& options);

}  // namespace swingtie::simulate
