#pragma once

#include <cmath>

#include "measure/bearing.hpp"
#include "measure/length.hpp"

namespace swingtie {

/// What is believed of lateral pipes, counters and receivers before a job's readings, in one place.
/// Standard deviations unless said otherwise; metres and radians.
namespace prior {

/// Heading drift between fittings: 1 degree per root foot of pipe. Joint play; common practice, no source.
inline const double drift_per_root_metre = 1.0 * degree / std::sqrt(metres_per_foot);
/// Grade drift: pipe is laid to a level, so it keeps its grade better than its heading. No source.
inline const double grade_drift_per_root_metre = 0.15 * degree / std::sqrt(metres_per_foot);
/// Where not every fitting was written down some that turn the pipe down and up again may be missing as well. A drop
/// of 2 ft in one lateral of eight comes to about three times as much. Judgement, no source.
inline const double grade_drift_unlogged_per_root_metre = 3 * grade_drift_per_root_metre;
/// Usual fall of a lateral: half a grade above the least the code allows for its size. IPC Table 704.1: 1/4 in/ft
/// up to 2 1/2 in, 1/8 in/ft up to 6 in, 1/16 in/ft from 8 in.
inline double design_grade(double size) {
  const double inches = size / metres_per_inch;
  const double least = inches <= 0 ? 1.0 / 96 : inches < 2.75 ? 1.0 / 48 : inches < 7 ? 1.0 / 96 : 1.0 / 192;
  return 1.5 * least;
}
/// Grade of a lateral about its usual value (design_grade). Judgement from the code's minimum of
/// 1/8 to 1/4 in/ft for house sewers (IPC Table 704.1) and its usual doubling.
inline constexpr double grade = 0.012;
/// What the ground adds to that, as depths are counted from it: a share of its slope where the job knows heights (a
/// line down a hillside lies anywhere between its own grade and the hill's), and the slope of an ordinary lot where
/// the job says nothing. Judgement, no source.
inline constexpr double grade_per_ground_slope = 0.8;
inline constexpr double grade_unstated_ground = 0.015;
/// A fitting's angle about what was written.
inline constexpr double bend_angle = 5.0 * degree;
/// A bend whose angle was not written, about 45 degrees: the standard fittings 22.5, 45, 60, 72 and 90.
inline constexpr double bend_angle_unwritten = 22.0 * degree;
inline constexpr double bend_angle_usual = 45.0 * degree;

/// Counter: scale about 1 and zero about what was stated (inspection specifications ask for 0.5 % to 1 % or 1 ft),
/// and the reading of one entry.
inline constexpr double counter_scale = 0.01;
inline constexpr double counter_zero = 0.3 * metres_per_foot;
inline constexpr double counter_reading = 0.175 * metres_per_foot;

/// The pipe's entry about the clean-out's position, on top of that position's own covariance.
inline constexpr double access = 0.03;
/// Invert below ground at a clean-out by a tape, and where the drop was not written or was taken from a basement.
inline constexpr double drop = 0.05;
inline constexpr double drop_unwritten = 1.2;
/// Depth of a lateral where nobody measured it.
inline constexpr double usual_depth = 1.5;

/// Where a line drawn on a city's map really lies, on top of its own covariance.
inline constexpr double mapped_line = 0.15;
/// A branch's end about the wye's axis.
inline constexpr double wye = 0.10;

/// Directions in which nothing is believed: wide against any lot, narrow enough to keep the arithmetic exact.
inline constexpr double anywhere = 60.0;
inline constexpr double any_heading = 3.0;

/// What a receiver adds to the position of a locate: pin-pointing and setting the mark, and a part that grows
/// with the depth d (dipole field, F2, F7-F9 of tests/reference/locating-tilt.csv).
///   across the pipe            0.05 m + 0.025 d: blind tests over deep coils came to 1 to 1.5 % of the depth
///                              on clear ground (R. Buecher 2016); as much again for metal and wet soil under a
///                              lawn, judgement
///   along, strongest signal    0.14 d about a point toward the raised end (peak_shift): the top of the total field
///                              is so flat that anywhere within a seventh of the depth looks like the peak
///   along, between the nulls   0.03 d about a point toward the lower end (nulls_shift): each null is found to +-
///                              2 inches or so
///   along, on the line only    nothing
inline constexpr double receiver_mark = 0.05;
inline constexpr double receiver_across_per_depth = 0.025;
inline constexpr double receiver_peak_per_depth = 0.14;
inline constexpr double receiver_nulls_per_depth = 0.03;
inline constexpr double receiver_line_along = 30.0;
/// Where on the line an operator who only wants to be on it stands.
inline constexpr double receiver_line_per_depth = 0.3;
/// On a slope t the strongest total signal stands (t/4)^(1/3) - 0.59 t of the depth toward the raised end: F9 and the
/// first correction to it, within 0.005 of the exact maximum up to a slope of 0.4. The flat top hides part of that:
/// operators who stop anywhere on it average this share. The midpoint of the nulls stands 0.75 t of the depth toward
/// the lower end (F7).
inline constexpr double peak_share = 0.62;
inline constexpr double peak_correction = 0.59;
inline constexpr double peak_steepest = 0.4;
inline constexpr double nulls_shift = 0.75;
/// What the uncertain slope of a steep pipe, a drop say, adds to that per unit of slope beyond an ordinary grade.
inline constexpr double nulls_per_tilt = 0.4;
inline constexpr double peak_per_tilt = 0.25;

/// Depth readings, as a share of the depth, and a floor. Along the pipe: makers' usual 5 %. Across it the coil is
/// in the receiver's blind direction: weak, common practice. Nulls: each found to about 2 % of the depth.
inline constexpr double depth_along = 0.05;
/// "Across" is never square to the pipe, where there is no signal: from 50 to 75 degrees off it a calibrated reading
/// comes out too deep by (cos q)^(-1/3), 1.16 to 1.57 (F6).
inline constexpr double depth_across_too_deep = 1.3;
inline constexpr double depth_across = 0.20;
inline constexpr double depth_nulls = 0.03;
inline constexpr double signal_ratio = 0.02;
inline constexpr double depth_floor = 0.03;
/// A direction read off the receiver.
inline constexpr double receiver_direction = 10.0 * degree;

}  // namespace prior
}  // namespace swingtie
