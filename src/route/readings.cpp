#include "route/readings.hpp"

#include <algorithm>
#include <cmath>
#include <initializer_list>
#include <optional>
#include <string_view>
#include <utility>

#include "route/aim.hpp"
#include "route/observations/observations.hpp"
#include "route/priors.hpp"

namespace swingtie {
namespace {

bool mentions(std::string_view text, std::initializer_list<std::string_view> words) {
  return std::any_of(words.begin(), words.end(),
                     [&](std::string_view word) { return text.find(word) != std::string_view::npos; });
}

/// Lays the readings one sort after the other.
class Layer {
 public:
  Layer(const Placed& placed, const std::vector<double>& mean, Model& model)
      : placed_(placed), mean_(mean), model_(model) {}

  void lay() {
    lay_accesses();
    lay_locates();
    lay_ends();
    lay_grades();
    model_.readings = rows_so_far();
  }

 private:
  void lay_accesses() {
    for (std::size_t r = 0; r < placed_.runs.size(); ++r) {
      const Run& run = placed_.runs[r];
      const Axis a = axis_below(placed_, model_, run);
      model_.observations.push_back(observe_access(
          r, model_.relative(run.access.at),
          run.access.covariance + PlanCovariance::Identity() * prior::access * prior::access, a.up, a.sigma));
    }
  }

  static std::optional<double> depth_by_ratio(const DepthReadings::Ratio& ratio) {
    if (!(ratio.lower > ratio.upper) || ratio.upper <= 0 || ratio.apart <= 0) return std::nullopt;
    return ratio.apart / (std::cbrt(ratio.lower / ratio.upper) - 1);
  }

  /// What is known of the depth at a locate before the solve, to size the receiver's part.
  double rough_depth(const Run& run, const Locate& locate) const {
    if (locate.depth.along) return *locate.depth.along;
    if (locate.depth.nulls) return *locate.depth.nulls / std::sqrt(2.0);
    if (locate.depth.ratio)
      if (const auto depth = depth_by_ratio(*locate.depth.ratio)) return *depth;
    if (locate.depth.across) return *locate.depth.across;
    double sum = 0;
    int count = 0;
    for (const Locate& other : run.locates)
      if (other.depth.along) {
        sum += *other.depth.along;
        ++count;
      }
    return count > 0 ? sum / count : run.drop > 0 ? run.drop : prior::usual_depth;
  }

  void lay_locates() {
    for (std::size_t k = 0; k < model_.locates.size(); ++k) {
      const Run& run = placed_.runs[model_.locates[k].run];
      const Locate& locate = run.locates[model_.locates[k].locate];
      ModelLocate& m = model_.locates[k];
      const double depth = m.depth = rough_depth(run, locate);
      m.stray_across = prior::receiver_across_per_depth * depth;
      switch (locate.by) {
        case LocateMethod::peak:
          m.stray_along = prior::receiver_peak_per_depth * depth;
          m.along_per_tilt = prior::peak_per_tilt * depth;
          break;
        case LocateMethod::nulls:
          m.stray_along = prior::receiver_nulls_per_depth * depth;
          m.along_per_tilt = prior::nulls_per_tilt * depth;
          break;
        case LocateMethod::line:
          m.stray_along = prior::receiver_line_per_depth * depth;
          break;
      }
      double along = std::hypot(prior::receiver_mark, m.stray_along);
      double across = std::hypot(prior::receiver_mark, m.stray_across);
      m.whole = locate.whole;
      m.by = locate.by;
      if (locate.whole) {
        along = across = 0;
        const double radius = std::sqrt(locate.position.covariance.trace() / 2);
        m.stray_along = std::min(m.stray_along, radius);
        m.stray_across = std::min(m.stray_across, radius);
      }
      if (locate.by == LocateMethod::line) along = prior::receiver_line_along;
      m.at = model_.relative(locate.position.at);
      m.position = locate.position.covariance;
      m.along = std::hypot(along, prior::counter_reading);
      m.across = across;
      m.first_row = rows_so_far();
      model_.observations.push_back(observe_locate(k));
      lay_depths(k, locate);
      if (locate.direction) model_.observations.push_back(observe_direction(k, locate.direction->radians));
      m.end_row = rows_so_far();
    }
  }

  Eigen::Index rows_so_far() const {
    Eigen::Index rows = 0;
    for (const auto& observation : model_.observations) rows += observation->rows();
    return rows;
  }

  void lay_depths(std::size_t k, const Locate& locate) {
    std::optional<double> receiver;
    if (locate.direction) receiver = locate.direction->radians;
    const auto add = [&](DepthKind kind, double depth, double sigma) {
      if (depth > 0) model_.observations.push_back(observe_depth(k, kind, depth, sigma, receiver));
    };
    const auto share = [](double depth, double of) { return std::hypot(of * depth, prior::depth_floor); };
    const DepthReadings& d = locate.depth;
    if (d.along) add(DepthKind::along, *d.along, share(*d.along, prior::depth_along));
    if (d.across) add(DepthKind::across, *d.across, share(*d.across, prior::depth_along));
    if (d.nulls)
      add(DepthKind::nulls, *d.nulls / std::sqrt(2.0), share(*d.nulls / std::sqrt(2.0), prior::depth_nulls));
    if (d.ratio)
      if (const auto depth = depth_by_ratio(*d.ratio))
        // dd/d = -(d + s)/(3 s) of the ratio's own relative error (F3).
        add(DepthKind::ratio, *depth,
            share(*depth, prior::signal_ratio * (*depth + d.ratio->apart) / (3 * d.ratio->apart)));
  }

