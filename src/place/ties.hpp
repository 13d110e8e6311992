#pragma once

#include <cstddef>
#include <vector>

#include "place/uncertain.hpp"

namespace swingtie {

//              P
//            / | \          base: from A to B, length d
//        r1 /  h  \ r2      a = (r1^2 - r2^2 + d^2) / 2d, the foot of P on the base
//          /   |   \        h^2 = r1^2 - a^2; below zero the ties do not meet
//         A--a-+----B

/// A taped distance from a known point to the point sought.
struct TapedTie {
  UncertainPoint from;
  double distance = 0;  ///< metres, > 0
  double sigma = 0;     ///< standard error of the distance, metres, > 0
};

/// Where two circles cross.
struct CircleCrossing {
  PlanPoint right, left;  ///< seen from the first centre toward the second; equal if they only touch
  double gap = 0;         ///< metres by which they fail to meet, then both points are midway in the gap; else 0
};

/// Crossing of the circle about `a` and the circle about `b`. In a gap the point divides it in the ratio of the
/// two sigmas. The centres must not coincide.
CircleCrossing cross_circles(PlanPoint a, double radius_a, double sigma_a, PlanPoint b, double radius_b,
                             double sigma_b);

/// One place that fits the ties.
struct TieSolution {
  UncertainPoint point;
  double chi_square = 0;           ///< of the residuals; with two ties that meet 0
  std::vector<double> residuals;   ///< taped minus adjusted distance, metres, in the order of the ties
  std::vector<double> normalised;  ///< each residual over its own standard error; 0 where nothing checks a tie
};

struct TieFix {
  /// The best place first. A second one, the mirror image across the base, only where it fits about as well.
  std::vector<TieSolution> solutions;
  double gap = 0;        ///< two ties: metres by which they fail to meet
  double gap_sigma = 0;  ///< standard error of that gap
};

/// The point from two ties or more: two are intersected, more are adjusted by generalised least squares, in which
/// points that share an error (two corners of one house) are weighted as such. No two `from` may coincide in place.
///
/// The covariance follows from the crossing angle, sigma across = sigma / sin(angle); near the base, where that
/// would grow without bound, h is taken from h^2 and its standard error instead, so it stays finite.
/// Source: Ghilani, Adjustment Computations, trilateration; tests/reference/ties.csv.
TieFix fix_by_ties(const std::vector<TapedTie>& ties, ErrorSources& sources);

}  // namespace swingtie
