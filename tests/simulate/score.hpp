#pragma once

#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "route/posterior.hpp"
#include "simulate/lateral.hpp"

namespace swingtie::simulate {

/// How one counter of one lateral came out. Metres and square metres.
struct PointScore {
  std::size_t run = 0;
  double counter = 0;
  double to_locate = 0;          ///< of counter, to the nearest locate or the pipe entry
  bool between = false;          ///< not beyond the last locate
  double along = 0, across = 0;  ///< estimate minus truth; along: toward the main, across: right positive
  double error = 0, joined_error = 0, spline_error = 0, bound_error = 0;  ///< on the plan
};

/// A counter at which the whole answer was looked at, not only its mean.
struct RegionScore {
  PointScore point;
  bool inside = false;  ///< the truth lies in the 95 % region
  double area = 0;
  double depth = 0;  ///< true, ground to axis
  bool depth_inside = false;
  double depth_half = 0;  ///< half the 95 % interval
  double private_probability = 0;
  bool is_private = false;
};

/// One thing of the notes that may have been accused.
struct MistakeScore {
  MistakeKind what = MistakeKind::wrong_locate;
  double amount = 0;
  double named = 0;            ///< probability that the engine gives to this mistake
  bool of_right_kind = true;   ///< a misread counter called a wrong locate is named, but of another kind
  bool bound_can_tell = true;  ///< a solve told all else would name it too
};

struct Accusation {
  MistakeKind what = MistakeKind::wrong_locate;
  double probability = 0;
};

struct LateralScore {
  std::uint64_t seed = 0;
  std::vector<PointScore> points;    ///< every foot of counter
  std::vector<RegionScore> regions;  ///< ten a lateral
  std::vector<MistakeScore> mistakes;
  std::vector<Accusation> false_accusations;  ///< probability above one half
  int sound_locates = 0, sound_bends = 0, sound_zeros = 0;
  double milliseconds = 0;  ///< of processor time for the solve
  int solves = 0;
  double locate_error_across = 0, locate_error_along = 0;  ///< sums of squares of the sound locates' errors
  double locates_measured = 0;
};

/// Solves a lateral, once from its notes and once told its mistakes, and compares with the truth.
/// @param solver  the engine under test; in tests of this file anything that answers
using Solver = std::function<Posterior(const Placed&, const SolveOptions&)>;
LateralScore score(const Scenario& scenario, std::uint64_t seed, const Solver& solver);

/// Whether a point lies inside a region by the even-odd rule over its rings.
bool contains(const Region& region, PlanPoint point);
double area(const Region& region);

/// The p-quantile of one coordinate (0 e, 1 n, 2 up) of a mixture.
double quantile(const PointMixture& mixture, int coordinate, double p);

}  // namespace swingtie::simulate
