#pragma once

#include <memory>

#include "place/placed.hpp"
#include "route/model.hpp"

namespace swingtie {

/// The readings a job can hold, each as whitened residuals. Points are relative to Model::origin, metres.

/// Clean-out: the pipe's entry lies below it. 3 rows: e, n, up.
/// @param up  of the pipe's axis; @param sigma_up its standard deviation
std::unique_ptr<Observation> observe_access(std::size_t run, PlanPoint at, const PlanCovariance& covariance,
                                            double up, double sigma_up);

/// A locate: where the receiver stood over the sonde. 2 rows.
/// @param model_locate  index into Model::locates
std::unique_ptr<Observation> observe_locate(std::size_t model_locate);

/// A depth read at a locate. 1 row.
enum class DepthKind { along, across, nulls, ratio };
/// @param depth  as read (for nulls and ratio: as computed from the readings); @param sigma when read along the pipe
/// @param receiver  direction in which the receiver lay for DepthKind::along and across, if the job says
std::unique_ptr<Observation> observe_depth(std::size_t model_locate, DepthKind kind, double depth, double sigma,
                                           std::optional<double> receiver);

/// The line's direction seen at the receiver: an axis, not an arrow. 1 row.
std::unique_ptr<Observation> observe_direction(std::size_t model_locate, double azimuth);

/// The line ends somewhere on a drawn line or on the edge of an area. 1 row: the distance across it.
std::unique_ptr<Observation> observe_end_on_line(const LineEndpoint& end,
                                                 std::vector<std::vector<PlanPoint>> polylines, double sigma);

/// The line ends at a point. 2 rows.
std::unique_ptr<Observation> observe_end_at_point(const LineEndpoint& end, PlanPoint at,
                                                  const PlanCovariance& covariance);

/// A branch ends on its parent: at a wye seen from a run of the parent (3 rows), or anywhere on it (2 rows).
std::unique_ptr<Observation> observe_wye(const LineEndpoint& branch_end, const Sighting& wye);
std::unique_ptr<Observation> observe_join(const LineEndpoint& branch_end, std::size_t parent);

/// A fitting written down by a second run as well. 1 row: where the two put it.
std::unique_ptr<Observation> observe_same_bend(std::size_t bend, const Sighting& other);

/// Between vertical fittings a lateral lies at its grade again. 1 row: the pitch at a pipe coordinate.
std::unique_ptr<Observation> observe_grade(std::size_t line, double at, double pitch, double sigma);

}  // namespace swingtie
