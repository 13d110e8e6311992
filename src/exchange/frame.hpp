#pragma once

#include <span>
#include <string>
#include <vector>

#include "exchange/table.hpp"

namespace swingtie {

/// Which coordinates a file of several jobs is in.
struct Frame {
  using Kind = CoordinateKind;
  Kind kind = Kind::grid;
  std::string crs;  ///< OGC WKT of the grid; `EPSG:4326` for lon_lat; empty: a local grid
};

/// The jobs' own grid where they share one, else longitude and latitude.
/// Throws CannotExport for several jobs of which one lies on a local grid.
Frame common_frame(std::span<const JobFindings> jobs);

/// Longitude and latitude. Throws CannotExport for a job that does not know where on the Earth it is.
/// @param format  named in the message
Frame lon_lat_frame(std::span<const JobFindings> jobs, std::string_view format);

/// The tables of all jobs, one after the other, with their geometry in the frame's coordinates.
std::vector<Table> tables_in(const Frame& frame, std::span<const JobFindings> jobs);

/// A point in the frame's coordinates.
PlanPoint in_frame(const Frame& frame, const Placed& placed, PlanPoint point);

}  // namespace swingtie
