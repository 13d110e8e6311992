#pragma once

#include <string_view>
#include <vector>

#include "place/placed.hpp"
#include "simulate/random.hpp"
#include "simulate/truth.hpp"

namespace swingtie::simulate {

/// How pipe of a material comes to lie in a trench. Stick lengths and the play of a joint are common practice, no
/// source; they are chosen so that the heading wanders by 0.5 to 1.1 degrees per square root of a foot.
struct Laying {
  double stick = 0;       ///< metres between joints
  double joint_play = 0;  ///< radians, standard deviation of the turn at a joint in the plan
  double sag = 0;         ///< radians, standard deviation of a stick's grade about the trench's
};
Laying laying(Material material);
/// What an inspector calls the material.
std::string_view trade_name(Material material);

struct PipeStretchPlan {
  double from = 0;  ///< metres of pipe
  Pipe pipe;
};

/// What the plumber meant to lay.
struct TrenchPlan {
  Eigen::Vector3d start = Eigen::Vector3d::Zero();  ///< axis at the first joint
  double azimuth = 0;                               ///< radians
  double grade = 0.02;                              ///< fall per metre of plan, positive downhill along the plan
  double length = 0;                                ///< metres of pipe
  std::vector<TrueBend> bends;                      ///< by distance
  std::vector<PipeStretchPlan> stretches;           ///< by distance, the first at 0
};

/// Lays pipe stick by stick: each joint turns a little, each fitting by its angle with the tolerance of the fitting
/// (2 degrees) and the play of its two joints. An up or down fitting tilts the pipe out of its grade until its
/// counterpart.
TrueLine lay(const TrenchPlan& plan, Random& random);

/// The same pipe with its ends exchanged: directions of left and right bends swap, up and down do not.
TrueLine reversed(const TrueLine& line);

}  // namespace swingtie::simulate