  /// Whether some run of the line came to its end, and did not merely stop.
  bool reached_its_end(std::size_t line) const {
    for (const Run& run : placed_.runs) {
      if (run.line != line || run.toward != Travel::toward_main) continue;
      for (const LogItem& item : run.log)
        if (item.ends_at_main ||
            (!item.end.empty() && std::holds_alternative<PlacedPoint>(placed_.lines[line].end) &&
             !mentions(item.end, {"block", "collaps", "obstruct", "root", "stop", "stuck", "could not", "debris"})))
          return true;
    }
    return false;
  }

  void lay_ends() {
    for (std::size_t index = 0; index < model_.lines.size(); ++index) {
      const ModelLine& line = model_.lines[index];
      if (!line.known) continue;
      lay_wye(index);
      if (!reached_its_end(index)) continue;
      if (const auto* point = std::get_if<PlacedPoint>(&placed_.lines[index].end)) {
        model_.observations.push_back(observe_end_at_point(
            line.end, model_.relative(point->at),
            point->covariance + PlanCovariance::Identity() * prior::mapped_line * prior::mapped_line));
      } else if (const auto* on = std::get_if<Line::OnFeatureEnd>(&placed_.lines[index].end)) {
        const Feature& feature = placed_.features[on->feature];
        if (feature.shape == GeometryKind::point) {
          model_.observations.push_back(observe_end_at_point(
              line.end, model_.relative(feature.point),
              feature.covariance + PlanCovariance::Identity() * prior::mapped_line * prior::mapped_line));
          continue;
        }
        std::vector<std::vector<PlanPoint>> edges = polylines(feature);
        for (auto& edge : edges)
          for (PlanPoint& p : edge) p = model_.relative(p);
        model_.observations.push_back(observe_end_on_line(
            line.end, std::move(edges), std::hypot(prior::mapped_line, std::sqrt(feature.covariance.trace() / 2))));
      }
    }
  }

  void lay_wye(std::size_t branch) {
    const std::optional<std::size_t> parent = placed_.lines[branch].joins;
    if (!parent || !model_.lines[*parent].known) return;
    for (std::size_t r = 0; r < placed_.runs.size(); ++r) {
      if (placed_.runs[r].line != *parent) continue;
      for (const LogItem& item : placed_.runs[r].log)
        if (item.branch == branch) {
          model_.observations.push_back(observe_wye(model_.lines[branch].end, {r, item.at.metres, Sight::seen}));
          return;
        }
    }
    model_.observations.push_back(observe_join(model_.lines[branch].end, *parent));
  }

  /// After a pair of vertical fittings, a drop say, the pipe lies at its grade again.
  void lay_grades() {
    for (std::size_t index = 0; index < model_.lines.size(); ++index) {
      const ModelLine& line = model_.lines[index];
      if (!line.known) continue;
      std::vector<std::pair<double, double>> climbs;  // where, by how much
      for (const std::size_t b : line.bends) {
        const ModelBend& bend = model_.bends[b];
        if (bend.vertical)
          climbs.emplace_back(nominal_coordinate(model_, mean_, bend.run, bend.reading, model_.runs[bend.run].ahead),
                              mean_[bend.angle]);
      }
      std::sort(climbs.begin(), climbs.end());
      double base = 0;
      for (std::size_t i = 0; i < climbs.size(); ++i) {
        base += climbs[i].second;
        const double until = i + 1 < climbs.size() ? climbs[i + 1].first : line.high;
        if (std::abs(base) < 20 * degree && until > climbs[i].first + 0.3)
          model_.observations.push_back(
              observe_grade(index, (climbs[i].first + until) / 2, mean_[line.columns.pitch], 2 * line.grade_sigma));
      }
    }
  }

  const Placed& placed_;
  const std::vector<double>& mean_;
  Model& model_;
};

}  // namespace

double nominal_coordinate(const Model& model, const std::vector<double>& mean, std::size_t run, double reading,
                          double ahead) {
  const ModelRun& r = model.runs[run];
  return mean[r.entry] + r.sense * (reading - mean[r.zero] + ahead);
}

Axis axis_below(const Placed& placed, const Model& model, const Run& run) {
  const double ground = (placed.ground ? placed.ground->height(run.access.at) : 0) - model.origin.up;
  double size = 0;
  for (const LogItem& item : run.log)
    if (item.pipe && size == 0) size = item.pipe->size;
  if (run.drop <= 0) return {ground - prior::usual_depth, prior::drop_unwritten};
  // A basement floor lies anywhere from grade to a storey below it.
  if (mentions(run.access_what, {"basement", "cellar", "crawl", "floor"}))
    return {ground - run.drop - 1.0, prior::drop_unwritten};
  return {ground - run.drop + size / 2, prior::drop};
}

void lay_readings(const Placed& placed, const std::vector<double>& mean, Model& model) {
  Layer(placed, mean, model).lay();
}

}  // namespace swingtie
