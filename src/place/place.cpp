// Job -> Placed: the order of work, and everything that is not a position or a feature's shape.

#include <algorithm>
#include <cmath>
#include <numeric>

#include <fmt/format.h>

#include <Eigen/Eigenvalues>

#include "job/job.hpp"
#include "place/ground.hpp"
#include "place/resolver.hpp"
#include "place/site_grid.hpp"
#include "place/street_edge.hpp"
#include "place/survey.hpp"

namespace swingtie {
namespace {

template <class T>
std::optional<T> value_of(const std::optional<Written<T>>& written) {
  return written ? std::optional<T>(written->value) : std::nullopt;
}

bool says_main(std::string_view words) {
  std::string lower(words);
  std::transform(lower.begin(), lower.end(), lower.begin(), [](unsigned char c) { return std::tolower(c); });
  for (std::size_t at = lower.find("main"); at != std::string::npos; at = lower.find("main", at + 1)) {
    const bool begins = at == 0 || std::isalpha(static_cast<unsigned char>(lower[at - 1])) == 0;
    const bool ends = at + 4 >= lower.size() || std::isalpha(static_cast<unsigned char>(lower[at + 4])) == 0;
    if (begins && ends) return true;
  }
  return false;
}

Feature feature_of(const FeatureEntry& entry, const ShapedFeature& shape, const CommonShift& common) {
  Feature f;
  f.id = entry.id.value;
  f.label = !entry.label.empty() ? entry.label : !shape.label.empty() ? shape.label : f.id;
  f.kind = entry.kind.value;
  f.shape = shape.shape;
  for (const NamedPoint& corner : shape.corners) {
    f.corners.push_back({corner.name, common.placed(corner.point)});
    f.covariance += f.corners.back().point.covariance;
    f.grid_covariance += f.corners.back().point.grid_covariance;
  }
  if (!f.corners.empty()) {
    f.covariance /= static_cast<double>(f.corners.size());
    f.grid_covariance /= static_cast<double>(f.corners.size());
  }
  if (f.shape == GeometryKind::point) f.point = f.corners[0].point.at;
  for (const auto& line : shape.lines) {
    f.lines.emplace_back();
    for (const UncertainPoint& p : line) f.lines.back().push_back(p.at);
  }
  f.areas = shape.areas;
  const auto either = [](const std::optional<Written<double>>& job, const std::optional<double>& file) {
    return job ? std::optional(job->value) : file;
  };
  f.trunk = either(entry.trunk, shape.trunk);
  f.spread = either(entry.spread, shape.spread);
  f.width = either(entry.width, shape.width);
  f.size = either(entry.size, shape.size);
  f.depth = either(entry.depth, shape.depth);
  f.material = !entry.material.empty() ? entry.material : shape.material;
  f.area = shape.area;
  f.closure = shape.closure;
  f.at = entry.at;
  return f;
}

class Placer {
 public:
  Placer(const Job& job, const SiteGrid& grid, const FileFence& files, Report& report)
      : job_(job), report_(report), resolver_(job, grid, files, report) {
    placed_.site_name = job.site.name;
    placed_.inspected = job.site.inspected;
    placed_.by = job.site.by;
    placed_.unit = grid.unit;
    placed_.crs = job.site.crs ? job.site.crs->value : "";
    placed_.georeference = grid.georeference;
    placed_.digging = {job.dig.rules, job.dig.soil, job.dig.bucket, job.dig.working_room};
  }

  Placed finish() && {
    measure_frame();
    place_features();
    place_street_edges();
    place_lines();
    place_runs();
    place_ground();
    place_ownership();
    if (!report_.failed()) {
      resolver_.report_assumed_fixes();
      resolver_.report_assumed_layers();
    }
    return std::move(placed_);
  }

