#include "exchange/gdal_formats.hpp"

#include <algorithm>
#include <cmath>
#include <initializer_list>

#include <fmt/format.h>

#include "exchange/formats.hpp"
#include "exchange/frame.hpp"
#include "exchange/gdal/task.hpp"
#include "load/module.hpp"
#include "place/proj_module.hpp"

namespace swingtie {
namespace {

/// The unit of a job's coordinates, which a CRS may have of its own.
LengthUnit coordinate_unit(const Placed& placed) {
  const double metres = metres_per_coordinate(placed);
  for (const LengthUnit unit : {LengthUnit::foot, LengthUnit::us_survey_foot})
    if (std::abs(metres - metres_per(unit)) < 1e-9) return unit;
  return LengthUnit::metre;
}

std::string coordinates_in_words(const Frame& frame, const Placed& placed) {
  if (frame.kind == Frame::Kind::lon_lat) return "Coordinates: longitude and latitude, WGS 84.";
  const std::string_view unit = unit_word(coordinate_unit(placed));
  if (placed.crs.empty()) return fmt::format("Coordinates: a grid of the job's own, {}.", unit);
  return fmt::format("Coordinates: {}, {}.", placed.crs, unit);
}

GdalTask task_for(GdalTask::Container container, const Frame& frame, std::span<const JobFindings> jobs) {
  GdalTask task;
  task.container = container;
  task.crs = frame.crs;
  task.tables = tables_in(frame, jobs);
  task.unit = coordinate_unit(*jobs.front().placed);
  for (const JobFindings& job : jobs) task.date = std::max(task.date, job.placed->inspected);
  task.title = jobs.size() == 1 ? jobs.front().placed->site_name : std::string("House sewers");
  task.coordinates = coordinates_in_words(frame, *jobs.front().placed);
  task.cautions = cautions_of(jobs);
  return task;
}

void keep_only(std::vector<Table>& tables, std::initializer_list<std::string_view> names) {
  std::erase_if(tables, [&](const Table& table) {
    return std::find(names.begin(), names.end(), table.schema->name) == names.end();
  });
}

/// Without PROJ's database GDAL fails in words that name neither cause nor cure; opening our own module says both.
template <class Use>
auto through_gdal(Use&& use) {
  try {
    return use(open_module<GdalWriter>());
  } catch (const CannotExport&) {
    throw;
  } catch (const std::runtime_error&) {
    open_module<ProjModule>();
    throw;
  }
}

std::string write(const GdalTask& task) {
  return through_gdal([&](GdalWriter& writer) { return writer.write(task); });
}

}  // namespace

std::string write_geopackage(std::span<const JobFindings> jobs) {
  return write(task_for(GdalTask::Container::geopackage, common_frame(jobs), jobs));
}

std::string write_dxf(std::span<const JobFindings> jobs) {
  const Frame frame = [&] {
    if (jobs.size() == 1) {
      const Placed& placed = *jobs.front().placed;
      return Frame{Frame::Kind::grid, placed.georeference ? placed.georeference->wkt() : std::string{}};
    }
    return common_frame(jobs);
  }();
  if (frame.kind == Frame::Kind::lon_lat)
    throw CannotExport("a drawing needs one grid, and these jobs lie on several", "export each to a file of its own");
  return write(task_for(GdalTask::Container::dxf, frame, jobs));
}

std::string write_kml(std::span<const JobFindings> jobs) {
  return write(task_for(GdalTask::Container::kml, lon_lat_frame(jobs, "KML"), jobs));
}

std::string write_gpx(std::span<const JobFindings> jobs) {
  GdalTask task = task_for(GdalTask::Container::gpx, lon_lat_frame(jobs, "GPX"), jobs);
  keep_only(task.tables, {"access", "crossings", "items", "route"});
  return write(task);
}

std::string write_shapefiles(std::span<const JobFindings> jobs) {
  return write(task_for(GdalTask::Container::shapefile, common_frame(jobs), jobs));
}

std::string write_flatgeobuf(std::span<const JobFindings> jobs) {
  return write(task_for(GdalTask::Container::flatgeobuf, common_frame(jobs), jobs));
}

std::size_t append_to_database(const std::string& connection, const std::string& schema,
                               std::span<const JobFindings> jobs) {
  PostgisTask task;
  task.connection = connection;
  task.schema = schema;
  task.tables = tables_in(lon_lat_frame(jobs, "the database"), jobs);
  for (const JobFindings& job : jobs) task.jobs.push_back(job.name);
  task.cautions = fmt::format("{}", fmt::join(cautions_of(jobs), " "));
  return through_gdal([&](GdalWriter& writer) { return writer.append(task); });
}

}  // namespace swingtie
