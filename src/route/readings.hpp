#pragma once

#include <vector>

#include "place/placed.hpp"
#include "route/model.hpp"

namespace swingtie {

/// Lays a job's readings on a model whose unknowns are all there: clean-outs, locates with their depths and
/// directions, ends, wyes, and the grade between vertical fittings.
/// @param mean  prior means of the unknowns
void lay_readings(const Placed& placed, const std::vector<double>& mean, Model& model);

/// Where along the pipe a counter reading lies by the prior means, metres.
/// @param ahead  from the camera's own place to what is meant, along the cable
double nominal_coordinate(const Model& model, const std::vector<double>& mean, std::size_t run, double reading,
                          double ahead);

/// The pipe's axis above the origin's `up` at a clean-out, and how well that is known, metres.
struct Axis {
  double up = 0, sigma = 0;
};
Axis axis_below(const Placed& placed, const Model& model, const Run& run);

}  // namespace swingtie
