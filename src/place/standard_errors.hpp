#pragma once

#include "measure/bearing.hpp"
#include "measure/length.hpp"

/// What a measurement is taken to be worth where the job states no `within`. Standard errors (one sigma), metres
/// and radians. Every figure is here and nowhere else, with its reason; a job overrides any of them by `within`.
namespace swingtie::standard_errors {

/// A tape end held on a house corner or a tree: an inch and a bit for finding the mark at both ends.
/// Common practice, no source.
inline constexpr double tape_end = 0.1 * metres_per_foot;
/// Growth of a taped length with its length. A tape held level by eye to 2.5 degrees reads 1 - cos 2.5 degrees =
/// 0.00095 too long; sag and stretch are of the same order.
inline constexpr double tape_per_metre = 0.001;
/// A right angle set off from a wall or a curb with outstretched arms or by sighting along a wall. Common practice,
/// no source.
inline constexpr double right_angle_by_eye = 1.0 * degree;
/// A bearing read on a hand compass, with the declination set off. Common practice, no source.
inline constexpr double compass_bearing = 1.0 * degree;
/// The heading given for a whole house, usually taken over from a lot line. Common practice, no source.
inline constexpr double house_heading = 0.5 * degree;
/// The corner of a building against what the job says it is (90 degrees as a rule). Common practice, no source.
inline constexpr double house_corner = 0.3 * degree;
/// A coordinate typed in without a word on its accuracy, each axis: read off a plan or set out by tape.
/// Common practice, no source.
inline constexpr double typed_coordinate = 0.1 * metres_per_foot;
/// A recorded course of a deed: printed to 0.01 ft, monuments found within 0.05 ft. Common practice, no source.
inline constexpr double deed_length = 0.05 * metres_per_foot;
inline constexpr double deed_length_per_metre = 1.0 / 10000.0;
/// A recorded bearing: deeds print seconds, but the meridians of two deeds differ by more. Common practice, no
/// source.
inline constexpr double deed_bearing = 30.0 / 3600.0 * degree;
/// An elevation read with a hand level or taken from a plan. Common practice, no source.
inline constexpr double ground_elevation = 0.1 * metres_per_foot;
/// How far a lawn departs from the even surface through its known spots, and over what distance it does.
/// Common practice, no source.
inline constexpr double ground_relief = 0.5 * metres_per_foot;
inline constexpr double ground_relief_range = 40.0 * metres_per_foot;
inline constexpr double ground_slope = 0.05;
/// A height read from an elevation model without an accuracy of its own; 1 m lidar models are specified at
/// 0.10 m RMSE on open ground (USGS Lidar Base Specification, quality level 2; from memory).
inline constexpr double elevation_model = 0.10;

/// 95 % radius of a phone's fix under open sky. Dual-frequency and older phones in the open: RMSE 1.7 to 4.5 m
/// (Tomastik et al. 2017 and 2021), gps.gov says 4.9 m; under trees it is two to five times worse.
inline constexpr double phone_within = 5.0;
/// 95 % radius of a parcel or asset layer of a GIS: mostly a shift of the layer as a whole. Common practice, no
/// source.
inline constexpr double gis_within = 2.0 * metres_per_foot;

/// Ratio of the radius that holds 95 % to the root mean square distance, of a circular normal error: sqrt(ln 20)
/// (GPS World, January 1998, prints 1.7).
inline constexpr double radius95_per_rms = 1.7308;

}  // namespace swingtie::standard_errors