 private:
  /// Works out every position, so that the shift common to most of them is known before any covariance is.
  void measure_frame() {
    // By id, so that the order of the file changes nothing, not even the numbering of error sources.
    by_id_.resize(job_.features.size());
    std::iota(by_id_.begin(), by_id_.end(), std::size_t{0});
    std::stable_sort(by_id_.begin(), by_id_.end(), [&](std::size_t a, std::size_t b) {
      return job_.features[a].id.value < job_.features[b].id.value;
    });
    for (const std::size_t i : by_id_) resolver_.feature(i);
    std::vector<UncertainPoint> measured;
    for (std::size_t i = 0; i < job_.runs.size(); ++i) {
      if (const auto access = resolver_.access(i)) measured.push_back(*access);
      locates_.emplace_back();
      for (const LocateEntry& locate : job_.runs[i].locates) {
        locates_.back().push_back(resolver_.locate_position(locate));
        if (locates_.back().back()) measured.push_back(*locates_.back().back());
      }
    }
    common_.emplace(measured);
    placed_.frame_shift = common_->shift();
    placed_.came_by_lon_lat = common_->has_datum();
  }

  void place_features() {
    for (const std::size_t i : by_id_) {
      if (const ShapedFeature* shape = resolver_.feature(i)) {
        placed_.features.push_back(feature_of(job_.features[i], *shape, *common_));
      }
    }
  }

  std::optional<std::size_t> placed_index(std::string_view id) const {
    for (std::size_t i = 0; i < placed_.features.size(); ++i) {
      if (placed_.features[i].id == id) return i;
    }
    return std::nullopt;
  }

  void place_street_edges() {
    for (Feature& lot : placed_.features) {
      const FeatureEntry& entry = job_.features[*resolver_.find(lot.id)];
      if (!entry.street_edge) {
        if (lot.kind == FeatureKind::lot) lot.street_edge = street_edge(lot, placed_.features);
        continue;
      }
      std::vector<std::string> edges;
      for (std::size_t i = 0; i < lot.corners.size() && lot.shape == GeometryKind::area; ++i) {
        const std::string &a = lot.corners[i].name, &b = lot.corners[(i + 1) % lot.corners.size()].name;
        edges.push_back(fmt::format("{}-{}", a, b));
        const std::string& said = entry.street_edge->value;
        if (said == edges.back() || said == fmt::format("{}-{}", b, a)) lot.street_edge = i;
      }
      if (lot.street_edge) continue;
      const auto near = nearest_name(entry.street_edge->value, edges);
      report_.error(entry.street_edge->at, fmt::format("`{}` has no edge `{}`", lot.id, entry.street_edge->value),
                    edges.empty() ? "an area, for an edge to face the street" : "one of: " + join_names(edges),
                    near ? fmt::format("did you mean `{}`?", *near) : "");
    }
  }

  std::optional<std::size_t> line_index(const Written<std::string>& id) {
    std::vector<std::string> names;
    for (std::size_t i = 0; i < job_.lines.size(); ++i) {
      if (job_.lines[i].id.value == id.value) return i;
      names.push_back(job_.lines[i].id.value);
    }
    const auto near = nearest_name(id.value, names);
    report_.error(id.at, fmt::format("no line is called `{}`", id.value), "one of: " + join_names(names),
                  near ? fmt::format("did you mean `{}`?", *near) : "");
    return std::nullopt;
  }

