#include "place/new_job.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <cmath>
#include <filesystem>
#include <limits>
#include <memory>
#include <set>

#include "load/module.hpp"
#include "measure/length.hpp"
#include "place/gdal_module.hpp"
#include "place/local_grid.hpp"
#include "place/proj_module.hpp"
#include "place/readings_csv.hpp"
#include "place/shapes.hpp"

namespace swingtie {
namespace {

namespace fs = std::filesystem;

/// How far round the lot things are looked for, metres.
constexpr double reach = 60;

struct KindWords {
  std::string_view kind;
  std::array<std::string_view, 5> words;  ///< any of these in the name of the layer or the file
  GeometryKind shape;
  double near;       ///< metres from the lot's outline within which it counts
  std::size_t most;  ///< of this kind
};
const std::array kind_words = {
    KindWords{"house", {"building", "footprint", "house", "structure", "dwelling"}, GeometryKind::area, 0, 3},
    KindWords{"tree", {"tree", "arbre", "canopy", "", ""}, GeometryKind::point, 10, 12},
    KindWords{"hydrant", {"hydrant", "", "", "", ""}, GeometryKind::point, 40, 2},
    KindWords{"manhole", {"manhole", "", "", "", ""}, GeometryKind::point, 50, 3},
    KindWords{"pole", {"pole", "", "", "", ""}, GeometryKind::point, 30, 3},
    KindWords{"curb", {"curb", "kerb", "", "", ""}, GeometryKind::line, 30, 1},
    KindWords{"right-of-way", {"right_of_way", "right-of-way", "rightofway", "", ""}, GeometryKind::line, 40, 1},
    KindWords{"centerline", {"centerline", "centreline", "street", "road", ""}, GeometryKind::line, 50, 1},
    KindWords{"main", {"sewer", "sanitary", "wastewater", "", ""}, GeometryKind::line, 50, 1},
    KindWords{"water", {"water", "", "", "", ""}, GeometryKind::line, 40, 1},
    KindWords{"gas", {"gas", "", "", "", ""}, GeometryKind::line, 40, 1},
};

std::string lower(std::string text) {
  std::transform(text.begin(), text.end(), text.begin(),
                 [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  return text;
}

std::string in_quotes(std::string_view text) {
  std::string result = "\"";
  for (const char c : text) {
    if (c == '"' || c == '\\') result += '\\';
    result += c;
  }
  return result + "\"";
}

/// `street_trees` is trees, `Streets` is streets: the last word that begins like one of ours, else any part of the
/// name.
const KindWords* kind_of(const std::string& name) {
  std::string rest = lower(name);
  const auto begins = [](std::string_view word) -> const KindWords* {
    for (const KindWords& kind : kind_words) {
      for (const std::string_view known : kind.words) {
        if (!known.empty() && word.substr(0, known.size()) == known) return &kind;
      }
    }
    return nullptr;
  };
  std::size_t end = rest.size();
  while (end > 0) {
    const std::size_t gap = rest.find_last_of(" _-.", end - 1);
    const std::size_t begin = gap == std::string::npos ? 0 : gap + 1;
    if (const KindWords* kind = begins(std::string_view(rest).substr(begin, end - begin))) return kind;
    end = gap == std::string::npos ? 0 : gap;
  }
  for (std::size_t i = 0; i < rest.size(); ++i) {
    if (const KindWords* kind = begins(std::string_view(rest).substr(i))) return kind;
  }
  return nullptr;
}

/// One layer of a file, and the way from its coordinates to longitude and latitude.
struct Layer {
  std::string path, name;
  bool only = false;  ///< the file has no other
  VectorAnswer answer;
  std::unique_ptr<CrsTransform> to_lon_lat;
};

/// A plane about the lot, metres, to compare what comes from files of different systems.
class Surroundings {
 public:
  explicit Surroundings(LonLat middle) : grid_(local_grid({0, 0, middle.lat_deg, middle.lon_deg, {}, 0.0})) {}
  PlanPoint on_plane(const Layer& layer, PlanPoint in_file) const {
    const PlanPoint at = layer.to_lon_lat->forward(in_file);
    return grid_->from_lon_lat({at.e, at.n});
  }
  LonLat lon_lat(PlanPoint on_plane) const { return grid_->to_lon_lat(on_plane); }
  FileBox box(const CrsTransform& to_lon_lat) const {
    FileBox box{HUGE_VAL, HUGE_VAL, -HUGE_VAL, -HUGE_VAL};
    for (const double e : {-2 * reach, 2 * reach}) {
      for (const double n : {-2 * reach, 2 * reach}) {
        const LonLat corner = lon_lat({e, n});
        const PlanPoint p = to_lon_lat.back({corner.lon_deg, corner.lat_deg});
        box.min_x = std::min(box.min_x, p.e), box.max_x = std::max(box.max_x, p.e);
        box.min_y = std::min(box.min_y, p.n), box.max_y = std::max(box.max_y, p.n);
      }
    }
    return box;
  }

 private:
  std::shared_ptr<const GeoReference> grid_;
};

/// A feature moved to the plane.
FileFeature moved(const Surroundings& around, const Layer& layer, FileFeature feature) {
  for (PlanPoint& p : feature.points) p = around.on_plane(layer, p);
  for (Polyline& line : feature.lines) {
    for (PlanPoint& p : line) p = around.on_plane(layer, p);
  }
  for (AreaPart& part : feature.areas) {
    for (PlanPoint& p : part.outer) p = around.on_plane(layer, p);
    for (Ring& hole : part.holes) {
      for (PlanPoint& p : hole) p = around.on_plane(layer, p);
    }
  }
  return feature;
}

/// Reads what lies about the point from each layer of a file; a file or layer that says nothing usable is left out.
std::vector<Layer> layers_about(const std::string& path, const std::string& wanted, const Surroundings& around) {
  const auto& gdal = open_module<GdalModule>();
  const auto& proj = open_module<ProjModule>();
  std::vector<Layer> layers;
  const auto read = [&](const std::string& name) -> VectorAnswer {
    Layer layer;
    layer.path = path;
    layer.name = name;
    VectorRequest request;
    request.path = path;
    request.layer = name;
    request.part = [&](const std::string& wkt) -> std::optional<FileBox> {
      if (!wkt.empty()) layer.to_lon_lat = proj.transform(wkt, "EPSG:4326");
      return layer.to_lon_lat ? std::optional(around.box(*layer.to_lon_lat)) : std::nullopt;
    };
    layer.answer = gdal.read_vectors(request);
    VectorAnswer answer = layer.answer;
    if (answer.fault == FileFault::none && layer.to_lon_lat) {
      layer.only = answer.layers.size() == 1;
      if (layer.only) layer.name = answer.layers[0];
      layers.push_back(std::move(layer));
    }
    return answer;
  };
  const VectorAnswer first = read(wanted);
  if (first.fault == FileFault::none && layers.empty() && wanted.empty()) {
    throw CannotBegin(fmt::format("{} does not say in which coordinate system it is", path));
  }
  if (first.fault == FileFault::no_layer && wanted.empty()) {
    for (const std::string& name : first.layers) read(name);
  } else if (first.fault == FileFault::no_layer) {
    std::string names;
    for (const std::string& name : first.layers) names += (names.empty() ? "" : ", ") + name;
    throw CannotBegin(fmt::format("{} has no layer {}; it has {}", path, wanted, names));
  } else if (first.fault == FileFault::missing) {
    throw CannotBegin(fmt::format("no file {}", path));
  } else if (first.fault != FileFault::none) {
    throw CannotBegin(fmt::format("{} cannot be read{}{}", path, first.words.empty() ? "" : ": ", first.words));
  }
  return layers;
}

/// An attribute condition that only this feature meets, or nothing.
std::optional<std::string> condition_for(const Layer& layer, const FileFeature& feature) {
  constexpr std::array<std::string_view, 12> telling = {"pin", "apn", "parcel", "print_key", "sbl",    "folio",
                                                        "pid", "gid", "osm",    "key",       "number", "id"};
  std::vector<std::pair<std::size_t, std::string>> candidates;
  for (const auto& [key, value] : feature.attributes) {
    if (value.empty() || value.size() > 60 || value.find('\n') != std::string::npos) continue;
    const bool plain =
        std::all_of(key.begin(), key.end(), [](unsigned char c) { return std::isalnum(c) != 0 || c == '_'; });
    std::size_t rank = telling.size();
    for (std::size_t i = 0; i < telling.size() && rank == telling.size(); ++i) {
      if (lower(key).find(telling[i]) != std::string::npos) rank = i;
    }
    if (!plain || rank == telling.size()) continue;
    std::string escaped;
    for (const char c : value) escaped += c == '\'' ? std::string("''") : std::string(1, c);
    candidates.emplace_back(rank, fmt::format("{} = '{}'", key, escaped));
    // A column of numbers takes no quotes.
    const bool digits = value.size() < 10 &&
                        std::all_of(value.begin(), value.end(), [](unsigned char c) { return std::isdigit(c) != 0; });
    if (digits) candidates.emplace_back(rank, fmt::format("{} = {}", key, value));
  }
  std::stable_sort(candidates.begin(), candidates.end(),
                   [](const auto& a, const auto& b) { return a.first < b.first; });
  for (const auto& [rank, condition] : candidates) {
    VectorRequest request;
    request.path = layer.path;
    request.layer = layer.name;
    request.where = condition;
    const VectorAnswer answer = open_module<GdalModule>().read_vectors(request);
    if (answer.fault == FileFault::none && answer.features.size() == 1 && answer.features[0].number == feature.number)
      return condition;
  }
  return std::nullopt;
}

/// A point on or in the feature, by which `near` finds it.
PlanPoint telling_point(const FileFeature& on_plane) {
  if (!on_plane.points.empty()) return on_plane.points[0];
  if (!on_plane.lines.empty()) {
    const Polyline& line = on_plane.lines[0];
    return point_on(line, walk(line, {0, 0, 0}, polyline_length(line) / 2));
  }
  return centroid(on_plane.areas[0].outer);
}

std::string relative_path(const std::string& path, const std::string& folder) {
  const fs::path from = fs::absolute(folder.empty() ? "." : folder).lexically_normal(),
                 to = fs::absolute(path).lexically_normal();
  const fs::path relative = to.lexically_relative(from);
  return (relative.empty() ? to : relative).generic_string();
}

/// `{path: …, layer: …, where: …}`
std::string file_value(const Layer& layer, const FileFeature& feature, const FileFeature& on_plane,
                       const Surroundings& around, const std::string& folder, const std::string& map) {
  std::string value = "{path: " + in_quotes(relative_path(layer.path, folder));
  if (!layer.only) value += ", layer: " + in_quotes(layer.name);
  if (const auto condition = condition_for(layer, feature)) {
    value += ", where: " + in_quotes(*condition);
  } else {
    const LonLat at = around.lon_lat(telling_point(on_plane));
    value += fmt::format(", near: {{lat: {:.7f}, lon: {:.7f}, within: 1}}", at.lat_deg, at.lon_deg);
  }
  return value + (map.empty() ? "" : ", map: {" + map + "}") + "}";
}

/// Which attributes of a tree or a pipe say its size and kind.
std::string map_for(const KindWords& kind, const std::vector<std::string>& fields) {
  std::string map;
  const auto take = [&](std::string_view ours, std::initializer_list<std::string_view> words) {
    for (const std::string& field : fields) {
      for (const std::string_view word : words) {
        if (lower(field).find(word) == std::string::npos) continue;
        map += fmt::format("{}{}: {}", map.empty() ? "" : ", ", ours, in_quotes(field));
        return;
      }
    }
  };
  if (kind.kind == "tree") {
    take("label", {"common", "species", "name"});
    take("trunk", {"dbh", "trunk", "diam"});
    take("spread", {"spread", "crown"});
  } else if (kind.shape == GeometryKind::line &&
             (kind.kind == "main" || kind.kind == "water" || kind.kind == "gas")) {
    take("size", {"diam", "size"});
    take("material", {"material", "matl"});
  }
  return map;
}

class Writer {
 public:
  explicit Writer(const NewJobRequest& request) : request_(request), around_(request.at) {}

  NewJob write() {
    find_lot();
    choose_grid();
    find_others();
    std::string text = head();
    text += features();
    text += run();
    return {std::move(text), std::move(found_)};
  }

 private:
  void find_lot() {
    lot_layers_ = layers_about(request_.lot_file, request_.layer, around_);
    double smallest = std::numeric_limits<double>::infinity(), nearest = smallest;
    for (const Layer& layer : lot_layers_) {
      const KindWords* kind = kind_of(layer.name);
      if (kind != nullptr && lot_layers_.size() > 1) continue;  // buildings hold the point as well
      for (const FileFeature& feature : layer.answer.features) {
        if (feature.shape != GeometryKind::area) continue;
        FileFeature on_plane = moved(around_, layer, feature);
        for (const AreaPart& part : on_plane.areas) {
          nearest = std::min(nearest, distance_to_ring(part.outer, {0, 0}));
          if (!holds(part.outer, {0, 0}) || signed_area(part.outer) >= smallest) continue;
          smallest = signed_area(part.outer);
          lot_layer_ = &layer;
          lot_ = feature;
          lot_on_plane_ = on_plane;
        }
      }
    }
    if (lot_layer_ == nullptr) {
      const std::string near =
          std::isfinite(nearest) ? fmt::format("; the nearest outline is {:.0f} m away", nearest) : "";
      throw CannotBegin(fmt::format("no lot of {} holds latitude {:.6f}, longitude {:.6f}{}", request_.lot_file,
                                    request_.at.lat_deg, request_.at.lon_deg, near));
    }
    found_.push_back(fmt::format("the lot, {:.0f} m²", smallest));
  }

  void choose_grid() {
    const auto facts = open_module<ProjModule>().facts(lot_layer_->answer.crs_wkt);
    const bool fit = facts && facts->kind == CrsFacts::Kind::projected && facts->east_and_north &&
                     !facts->web_mercator && !facts->code.empty();
    for (const auto& [unit, key] :
         {std::pair{LengthUnit::foot, "ft"}, {LengthUnit::us_survey_foot, "us-ft"}, {LengthUnit::metre, "m"}}) {
      if (fit && std::abs(facts->metres_per_unit / metres_per(unit) - 1) < 1e-7) {
        units_ = key;
        crs_ = facts->code;
        crs_name_ = facts->name;
      }
    }
    if (!crs_.empty()) return;
    const LonLat at = request_.at;
    // Feet where lots are measured in feet: the United States.
    const bool feet = at.lon_deg > -170 && at.lon_deg < -66 && at.lat_deg > 17 && at.lat_deg < 49.1;
    units_ = feet ? "ft" : "m";
  }

  void find_others() {
    for (Layer& layer : lot_layers_) {
      if (&layer != lot_layer_) others_.push_back(&layer);
    }
    std::set<std::string> seen;
    std::error_code failed;
    const fs::path own = fs::path(request_.lot_file).lexically_normal();
    for (const auto& entry : fs::directory_iterator(own.parent_path().empty() ? "." : own.parent_path(), failed)) {
      const std::string extension = lower(entry.path().extension().string());
      const bool known = extension == ".gpkg" || extension == ".geojson" || extension == ".json" ||
                         extension == ".shp" || extension == ".fgb" || extension == ".kml" || extension == ".gpx";
      if (known && entry.path().filename() != own.filename() && kind_of(entry.path().stem().string()) != nullptr)
        seen.insert(entry.path().string());
    }
    for (const std::string& path : seen) {
      if (siblings_.size() >= 20) break;
      try {
        for (Layer& layer : layers_about(path, "", around_))
          siblings_.push_back(std::make_unique<Layer>(std::move(layer)));
      } catch (const CannotBegin& fault) {
        found_.push_back(fmt::format("left out: {}", fault.what()));
      }
    }
    for (const auto& layer : siblings_) others_.push_back(layer.get());
  }

  struct Candidate {
    double away = 0;
    const Layer* layer = nullptr;
    const FileFeature* feature = nullptr;
    FileFeature on_plane;
  };

  std::vector<Candidate> candidates(const KindWords& kind) const {
    std::vector<Candidate> all;
    const Ring& outline = lot_on_plane_.areas[0].outer;
    for (const Layer* layer : others_) {
      const KindWords* says = kind_of(layer->name);
      if (says == nullptr) says = kind_of(fs::path(layer->path).stem().string());
      if (says != &kind) continue;
      for (const FileFeature& feature : layer->answer.features) {
        if (feature.shape != kind.shape || (kind.shape == GeometryKind::point && feature.points.size() != 1))
          continue;
        FileFeature on_plane = moved(around_, *layer, feature);
        double away = std::numeric_limits<double>::infinity();
        if (kind.shape == GeometryKind::area) {
          if (holds(outline, centroid(on_plane.areas[0].outer)))
            away = -signed_area(on_plane.areas[0].outer);  // the largest first
        } else if (kind.shape == GeometryKind::point) {
          away = holds(outline, on_plane.points[0]) ? 0 : distance_to_ring(outline, on_plane.points[0]);
        } else {
          for (const PlanPoint p : outline) {
            for (const Polyline& line : on_plane.lines) away = std::min(away, distance_to(line, p));
          }
        }
        if (away <= kind.near) all.push_back({away, layer, &feature, std::move(on_plane)});
      }
    }
    std::stable_sort(all.begin(), all.end(), [](const Candidate& a, const Candidate& b) { return a.away < b.away; });
    if (all.size() > kind.most) all.resize(kind.most);
    return all;
  }

  std::string head() const {
    std::string text =
        "# Begun from the lot at this place. What stands in files is named here and stays there; what nobody has "
        "measured yet\n"
        "# is marked with <- and waits for you. Lengths without a unit are in the site's unit; any may carry its "
        "own: 5'6\", 1.7 m.\n\n"
        "swingtie: 1\n\nsite:\n  name: a name to print in the title        # <-\n";
    text += fmt::format("  units: {}\n", units_);
    if (!crs_.empty()) {
      text += fmt::format("  crs: {}                            # {}, the grid of the lot's file\n", crs_, crs_name_);
    } else {
      text += fmt::format(
          "  anchor: {{grid: [1000, 1000], lat: {:.7f}, lon: {:.7f}, grid_north: 0, within: 0}}   # a grid of our "
          "own, north "
          "up\n",
          request_.at.lat_deg, request_.at.lon_deg);
    }
    return text + "  # inspected: 2026-05-20\n  # by: your name\n\n";
  }

  std::string features() {
    std::string text =
        "features:\n  # `within` says how good a map layer is, as a radius at 95 %: ask its keeper, or measure one "
        "corner.\n";
    const std::string within = units_ == "m" ? "0.6" : "2";
    text += fmt::format("  - {{id: lot, kind: lot, within: {}, file: {}}}\n", within,
                        file_value(*lot_layer_, lot_, lot_on_plane_, around_, request_.folder, ""));
    for (const KindWords& kind : kind_words) {
      const auto all = candidates(kind);
      std::size_t number = 0;
      for (const Candidate& c : all) {
        const std::string base(kind.kind == "right-of-way" ? "row" : kind.kind == "main" ? "sewer" : kind.kind);
        const std::string id =
            all.size() == 1 || (kind.kind == "house" && number == 0) ? base : fmt::format("{}{}", base, number + 1);
        ++number;
        text += fmt::format("  - {{id: {}, kind: {}, within: {}, file: {}}}\n", id, kind.kind, within,
                            file_value(*c.layer, *c.feature, c.on_plane, around_, request_.folder,
                                       map_for(kind, c.layer->answer.fields)));
        if (kind.kind == "house") has_house_ = true;
      }
      if (!all.empty()) found_.push_back(fmt::format("{} of kind {}", all.size(), kind.kind));
    }
    if (!has_house_) {
      found_.emplace_back("no building on the lot: tape the house, the job shows how");
      text += units_ == "m"
                  ? "  # The house by tape, wall by wall, R or L where one turns:                                    "
                    "  # <-\n"
                    "  # - id: house\n  #   kind: house\n  #   walls: {start: {along: lot.1-2, from: lot.1, go: 4, "
                    "in: 9}, heading: N 0 E, legs: [\"9\", R 12, R 9, R 12], corners: [sw, nw, ne, se]}\n"
                  : "  # The house by tape, wall by wall, R or L where one turns:                                    "
                    "  # <-\n"
                    "  # - id: house\n  #   kind: house\n  #   walls: {start: {along: lot.1-2, from: lot.1, go: 12, "
                    "in: 30}, heading: N 0 E, legs: [\"28\", R 36, R 28, R 36], corners: [sw, nw, ne, se]}\n";
    }
    return text +
           "  # What else can be named: curb, right-of-way, main, tree, hydrant, water, gas … `swingtie schema` "
           "lists all.\n"
           "  # - {id: row, kind: right-of-way, offset: {from: curb, by: 3.4 m, toward: lot}}\n\n";
  }

  std::string run() {
    const std::string far = units_ == "m" ? "10" : "30", drop = units_ == "m" ? "1.2" : "4";
    std::string text = fmt::format(
        "runs:\n  - id: R1\n    from:\n      at: {{on: {0}}}                            # <- where the camera went "
        "in: {{along: house.1-2, from: house.1, go: 9, out: 2}}\n"
        "      what: clean-out                         # <-\n      drop: {1}                                 # <- "
        "ground to the bottom of the pipe\n"
        "      within: {2}                              # <- how well that place is known, at 95 %\n"
        "    counter: {{zero: at pipe entry}}            # or: at rim, or: 3.5 when it showed 3.5 there\n"
        "    bends: some                               # all, some or none of the bends were written down\n"
        "    # at = what the counter showed. Left and right are as the camera travels.\n    log:\n",
        has_house_ ? "house" : "lot", drop, far);
    text += list_of(request_.log_csv, log_of_csv(request_.log_csv), "log",
                    fmt::format("      - {{at: 0, pipe: {} cast iron}}            # <-\n"
                                "      # - {{at: 19.5, see: joint open half an inch, act: dig}}    # act: dig, watch "
                                "or none\n      # - {{at: 24.2, bend: left 45}}\n"
                                "      # - {{at: 57.1, end: city main}}\n",
                                units_ == "m" ? "100 mm" : "4 in"));
    const CsvReadings locates = locates_of_csv(request_.locates_csv);
    const std::string example =
        "    # locates:                                # at = what the counter showed while the receiver stood over "
        "the camera\n"
        "    #   - {at: 18, position: {ties: {house.1: 23'5\", house.2: 20'0\"}, side: south}, depth: 4.4}\n";
    if (request_.locates_csv.empty() || locates.lines.empty()) {
      text += request_.locates_csv.empty() ? example : list_of(request_.locates_csv, locates, "locates", example);
    } else {
      text += "    locates:\n" + list_of(request_.locates_csv, locates, "locates", "");
    }
    return text +
           "\n# Up to where the house's owner owns the line, and who says so.\n# ownership: {private_until: "
           "right-of-way, source: ask the city}\n";
  }

  /// The readings of a spreadsheet as list items, or the example where there are none.
  std::string list_of(const std::string& csv, const CsvReadings& readings, std::string_view what,
                      const std::string& example) {
    if (csv.empty()) return example;
    std::string text;
    for (const std::string& line : readings.lines) text += "      - " + line + "\n";
    for (const std::string& remark : readings.remarks) {
      text += "      # left out, " + remark + "\n";
      found_.push_back(fmt::format("{}: left out, {}", what, remark));
    }
    if (!readings.ignored.empty()) {
      std::string names;
      for (const std::string& name : readings.ignored) names += (names.empty() ? "" : ", ") + name;
      found_.push_back(fmt::format("{}: columns not used: {}", what, names));
    }
    found_.push_back(fmt::format("{}: {} rows", what, readings.lines.size()));
    return readings.lines.empty() ? text + example : text;
  }

  const NewJobRequest& request_;
  Surroundings around_;
  std::vector<Layer> lot_layers_;
  std::vector<std::unique_ptr<Layer>> siblings_;
  std::vector<const Layer*> others_;
  const Layer* lot_layer_ = nullptr;
  FileFeature lot_, lot_on_plane_;
  std::string units_, crs_, crs_name_;
  bool has_house_ = false;
  std::vector<std::string> found_;
};

}  // namespace

NewJob new_job_from_parcel(const NewJobRequest& request) {
  return Writer(request).write();
}

}  // namespace swingtie
