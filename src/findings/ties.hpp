#pragma once

#include <optional>
#include <string>
#include <vector>

#include "findings/findings.hpp"
#include "findings/sampling.hpp"

namespace swingtie {

struct TieOptions {
  /// Standard error of one tape distance: 0.1 ft, for a tape held level over a lawn between two points one can touch.
  double tape_sigma = 0.03048;
  double reach = 18.3;          ///< longest tie, metres (60 ft)
  double least_angle = 0.52;    ///< radians between two tapes, and away from a straight line (30 degrees)
  double least_distance = 1.0;  ///< a shorter tie swings about too small a circle, metres
};

/// The two or three fixed points from which a target is found again with the least error, and a further one to check.
/// Points behind the house are left out. Fewer than two ties when there is nothing to tie to.
/// @param truth  draws of the buried point itself, for the intervals of the distances; may be empty
TieSet swing_ties(const Placed& placed, const Viewer& viewer, PlanPoint target, std::string of, const Sample& truth,
                  const TieOptions& options = {});

/// States the intervals of a set's distances from the covariance of the buried point, to first order: for a point of
/// which there are no draws.
void state_intervals(TieSet& set, const PlanCovariance& spread);

/// Covariance of a point found by swinging tapes, by least squares: inverse of the sum of u u' / sigma^2, u the unit
/// vector along each tape. Infinite (1e6) where the tapes do not fix it.
PlanCovariance fix_of(const std::vector<PlanVector>& ways, const std::vector<double>& sigmas);

/// The offset-style description: `22'4" out from the front wall of the house, 7'6" right of its left corner`.
/// Left and right are those of somebody outside who faces that wall. Empty without a house or any line to lean on.
std::string offset_words(const Placed& placed, const Viewer& viewer, PlanPoint target);

}  // namespace swingtie