  void place_lines() {
    for (std::size_t i = 0; i < job_.lines.size(); ++i) {
      const LineEntry& entry = job_.lines[i];
      for (std::size_t j = 0; j < i; ++j) {
        if (job_.lines[j].id.value == entry.id.value) {
          report_.error(entry.id.at, fmt::format("two lines are called `{}`", entry.id.value), "another id");
        }
      }
      Line line;
      line.id = entry.id.value;
      line.at = entry.at;
      switch (entry.end.kind) {
        case LineEnd::Kind::open:
          break;
        case LineEnd::Kind::city_main:
          end_at_city_main(entry, line);
          break;
        case LineEnd::Kind::feature: {
          const ShapedFeature* shape = resolver_.feature(entry.end.feature.value, entry.end.feature.at);
          if (shape == nullptr) break;
          if (shape->shape == GeometryKind::point) {
            line.end = common_->placed(shape->corners[0].point);
          } else if (const auto index = placed_index(entry.end.feature.value)) {
            line.end = Line::OnFeatureEnd{*index};
          }
          break;
        }
        case LineEnd::Kind::point:
          if (const auto end = resolver_.position(*entry.end.point)) line.end = common_->placed(*end);
          break;
      }
      if (entry.joins) {
        line.joins = line_index(*entry.joins);
        if (line.joins == i) {
          report_.error(entry.joins->at, fmt::format("line `{}` cannot join itself", line.id), "another line");
          line.joins.reset();
        }
      }
      placed_.lines.push_back(std::move(line));
    }
    check_joins_end();
  }

  void check_joins_end() {
    for (std::size_t i = 0; i < placed_.lines.size(); ++i) {
      std::size_t steps = 0, at = i;
      while (placed_.lines[at].joins && steps++ <= placed_.lines.size()) at = *placed_.lines[at].joins;
      if (steps > placed_.lines.size()) {
        report_.error(job_.lines[i].joins->at,
                      fmt::format("line `{}` joins itself by way of others", placed_.lines[i].id),
                      "a line that ends at the main");
        return;
      }
    }
  }

  void end_at_city_main(const LineEntry& entry, Line& line) {
    std::vector<std::string> mains;
    std::optional<std::size_t> only;
    for (std::size_t i = 0; i < placed_.features.size(); ++i) {
      if (placed_.features[i].kind != FeatureKind::main) continue;
      mains.push_back(placed_.features[i].id);
      only = i;
    }
    if (mains.size() > 1) {
      report_.error(entry.end.feature.at, "there is more than one feature of kind `main`",
                    "one of: " + join_names(mains), fmt::format("say which: `ends_at: {}`", mains[0]));
    } else if (only) {
      line.end = Line::OnFeatureEnd{*only};
    }
  }

  void place_runs() {
    for (std::size_t i = 0; i < job_.runs.size(); ++i) {
      const RunEntry& entry = job_.runs[i];
      Run run;
      run.id = entry.id.value;
      run.at = entry.at;
      for (std::size_t j = 0; j < i; ++j) {
        if (job_.runs[j].id.value == run.id) {
          report_.error(entry.id.at, fmt::format("two runs are called `{}`", run.id), "another id");
        }
      }
      if (entry.line) {
        run.line = line_index(*entry.line).value_or(0);
      } else if (job_.lines.size() > 1) {
        std::vector<std::string> names;
        for (const LineEntry& line : job_.lines) names.push_back(line.id.value);
        report_.error(entry.id.at, fmt::format("run `{}` does not say which line it went along", run.id),
                      "`line:` one of: " + join_names(names));
      }
      if (const auto access = resolver_.access(i)) {
        run.access = common_->placed(*access);
      } else {
        run.access.at = {std::nan(""), std::nan("")};
      }
      run.access_what = entry.from.what;
      run.access_id = entry.from.id;
      run.drop = entry.from.drop.value;
      run.toward = entry.toward;
      run.zero = entry.zero;
      run.zero_reading = {entry.zero_reading};
      run.sonde_behind_lens = entry.sonde_behind_lens;
      run.view_ahead = entry.view_ahead;
      run.bends = entry.bends;
      for (const LogEntry& item : entry.log) run.log.push_back(log_item(item));
      for (std::size_t k = 0; k < entry.locates.size(); ++k) {
        if (locates_[i][k]) run.locates.push_back(locate_of(entry.locates[k], *locates_[i][k]));
      }
      const auto by_counter = [](const auto& a, const auto& b) { return a.at < b.at; };
      std::stable_sort(run.log.begin(), run.log.end(), by_counter);
      std::stable_sort(run.locates.begin(), run.locates.end(), by_counter);
      placed_.runs.push_back(std::move(run));
    }
  }

