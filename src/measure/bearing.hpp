#pragma once

#include <string>
#include <string_view>

#include "measure/length.hpp"
#include "measure/plane.hpp"

namespace swingtie {

inline constexpr double pi = 3.14159265358979323846;
inline constexpr double degree = pi / 180.0;  ///< radians per degree

/// Reads a direction in any usual spelling: quadrant bearings `N 12°30'15" E`, `N 12-30-15 E`, `N12.5E`,
/// `S 04 30 00 W`, `due north`; azimuths from grid north `347.5`, `126-55-17`.
/// Quadrant angles above 90 degrees, minutes or seconds of 60 or more, and azimuths outside [0, 360] are faults.
/// @return the azimuth in [0, 2 pi)
Parsed<Azimuth> parse_bearing(std::string_view text);

/// Reads an angle in degrees: `45`, `22.5`, `22 1/2`, `-3`, `28-49-34`, `28°49'34"`. @return radians
Parsed<double> parse_angle(std::string_view text);

/// Reads one of the sixteen points of the compass: `n`, `NE`, `south-west`, `south west`, `nne`. @return the azimuth
/// in [0, 2 pi), nothing for any other word
std::optional<Azimuth> parse_compass_point(std::string_view text);

/// A direction and how far to go along it.
struct Course {
  Azimuth bearing;
  double distance = 0;  ///< metres
};

/// Reads a bearing followed by a length: `N 04 30 00 E 118.00`, `N 12 E 40'6"`, `347.5 40`, `126-55-17, 118 ft`.
/// A plain length is in `unit`. An azimuth followed by more than one plain number is read as a length in feet and
/// inches or as d m s and a length, whichever the marks allow.
Parsed<Course> parse_course(std::string_view text, LengthUnit unit);

enum class BearingStyle { quadrant, azimuth };

/// A direction as written in deeds (`N 12°30'15" E`) or as an azimuth (`12°30'15"`), to the nearest second.
std::string format_bearing(Azimuth azimuth, BearingStyle style);

}  // namespace swingtie
