#pragma once

#include <span>

#include "measure/plane.hpp"

namespace swingtie {

/// A rectangle along the pipe.
struct Window {
  PlanPoint centre;
  double length = 0, width = 0;  ///< along and across, metres, whole multiples of the step
  double contains = 0;  ///< probability that the point lies inside: the draws' share, less the luck of the choice
};

/// The rectangle of least area along a direction, its sides whole multiples of `step`, that holds this share of the
/// draws. Of equal areas the one nearer a square. It is centred on `estimate` unless moving it makes it a good deal
/// smaller, as it does when the draws form separate groups or a skew one.
/// @param draws  not empty
/// @param wanted  in (0, 1)
Window fit_window(std::span<const SitePoint> draws, PlanPoint estimate, Azimuth along, double step, double wanted);

/// Volume of a pit with a rectangular bottom and sides of one slope, cubic metres: the prismoidal formula, exact
/// here.
/// @param slope  horizontal per vertical
double pit_volume(double length, double width, double depth, double slope);

}  // namespace swingtie