  LogItem log_item(const LogEntry& entry) {
    LogItem item;
    item.at = entry.at.value;
    if (entry.pipe) {
      const PipeNote& note = entry.pipe->value;
      item.pipe = Pipe{note.size, material_of(note.material), material_words(note.material)};
    }
    if (entry.bend) item.bend = Bend{entry.bend->value.hand, entry.bend->value.angle};
    item.what = entry.see ? entry.see->value : entry.joint ? entry.joint->value : "";
    item.act = entry.act;
    item.wye = value_of(entry.wye);
    if (entry.branch) item.branch = line_index(*entry.branch);
    if (entry.end) {
      item.end = entry.end->value;
      item.ends_at_main = says_main(item.end);
    }
    item.photo = entry.photo;
    item.note = entry.note;
    item.span = entry.span;
    return item;
  }

  Locate locate_of(const LocateEntry& entry, const UncertainPoint& position) const {
    Locate locate;
    locate.at = entry.at.value;
    locate.position = common_->placed(position);
    locate.whole = entry.within.has_value();
    locate.by = entry.by;
    locate.depth.along = value_of(entry.depth.along);
    locate.depth.across = value_of(entry.depth.across);
    locate.depth.nulls = value_of(entry.depth.nulls);
    if (const auto& ratio = entry.depth.ratio) {
      locate.depth.ratio = DepthReadings::Ratio{ratio->lower, ratio->upper, ratio->apart};
    }
    locate.direction = value_of(entry.direction);
    locate.marked = entry.marked;
    locate.photo = entry.photo;
    locate.note = entry.note;
    locate.span = entry.span;
    return locate;
  }

  void place_ground() {
    placed_.ground = flat_ground(0, false);
    if (!job_.ground) return;
    if (const auto* flat = std::get_if<Ground::Flat>(&job_.ground->surface)) {
      if (flat->elevation) placed_.ground = flat_ground(*flat->elevation, true);
    } else if (const auto* by_spots = std::get_if<Ground::Spots>(&job_.ground->surface)) {
      std::vector<GroundHeight> heights;
      for (const GroundSpot& spot : by_spots->spots) {
        if (const auto at = resolver_.position(spot.at)) heights.push_back({at->at, spot.elevation.value});
      }
      if (heights.empty()) {
        if (by_spots->spots.empty())
          report_.error(job_.ground->at, "no spots to lay the ground through", "one or more");
        return;
      }
      placed_.ground = ground_through(heights);
    } else if (auto surface =
                   resolver_.elevation_model(std::get<Ground::Dem>(job_.ground->surface), placed_points())) {
      placed_.ground = std::move(surface);
    }
  }

  std::vector<PlanPoint> placed_points() const {
    std::vector<PlanPoint> points;
    for (const Feature& feature : placed_.features) {
      for (const Corner& corner : feature.corners) points.push_back(corner.point.at);
    }
    for (const Run& run : placed_.runs) {
      points.push_back(run.access.at);
      for (const Locate& locate : run.locates) points.push_back(locate.position.at);
    }
    return points;
  }

  /// The feature of this kind that lies nearest to where the first run begins.
  std::optional<std::size_t> nearest_of_kind(FeatureKind kind) const {
    std::optional<std::size_t> best;
    double nearest = 0;
    for (std::size_t i = 0; i < placed_.features.size(); ++i) {
      const Feature& f = placed_.features[i];
      if (f.kind != kind || f.shape == GeometryKind::point) continue;
      const PlanPoint from = placed_.runs.empty() ? PlanPoint{} : placed_.runs[0].access.at;
      double away = 0;
      bool first = true;
      const auto consider = [&](double d) {
        away = first ? d : std::min(away, d);
        first = false;
      };
      for (const auto& line : f.lines) consider(distance_to(line, from));
      for (const AreaPart& part : f.areas) consider(holds(part.outer, from) ? 0 : distance_to_ring(part.outer, from));
      if (!best || away < nearest) {
        best = i;
        nearest = away;
      }
    }
    return best;
  }

