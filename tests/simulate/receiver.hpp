#pragma once

#include <optional>

#include "place/placed.hpp"
#include "simulate/dipole.hpp"
#include "simulate/random.hpp"

namespace swingtie::simulate {

/// What a person with a receiver brings along. Figures are common practice, no source, unless said.
struct Operator {
  double display_step = 0.01;               ///< share of the strongest signal that the display cannot tell from it
  double yaw = 7 * 3.14159265358979 / 180;  ///< radians, standard deviation of aiming the receiver along the pipe
  double placing = 0.03;      ///< metres, standard deviation per axis of putting the mark under the receiver (0.1 ft)
  double distortion = 0.015;  ///< of the depth, standard deviation per axis: metal nearby, wet soil
  double null_reading = 0.04;  ///< metres, standard deviation of finding one null along the walk
  double calibration = 0.025;  ///< of a depth from one calibrated signal reading, standard deviation
  double signal_noise = 0.01;  ///< of one signal reading
};

/// Which depth readings the operator takes.
struct DepthPlan {
  bool along = false, across = false, nulls = false, ratio = false;
};

struct ReceiverReading {
  Eigen::Vector2d mark;  ///< where the paint went, e and n
  DepthReadings depth;
};

/// Moves a receiver about over a transmitter as an operator would, in the field of the dipole itself.
///
/// - peak: any point whose total signal the display cannot tell from the strongest. That patch is long along the pipe
///   (the field is flat there to the fourth order) and shifted toward the raised end of a tilted coil.
/// - nulls: midway between the two points on the walk along the pipe where the axial component vanishes.
/// - line: on the pipe's line, anywhere within half a depth along it.
ReceiverReading take_locate(const Dipole& dipole, const Lawn& lawn, LocateMethod method, const DepthPlan& plan,
                            const Operator& person, Random& random);

}  // namespace swingtie::simulate
