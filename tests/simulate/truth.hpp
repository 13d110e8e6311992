#pragma once

#include <Eigen/Core>
#include <cstddef>
#include <vector>

#include "job/terms.hpp"
#include "measure/plane.hpp"
#include "route/posterior.hpp"

namespace swingtie::simulate {

/// What really lies in the ground and what really happened, which the notes of a job only reflect.

/// A change of direction made by a fitting, as the water flows.
struct TrueBend {
  double distance = 0;  ///< metres of pipe from the line's house end
  Hand hand = Hand::left;
  double angle = 0;  ///< radians, > 0, nominal of the fitting
};

/// The axis of a pipe, house to main.
struct TrueLine {
  std::vector<Eigen::Vector3d> vertices;  ///< e, n, up; metres
  std::vector<double> distances;          ///< metres of pipe at each vertex, starting at 0
  std::vector<TrueBend> bends;            ///< by distance

  double length() const { return distances.back(); }
  /// Beyond the ends the pipe is continued straight.
  Eigen::Vector3d at(double distance) const;
  Eigen::Vector3d direction(double distance) const;  ///< unit vector, toward the main
  double station(double distance) const;             ///< metres on the plan from the house end
};

/// How a run's counter really relates to the pipe: the lens is at entry + sense * (reading - zero) * scale.
struct TrueRun {
  std::size_t line = 0;
  double entry = 0;  ///< metres of pipe from the line's house end at which the camera entered
  double sense = 1;  ///< 1 toward the main, -1 toward the house
  double scale = 1;
  double zero = 0;      ///< metres, what the counter showed with the lens at the pipe entry
  double furthest = 0;  ///< metres of pipe the lens travelled
  /// What each log item of the notes really lies at, in their order: metres of pipe from the line's house end.
  std::vector<double> log_distances;
  double distance(double reading) const { return entry + sense * (reading - zero) * scale; }
};

/// One thing that the notes say wrongly or leave out.
struct Mistake {
  MistakeKind what = MistakeKind::wrong_locate;
  std::size_t run = 0;
  double at = 0;      ///< counter reading, metres: as written in the notes, or where the missing bend is
  double amount = 0;  ///< metres of the blunder or the misreading, radians of the bend
  std::size_t index =
      0;  ///< of the locate or log item in the run of the notes; unused for bends left out and for zeros
};

struct Truth {
  std::vector<TrueLine> lines;
  std::vector<TrueRun> runs;
  std::vector<Mistake> mistakes;

  /// Where the lens was when the counter of a run showed this.
  Eigen::Vector3d at(std::size_t run, CounterReading reading) const;
};

}  // namespace swingtie::simulate
