#include "exchange/frame.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "exchange/formats.hpp"

namespace swingtie {
namespace {

constexpr const char* how_to_georeference =
    "add to `site:` either `crs: EPSG:…` or `anchor: {grid: [e, n], lat: …, lon: …, grid_north: …}`";

std::string wkt_of(const Placed& placed) {
  return placed.georeference ? placed.georeference->wkt() : std::string{};
}

void move(std::vector<PlanPoint>& points, const Frame& frame, const Placed& placed) {
  for (PlanPoint& p : points) p = in_frame(frame, placed, p);
}

struct Mover {
  const Frame& frame;
  const Placed& placed;

  void operator()(PointShape& shape) const { shape.at = in_frame(frame, placed, shape.at); }
  void operator()(LineShape& shape) const {
    for (auto& part : shape.parts) move(part, frame, placed);
  }
  void operator()(AreaShape& shape) const {
    for (AreaPart& part : shape.parts) {
      move(part.outer, frame, placed);
      for (auto& hole : part.holes) move(hole, frame, placed);
    }
  }
};

}  // namespace

Frame common_frame(std::span<const JobFindings> jobs) {
  const std::string wkt = wkt_of(*jobs.front().placed);
  const bool one_grid =
      std::all_of(jobs.begin(), jobs.end(), [&](const JobFindings& job) { return wkt_of(*job.placed) == wkt; });
  if (one_grid && !wkt.empty()) return {Frame::Kind::grid, wkt};
  if (jobs.size() == 1 && !jobs.front().placed->georeference) return {Frame::Kind::grid, {}};
  return lon_lat_frame(jobs, jobs.size() == 1 ? "this format" : "one file of several jobs");
}

Frame lon_lat_frame(std::span<const JobFindings> jobs, std::string_view format) {
  for (const JobFindings& job : jobs)
    if (!job.placed->georeference)
      throw CannotExport(
          fmt::format("`{}` lies on a local grid, and {} needs a place on the Earth", job.name, format),
          how_to_georeference);
  return {Frame::Kind::lon_lat, "EPSG:4326"};
}

PlanPoint in_frame(const Frame& frame, const Placed& placed, PlanPoint point) {
  if (frame.kind == Frame::Kind::lon_lat) {
    const LonLat at = placed.georeference->to_lon_lat(point);
    return {fixed(at.lon_deg, 9), fixed(at.lat_deg, 9)};
  }
  const double unit = metres_per_coordinate(placed);
  return {fixed(point.e / unit, 4), fixed(point.n / unit, 4)};
}

std::vector<Table> tables_in(const Frame& frame, std::span<const JobFindings> jobs) {
  std::vector<Table> all;
  for (const TableSchema& schema : table_schemas()) all.push_back({&schema, {}});
  for (const JobFindings& job : jobs) {
    std::vector<Table> tables = tabulate(job, frame.kind);
    for (std::size_t i = 0; i < tables.size(); ++i)
      for (TableRow& row : tables[i].rows) {
        std::visit(Mover{frame, *job.placed}, row.geometry);
        all[i].rows.push_back(std::move(row));
      }
  }
  return all;
}

}  // namespace swingtie