  void place_ownership() {
    const OwnershipRule& rule = job_.ownership;
    Ownership& own = placed_.ownership;
    own.until = rule.until;
    own.station = {rule.station};
    own.source = rule.source;
    own.at = rule.at;
    const auto by_kind = [&](FeatureKind kind, std::string_view word) {
      own.feature = nearest_of_kind(kind);
      if (!own.feature) {
        report_.warn(rule.at,
                     fmt::format("the private part ends at the {}, and the job has no feature of that kind", word),
                     {}, fmt::format("add a feature with `kind: {}`, so that sides can be told", word));
      }
    };
    switch (rule.until) {
      case PrivateUntil::unsaid:
      case PrivateUntil::station:
        break;
      case PrivateUntil::right_of_way:
        by_kind(FeatureKind::right_of_way, "right-of-way");
        break;
      case PrivateUntil::lot_line:
        by_kind(FeatureKind::lot, "lot");
        break;
      case PrivateUntil::curb:
        by_kind(FeatureKind::curb, "curb");
        break;
      case PrivateUntil::main:
        by_kind(FeatureKind::main, "main");
        break;
      case PrivateUntil::clean_out:
        if (const auto at = resolver_.point({rule.clean_out, "", rule.at})) own.point = common_->placed(*at);
        break;
    }
  }

  const Job& job_;
  Report& report_;
  Resolver resolver_;
  std::vector<std::size_t> by_id_;  ///< features of the job in the order of their ids
  std::vector<std::vector<std::optional<UncertainPoint>>> locates_;  ///< by run and locate
  std::optional<CommonShift> common_;
  Placed placed_;
};

}  // namespace

PartlyPlaced place_partly(const Job& job, const FileFence& files) {
  Report report;
  PartlyPlaced result;
  const PositionSurvey survey = survey_positions(job);
  if (const auto grid = site_grid(job.site, survey.sample, report)) {
    result.placed = Placer(job, *grid, files, report).finish();
    if (survey.first_lon_lat) warn_if_coarse(job.site, *grid, *survey.first_lon_lat, report);
    result.whole = !report.failed();
  }
  result.diagnostics = report.take();
  return result;
}

Checked<Placed> place(const Job& job, const FileFence& files) {
  PartlyPlaced partly = place_partly(job, files);
  Checked<Placed> result;
  if (partly.whole) result.value = std::move(partly.placed);
  result.diagnostics = std::move(partly.diagnostics);
  return result;
}

Checked<Placed> place(const Job& job, const std::string& folder) {
  return place(job, FileFence{folder, {}});
}

const Feature* find_feature(const Placed& placed, std::string_view id) {
  for (const Feature& feature : placed.features) {
    if (feature.id == id) return &feature;
  }
  return nullptr;
}

PlanCovariance on_grid(const Placed& placed, const PlanCovariance& in_drawing) {
  return in_drawing + placed.frame_shift;
}

PlanCovariance on_earth(const Placed& placed, PlanPoint at, const PlanCovariance& on_grid) {
  if (!placed.georeference) return on_grid;
  placed.georeference->to_lon_lat(at);  // chooses the operation whose accuracy is asked for
  const double rms = placed.georeference->accuracy();
  const PlanCovariance way = 0.5 * rms * rms * PlanCovariance::Identity();
  if (!placed.came_by_lon_lat) return on_grid + way;
  // What came by latitude and longitude goes back the way it came: that error is in it once, and falls out.
  const Eigen::SelfAdjointEigenSolver<PlanCovariance> axes(on_grid - way);
  return axes.eigenvectors() * axes.eigenvalues().cwiseMax(0).asDiagonal() * axes.eigenvectors().transpose();
}

}  // namespace swingtie
