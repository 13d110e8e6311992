// Features and ground heights that come from files.

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <limits>

#include <fmt/format.h>

#include "load/module.hpp"
#include "place/file_frame.hpp"
#include "place/gdal_module.hpp"
#include "place/ground.hpp"
#include "place/outlines.hpp"
#include "place/resolver.hpp"
#include "place/standard_errors.hpp"
#include "place/survey.hpp"

namespace swingtie {
namespace {

/// How far round a `near` point a file is read first; a feature further off needs the whole file.
constexpr double near_reach = 150;
/// How much ground around the site is kept.
constexpr double ground_reach = 30;

std::string attribute(const FileFeature& feature, std::string_view name) {
  for (const auto& [key, value] : feature.attributes) {
    if (key == name) return value;
  }
  return {};
}

/// GDAL's words without the drawing of the place that follows in its parser's.
std::string first_line(const std::string& words) {
  return words.substr(0, std::min(words.find('\n'), words.find(". Occurred around")));
}

/// `PIN = '07-113', OWNER = …`: enough to tell one feature of a file from another.
std::string describe(const FileFeature& feature) {
  std::string text;
  int shown = 0;
  for (const auto& [key, value] : feature.attributes) {
    if (value.empty() || value.size() > 40 || shown == 3) continue;
    text += fmt::format("{}{} = '{}'", shown++ == 0 ? "" : ", ", key, value);
  }
  return text.empty() ? fmt::format("number {}", feature.number) : text;
}

/// What the attributes of a feature say of the area that its outline has, square metres.
enum class AreaVerdict { silent, agree, disagree };
AreaVerdict weigh_area(const FileFeature& feature, double area) {
  const auto alike = [](double a, double b) { return std::abs(a - b) < 0.02 * b; };
  constexpr double square_foot = metres_per_foot * metres_per_foot, acre = 43560 * square_foot, hectare = 1e4;
  AreaVerdict by_acres = AreaVerdict::silent, by_area = AreaVerdict::silent;
  for (const auto& [key, value] : feature.attributes) {
    std::string lower = key;
    std::transform(lower.begin(), lower.end(), lower.begin(),
                   [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
    const bool acres = lower.find("acre") != std::string::npos, hectares = lower.find("hect") != std::string::npos;
    const bool any = lower.find("area") != std::string::npos || lower.find("sqft") != std::string::npos ||
                     lower.find("sq_ft") != std::string::npos;
    const double number = std::strtod(value.c_str(), nullptr);
    if (!(number > 0) || !std::isfinite(number)) continue;
    if (acres || hectares) {
      // Acres are printed to a tenth or a hundredth; a wrong unit is out by a factor of ten.
      by_acres = std::abs(std::log(number * (acres ? acre : hectare) / area)) < std::log(2.0) ? AreaVerdict::agree
                                                                                              : AreaVerdict::disagree;
    } else if (any) {
      const bool agrees = alike(number, area) || alike(number, area / square_foot);
      if (agrees || by_area == AreaVerdict::silent) by_area = agrees ? AreaVerdict::agree : AreaVerdict::disagree;
    }
  }
  return by_acres != AreaVerdict::silent ? by_acres : by_area;
}

FileFeature on_site(const FileFeature& feature, const FileFrame& frame) {
  FileFeature moved = feature;
  for (PlanPoint& p : moved.points) p = frame.to_site(p);
  for (auto& line : moved.lines) {
    for (PlanPoint& p : line) p = frame.to_site(p);
  }
  for (AreaPart& part : moved.areas) {
    for (PlanPoint& p : part.outer) p = frame.to_site(p);
    for (Ring& hole : part.holes) {
      for (PlanPoint& p : hole) p = frame.to_site(p);
    }
  }
  return moved;
}

double distance_to_file_feature(const FileFeature& feature, PlanPoint from) {
  double nearest = std::numeric_limits<double>::infinity();
  for (const PlanPoint p : feature.points) nearest = std::min(nearest, distance(p, from));
  for (const Polyline& line : feature.lines) nearest = std::min(nearest, distance_to(line, from));
  for (const AreaPart& part : feature.areas) {
    const bool in_hole =
        std::any_of(part.holes.begin(), part.holes.end(), [&](const Ring& hole) { return holds(hole, from); });
    nearest = std::min(nearest, holds(part.outer, from) && !in_hole ? 0.0 : distance_to_ring(part.outer, from));
  }
  return nearest;
}

/// Closed lines become the areas they run round; those of one outline become one, unless one is to be chosen.
void close_outlines(std::vector<FileFeature>& features, bool choose) {
  bool all = !features.empty();
  for (FileFeature& feature : features) {
    auto area = as_area(feature);
    all = all && area.has_value();
    if (area) feature = std::move(*area);
  }
  if (!all || choose || features.size() < 2) return;
  if (auto one = as_one_area(features)) features = {std::move(*one)};
}

/// Some place of the job that no file gave: where a person typed coordinates, or the anchor.
std::optional<PlanPoint> typed_place(const Job& job, const SiteGrid& grid) {
  if (const auto sample = survey_positions(job).sample)
    return PlanPoint{sample->e * grid.coordinate_scale, sample->n * grid.coordinate_scale};
  if (job.site.anchor) return PlanPoint{job.site.anchor->value.grid_e, job.site.anchor->value.grid_n};
  return std::nullopt;
}

PlanPoint first_vertex(const FileFeature& feature) {
  if (!feature.points.empty()) return feature.points.front();
  return feature.lines.empty() ? feature.areas.front().outer.front() : feature.lines.front().front();
}

/// A feature further off than this belongs to another town, metres.
constexpr double another_town = 50'000;

/// Town lots lie between these; a lot outside that would lie inside with another unit is asked about.
constexpr double small_lot = 60, large_lot = 8000;  // square metres

}  // namespace

std::optional<ShapedFeature> Resolver::shape_file(const FeatureEntry& entry, const FileSource& source) {
  std::optional<UncertainPoint> near;
  if (source.near && !(near = position(*source.near))) return std::nullopt;

  std::optional<FileFrame> frame;
  bool frame_tried = false;
  const auto frame_for = [&](const std::string& wkt) {
    if (!frame_tried) frame = FileFrame::make(job_.site, grid_, wkt, source.crs, source.path.at, report_);
    frame_tried = true;
    return frame.has_value();
  };
  VectorRequest request;
  const auto path = file_path(source.path);
  if (!path) return std::nullopt;
  request.path = *path;
  request.layer = source.layer;
  request.where = source.where;
  if (near) {
    request.part = [&](const std::string& wkt) -> std::optional<FileBox> {
      if (!frame_for(wkt)) return std::nullopt;
      return frame->box_around(near->at, near_reach);
    };
  }
  const auto& gdal = open_module<GdalModule>();
  VectorAnswer answer = gdal.read_vectors(request);
  if (!report_file_fault(answer.fault, answer.words, source.path, gdal.formats())) {
    if (answer.fault == FileFault::no_layer) {
      const auto close = nearest_name(source.layer, answer.layers);
      report_.error(source.path.at,
                    source.layer.empty() ? fmt::format("this file has {} layers", answer.layers.size())
                                         : fmt::format("this file has no layer `{}`", source.layer),
                    "`layer:` one of: " + join_names(answer.layers),
                    close && !source.layer.empty() ? fmt::format("did you mean `{}`?", *close) : "");
    } else if (answer.fault == FileFault::bad_where) {
      report_.error(source.path.at,
                    fmt::format("`where: {}` cannot be used: {}", source.where, first_line(answer.words)),
                    "a condition on its attributes: " + join_names(answer.fields),
                    "text stands in single quotes: `PIN = '07-113'`");
    }
    return std::nullopt;
  }
  if (!frame_for(answer.crs_wkt)) return std::nullopt;

  if (is_outlined(entry.kind.value)) close_outlines(answer.features, near.has_value());
  std::vector<const FileFeature*> usable;
  for (const FileFeature& feature : answer.features) {
    if (feature.shape) usable.push_back(&feature);
  }
  if (usable.empty()) {
    const std::string what =
        answer.features.empty()
            ? (source.where.empty() ? std::string("this layer is empty")
                                    : fmt::format("no feature meets `{}`", source.where))
            : fmt::format("the feature of this file cannot be used: {}", answer.features[0].fault);
    report_.error(source.path.at, what,
                  !answer.features.empty() ? "a point, a line or an area"
                  : answer.fields.empty()  ? ""
                                           : "attributes: " + join_names(answer.fields));
    return std::nullopt;
  }
  const FileFeature* chosen = usable[0];
  if (usable.size() > 1 && !near) {
    std::string examples;
    for (std::size_t i = 0; i < std::min<std::size_t>(usable.size(), 3); ++i)
      examples += (i == 0 ? "" : "; ") + describe(*usable[i]);
    report_.error(source.path.at,
                  fmt::format("{} features {}, and one is wanted",
                              answer.features.size() < 1000 ? std::to_string(usable.size()) : "1000 or more",
                              source.where.empty() ? "are in this layer" : fmt::format("meet `{}`", source.where)),
                  "`where:` with a condition, or `near:` with a position inside it", "the first are " + examples);
    return std::nullopt;
  }

  const auto convert = [&](const FileFeature& feature) { return on_site(feature, *frame); };
  FileFeature moved = convert(*chosen);
  if (near) {
    double best = distance_to_file_feature(moved, near->at);
    for (const FileFeature* other : usable) {
      FileFeature candidate = convert(*other);
      const double away = distance_to_file_feature(candidate, near->at);
      if (away < best) {
        best = away;
        chosen = other;
        moved = std::move(candidate);
      }
    }
    if (best > near_reach) {
      report_.warn(
          source.path.at,
          fmt::format("the nearest feature of this file is {} away from the point given", length_text(best, 0)), {},
          "check `near:`, and the coordinate system of the file");
    }
  }
  if (!check_file_coordinates(entry, source, *chosen, moved, *frame)) return std::nullopt;
  return shaped_from_file(entry, source, *chosen, moved, *frame, answer.fields);
}

std::optional<std::string> Resolver::file_path(const Written<std::string>& name) {
  // An address goes on as it is: the reader of the file says what is wrong with it.
  if (name.value.find("://") != std::string::npos || name.value.rfind("/vsi", 0) == 0) return name.value;
  auto path = files_.path(name.value);
  if (!path)
    report_.error(name.at, fmt::format("`{}` lies outside the folder of the jobs", name.value),
                  "a file inside that folder", "copy it there");
  return path;
}

bool Resolver::report_file_fault(FileFault fault, const std::string& words, const Written<std::string>& path,
                                 const std::vector<std::string>& formats) {
  switch (fault) {
    case FileFault::none:
      return true;
    case FileFault::missing: {
      std::vector<std::string> there;
      const std::filesystem::path wanted = std::filesystem::path(files_.folder) / path.value;
      std::error_code failed;
      for (const auto& item : std::filesystem::directory_iterator(wanted.parent_path(), failed))
        there.push_back(item.path().filename().string());
      std::sort(there.begin(), there.end());
      const auto close = nearest_name(wanted.filename().string(), there);
      report_.error(path.at, fmt::format("no file `{}`", path.value), "a path relative to the job file",
                    close ? fmt::format("did you mean `{}`?",
                                        (std::filesystem::path(path.value).parent_path() / *close).string())
                          : "");
      return false;
    }
    case FileFault::not_local:
      report_.error(path.at, fmt::format("`{}` is not a file on this machine", path.value),
                    "a path relative to the job file",
                    "nothing is fetched while a job is read: download it and name the file");
      return false;
    case FileFault::unreadable:
      report_.error(path.at,
                    fmt::format("`{}` cannot be read{}{}", path.value, words.empty() ? "" : ": ", first_line(words)),
                    "one of: " + join_names(formats));
      return false;
    case FileFault::too_large:
      report_.error(path.at, fmt::format("`{}` holds more than a plan of a lot needs", path.value), "a part of it",
                    "cut out the surroundings of the site, or add `near:`");
      return false;
    case FileFault::no_layer:
    case FileFault::bad_where:
      break;
  }
  return false;
}

bool Resolver::check_file_coordinates(const FeatureEntry& entry, const FileSource& source, const FileFeature& written,
                                      const FileFeature& moved, const FileFrame& frame) {
  double largest = 0;
  bool finite = true;
  const auto see = [&](const std::vector<PlanPoint>& in_file, const std::vector<PlanPoint>& on_site) {
    for (const PlanPoint p : in_file) largest = std::max({largest, std::abs(p.e), std::abs(p.n)});
    for (const PlanPoint p : on_site) finite = finite && std::isfinite(p.e) && std::isfinite(p.n);
  };
  see(written.points, moved.points);
  for (std::size_t i = 0; i < written.lines.size(); ++i) see(written.lines[i], moved.lines[i]);
  for (std::size_t i = 0; i < written.areas.size(); ++i) see(written.areas[i].outer, moved.areas[i].outer);
  if (frame.geographic() && largest > 360) {
    report_.error(source.path.at,
                  fmt::format("this file says that it counts in degrees, and holds a coordinate of {:.0f}", largest),
                  "its true system in `crs:`",
                  "a file exported without its coordinate system often claims to be WGS 84");
    return false;
  }
  if (!finite) {
    report_.error(source.path.at, "the coordinates of this file lie outside the grid of the site", {},
                  "check `crs:` of the file and of the site");
    return false;
  }
  const auto known = typed_place(job_, grid_);
  const double away = known ? distance(first_vertex(moved), *known) : 0;
  if (away > another_town) {
    const std::string lies =
        fmt::format("`{}` lies {:.0f} km from the coordinates that this job states", entry.id.value, away / 1000);
    const PlanPoint p = first_vertex(written);
    const PlanPoint turned = frame.geographic() ? frame.to_site({p.n, p.e}) : first_vertex(moved);
    if (std::isfinite(turned.e) && distance(turned, *known) < another_town) {
      report_.error(source.path.at, "latitude and longitude stand in the other order in this file",
                    "longitude first, as its format has it", "as it is, " + lies);
      return false;
    }
    report_.warn(source.path.at, lies, {}, "check `crs:` of the file and of the site");
  }
  if (is_outlined(entry.kind.value) && written.shape == GeometryKind::line) {
    report_.warn(source.path.at, fmt::format("`{}` is an open line in this file, and stays one", entry.id.value), {},
                 "a lot, a house or a driveway is an area: close its outline");
  }
  if (written.repaired) {
    report_.warn(source.path.at,
                 fmt::format("the outline of `{}` crosses itself in this file; it was taken apart at the crossings",
                             entry.id.value));
  }
  if (written.areas.empty() || !frame.metres_per_file_unit() || entry.kind.value != FeatureKind::lot) return true;

  // A file whose unit is misread is out by the square of 3.28.
  double area = 0;
  for (const AreaPart& part : moved.areas) area += signed_area(part.outer);
  const bool in_metres = std::abs(*frame.metres_per_file_unit() - 1) < 1e-6;
  const double otherwise =
      in_metres ? area * metres_per_foot * metres_per_foot : area / (metres_per_foot * metres_per_foot);
  const bool odd = (area < small_lot || area > large_lot) && otherwise > small_lot && otherwise < large_lot;
  const AreaVerdict verdict = weigh_area(written, area);
  if (verdict == AreaVerdict::agree) return true;
  if (odd || (verdict == AreaVerdict::disagree && weigh_area(written, otherwise) == AreaVerdict::agree)) {
    const auto text = [&](double square_metres) {
      return is_feet(grid_.unit)
                 ? fmt::format("{:.2f} acres", square_metres / (43560 * metres_per_foot * metres_per_foot))
                 : fmt::format("{:.0f} m²", square_metres);
    };
    report_.warn(source.crs ? source.crs->at : source.path.at,
                 fmt::format("`{}` has {} in this file's {}; read in {} it would have {}", entry.id.value, text(area),
                             in_metres ? "metres" : "feet", in_metres ? "feet" : "metres", text(otherwise)),
                 {}, "is the coordinate system of the file the right one?");
  }
  return true;
}

std::optional<ShapedFeature> Resolver::shaped_from_file(const FeatureEntry& entry, const FileSource& source,
                                                        const FileFeature& written, const FileFeature& moved,
                                                        const FileFrame& frame,
                                                        const std::vector<std::string>& fields) {
  ShapedFeature shape;
  shape.shape = *moved.shape;
  // A map layer is off as a whole: its own surveying, and the operation between its datum and the site's.
  UncertainPoint& off = layer_shifts_[source.path.value + '\n' + source.layer];
  if (off.errors.empty()) {
    off = sources_.within({}, standard_errors::gis_within);
    if (const double axis = frame.shared_accuracy() / std::sqrt(2.0); axis > 0) {
      add_error(off, ErrorSources::datum_east, {axis, 0});
      add_error(off, ErrorSources::datum_north, {0, axis});
    }
    if (const double axis = frame.own_accuracy() / std::sqrt(2.0); axis > 0) {
      add_error(off, sources_.fresh(), {axis, 0});
      add_error(off, sources_.fresh(), {0, axis});
    }
  }
  if (!entry.within && assumed_layers_++ == 0) first_assumed_layer_ = source.path.at;
  const auto uncertain = [&](PlanPoint at) { return UncertainPoint{at, off.errors, {}}; };
  if (shape.shape == GeometryKind::point) {
    if (moved.points.size() > 1) {
      report_.error(source.path.at,
                    fmt::format("the feature of this file is {} points, and one is wanted", moved.points.size()));
      return std::nullopt;
    }
    shape.corners.push_back({"", uncertain(moved.points[0])});
  }
  for (const Polyline& line : moved.lines) {
    shape.lines.emplace_back();
    for (const PlanPoint p : line) {
      shape.lines.back().push_back(uncertain(p));
      shape.corners.push_back({"", uncertain(p)});
    }
  }
  shape.areas = moved.areas;
  for (const AreaPart& part : moved.areas) {
    shape.area += signed_area(part.outer);
    for (const Ring& hole : part.holes) shape.area += signed_area(hole);
  }
  if (!moved.areas.empty()) {
    for (const PlanPoint p : moved.areas[0].outer) shape.corners.push_back({"", uncertain(p)});
  }
  for (const auto& [ours, theirs] : source.map) {
    if (!take_attribute(ours, theirs, written, fields, source, shape)) return std::nullopt;
  }
  return shape;
}

bool Resolver::take_attribute(const std::string& ours, const std::string& theirs, const FileFeature& written,
                              const std::vector<std::string>& fields, const FileSource& source,
                              ShapedFeature& shape) {
  // `DBH`, or with the unit of its plain numbers `DBH in`.
  std::string name = theirs, unit;
  if (std::find(fields.begin(), fields.end(), name) == fields.end()) {
    if (const std::size_t space = theirs.rfind(' '); space != std::string::npos) {
      name = theirs.substr(0, space);
      unit = theirs.substr(space + 1);
    }
  }
  if (std::find(fields.begin(), fields.end(), name) == fields.end()) {
    const auto close = nearest_name(theirs, fields);
    report_.error(source.path.at, fmt::format("this file has no attribute `{}` for `{}`", theirs, ours),
                  "one of: " + join_names(fields), close ? fmt::format("did you mean `{}`?", *close) : "");
    return false;
  }
  const std::string value = attribute(written, name);
  if (value.empty()) return true;
  if (ours == "label") {
    shape.label = value;
    return true;
  }
  if (ours == "material") {
    shape.material = value;
    return true;
  }
  if (unit.empty() && (ours == "trunk" || ours == "size")) {
    // Trunks are listed in inches or centimetres, pipes in inches or millimetres, whatever the map is in.
    unit = is_feet(grid_.unit) ? "in" : ours == "trunk" ? "cm" : "mm";
  }
  const bool plain = value.find_first_not_of("0123456789.+- ") == std::string::npos;
  const auto parsed = parse_length(plain && !unit.empty() ? value + " " + unit : value, grid_.unit);
  if (!parsed.value || *parsed.value < 0) {
    report_.warn(source.path.at,
                 fmt::format("attribute `{}` is `{}`, which is no length; `{}` is left out", name, value, ours));
    return true;
  }
  // An inventory writes 0 where nobody measured.
  if (*parsed.value == 0) return true;
  (ours == "trunk"    ? shape.trunk
   : ours == "spread" ? shape.spread
   : ours == "width"  ? shape.width
   : ours == "size"   ? shape.size
                      : shape.depth) = *parsed.value;
  return true;
}

void Resolver::report_assumed_layers() {
  if (assumed_layers_ == 0) return;
  report_.warn(first_assumed_layer_,
               assumed_layers_ == 1
                   ? std::string("a feature from a file does not say how good it is")
                   : fmt::format("{} features from files do not say how good they are", assumed_layers_),
               {},
               fmt::format("taken as good to {} at 95 %; add `within:` if you know better",
                           length_text(standard_errors::gis_within, 1)));
}

std::shared_ptr<const GroundSurface> Resolver::elevation_model(const Ground::Dem& dem,
                                                               const std::vector<PlanPoint>& wanted) {
  PlanPoint low{std::numeric_limits<double>::infinity(), std::numeric_limits<double>::infinity()},
      high{-low.e, -low.n};
  for (const PlanPoint p : wanted) {
    low = {std::min(low.e, p.e), std::min(low.n, p.n)};
    high = {std::max(high.e, p.e), std::max(high.n, p.n)};
  }
  if (wanted.empty()) {
    report_.error(dem.path.at, "nothing of this job has a place, so no part of the elevation model can be chosen");
    return nullptr;
  }
  const PlanPoint middle = low + 0.5 * (high - low);
  const double reach = 0.5 * std::max(high.e - low.e, high.n - low.n) + ground_reach;

  std::optional<FileFrame> frame;
  RasterRequest request;
  const auto path = file_path(dem.path);
  if (!path) return nullptr;
  request.path = *path;
  bool frame_tried = false;
  request.part = [&](const std::string& wkt) -> std::optional<FileBox> {
    frame_tried = true;
    frame = FileFrame::make(job_.site, grid_, wkt, std::nullopt, dem.path.at, report_);
    if (!frame) return std::nullopt;
    return frame->box_around(middle, reach);
  };
  const RasterAnswer answer = open_module<GdalModule>().read_raster(request);
  if (!report_file_fault(answer.fault, answer.words, dem.path,
                         {"GeoTIFF", "ASCII grid", "ERDAS Imagine", "USGS DEM", "ESRI BIL", "SRTM"}))
    return nullptr;
  if (!frame) {
    if (!frame_tried) report_.error(dem.path.at, "this elevation model does not say where it lies");
    return nullptr;
  }
  const bool any =
      std::any_of(answer.heights.begin(), answer.heights.end(), [](float h) { return std::isfinite(h); });
  if (!any) {
    report_.error(dem.path.at, "this elevation model has no heights at the site", {},
                  "check the coordinate system of the site, or leave the model out");
    return nullptr;
  }
  std::string unit = answer.unit;
  std::transform(unit.begin(), unit.end(), unit.begin(),
                 [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  double scale = 1;
  if (dem.metres_per_unit) {
    scale = *dem.metres_per_unit;
  } else if (unit.find("us") != std::string::npos && unit.find('f') != std::string::npos) {
    scale = metres_per_us_survey_foot;
  } else if (unit.starts_with('f')) {
    scale = metres_per_foot;
  } else if (!unit.starts_with('m')) {
    report_.warn(dem.path.at, "this elevation model does not say the unit of its heights",
                 "`units: ft` or `units: m` beside `path:`", "taken as metres");
  }
  HeightRaster raster;
  raster.columns = answer.columns;
  raster.rows = answer.rows;
  raster.heights = answer.heights;
  for (float& h : raster.heights) h = static_cast<float>(h * scale);
  // Over a lot the way from the raster to the site is straight: its origin and its two steps are carried over.
  const auto site = [&](double column, double row) {
    return frame->to_site(answer.origin + column * answer.per_column + row * answer.per_row);
  };
  const double columns = std::max(static_cast<double>(answer.columns - 1), 1.0),
               rows = std::max(static_cast<double>(answer.rows - 1), 1.0);
  raster.first = site(0, 0);
  raster.per_column = (1 / columns) * (site(columns, 0) - raster.first);
  raster.per_row = (1 / rows) * (site(0, rows) - raster.first);
  return ground_from(std::move(raster));
}

}  // namespace swingtie
