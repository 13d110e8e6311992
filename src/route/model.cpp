#include "route/model.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "route/aim.hpp"
#include "route/observations/observations.hpp"
#include "route/priors.hpp"
#include "route/readings.hpp"

namespace swingtie {
namespace {

constexpr std::size_t bend_slots = 6;
/// A longer line has longer pieces. Two between neighbouring readings already bend as many short ones would: where
/// the pipe lies nearly straight, turning it about any joint between the two moves what follows by a blend of two
/// motions.
constexpr int most_pieces = 160;
/// Up to this length of pipe a chain as written, turned once about its access, is near enough to start from.
constexpr double stretch = 40.0;

/// Builds the unknowns stage by stage, every member function one sort of them, and then lays the readings on them.
class Builder {
 public:
  Builder(const Placed& placed, double piece, const std::vector<double>& entries)
      : placed_(placed), piece_(piece), entries_(entries), model_(std::make_unique<Model>()) {}

  std::unique_ptr<Model> build() {
    model_->ground = placed_.ground;
    model_->lines.resize(placed_.lines.size());
    model_->runs.resize(placed_.runs.size());
    if (!placed_.runs.empty()) {
      const PlanPoint at = placed_.runs.front().access.at;
      model_->origin = {at.e, at.n, placed_.ground ? placed_.ground->height(at) : 0};
    }
    lay_runs();
    for (std::size_t line = 0; line < model_->lines.size(); ++line) lay_line(line);
    lay_bends();
    lay_mistakes();
    aim_lines();
    lay_readings(placed_, mean_, *model_);
    model_->unknowns = static_cast<Eigen::Index>(mean_.size());
    model_->plain.prior.mean = as_vector(mean_);
    model_->plain.prior.variance = as_vector(variance_);
    model_->start = start_;
    return std::move(model_);
  }

 private:
  static Eigen::VectorXd as_vector(const std::vector<double>& v) {
    return Eigen::Map<const Eigen::VectorXd>(v.data(), static_cast<Eigen::Index>(v.size()));
  }

  Eigen::Index unknown(double mean, double sigma) {
    mean_.push_back(mean);
    variance_.push_back(sigma * sigma);
    return static_cast<Eigen::Index>(mean_.size()) - 1;
  }

  // ---- where readings lie along the pipe ----

  static double nominal_zero(const Run& run) {
    switch (run.zero) {
      case CounterZero::at_rim:
        return run.drop;
      case CounterZero::stated:
        return run.zero_reading.metres;
      case CounterZero::at_pipe_entry:
        break;
    }
    return 0;
  }

  double nominal(std::size_t run, double reading, double ahead) const {
    return nominal_coordinate(*model_, mean_, run, reading, ahead);
  }

  std::vector<std::size_t> runs_of(std::size_t line) const {
    std::vector<std::size_t> runs;
    for (std::size_t r = 0; r < placed_.runs.size(); ++r)
      if (placed_.runs[r].line == line) runs.push_back(r);
    // The run that sets the origin of the pipe coordinate goes first: one that starts at the house, if any does.
    std::stable_partition(runs.begin(), runs.end(),
                          [&](std::size_t r) { return placed_.runs[r].toward == Travel::toward_main; });
    return runs;
  }

  void lay_runs() {
    for (std::size_t r = 0; r < placed_.runs.size(); ++r) {
      const Run& run = placed_.runs[r];
      ModelRun& m = model_->runs[r];
      m.line = run.line;
      m.sense = run.toward == Travel::toward_main ? 1 : -1;
      m.behind = run.sonde_behind_lens;
      m.ahead = run.view_ahead;
      for (const LogItem& item : run.log) m.last = std::max(m.last, item.at.metres);
      for (const Locate& locate : run.locates) m.last = std::max(m.last, locate.at.metres);
      m.scale = unknown(0, prior::counter_scale);
      m.zero = unknown(nominal_zero(run), prior::counter_zero);
      m.entry = unknown(0, 0);
    }
    for (std::size_t line = 0; line < model_->lines.size(); ++line) {
      const std::vector<std::size_t> runs = runs_of(line);
      for (std::size_t i = 1; i < runs.size(); ++i) {
        if (!entries_.empty()) mean_[model_->runs[runs[i]].entry] = entries_[runs[i]];
        variance_[model_->runs[runs[i]].entry] = 6.0 * 6.0;
        ++model_->undetermined;
      }
      if (entries_.empty()) guess_entries(runs);
    }
  }

  std::vector<Known> known_of(std::size_t run) const {
    std::vector<Known> known{{mean_[model_->runs[run].entry], placed_.runs[run].access.at}};
    for (const Locate& locate : placed_.runs[run].locates)
      known.push_back({nominal(run, locate.at.metres, -model_->runs[run].behind), locate.position.at});
    return known;
  }

  /// Pipe coordinates of the accesses of a line's later runs: each is laid on what the runs before it located, the
  /// one that lies nearest first, and then serves those still further along.
  void guess_entries(std::vector<std::size_t> runs) {
    if (runs.size() < 2) return;
    const auto by_place = [](const Known& a, const Known& b) { return a.u < b.u; };
    std::vector<Known> known = known_of(runs.front());
    runs.erase(runs.begin());
    while (!runs.empty()) {
      std::stable_sort(known.begin(), known.end(), by_place);
      auto nearest = runs.begin();
      Foot least = foot_of(placed_.runs[*nearest].access.at, known);
      for (auto other = runs.begin() + 1; other != runs.end(); ++other) {
        const Foot foot = foot_of(placed_.runs[*other].access.at, known);
        if (foot.off >= least.off) continue;
        nearest = other;
        least = foot;
      }
      mean_[model_->runs[*nearest].entry] = least.u;
      const std::vector<Known> more = known_of(*nearest);
      known.insert(known.end(), more.begin(), more.end());
      runs.erase(nearest);
    }
  }

  // ---- the chain of a line ----

  /// How far a run got: to the end it noted, unless something was read well beyond that; else to whatever it saw or
  /// the lens itself reached last. The end is seen before the lens is there, a locate taken with the lens at it.
  LineEndpoint furthest(std::size_t r) const {
    const Run& run = placed_.runs[r];
    const ModelRun& m = model_->runs[r];
    constexpr double well_beyond = 0.6;  // the most a camera may see ahead
    double seen = 0;
    for (const LogItem& item : run.log) {
      if (!item.end.empty() && m.last < item.at.metres + m.ahead + well_beyond)
        return {r, item.at.metres, Sight::seen};
      seen = std::max(seen, item.at.metres);
    }
    if (seen + m.ahead < m.last) return {r, m.last, Sight::lens};
    return {r, seen, Sight::seen};
  }

  void lay_line(std::size_t index) {
    ModelLine& line = model_->lines[index];
    const std::vector<std::size_t> runs = runs_of(index);
    if (runs.empty()) return;
    line.known = true;
    line.low = std::numeric_limits<double>::infinity();
    line.high = -line.low;
    double slack = 1.0;
    const auto reach = [&](double u, const LineEndpoint& endpoint) {
      if (u < line.low) {
        line.low = u;
        line.begin = endpoint;
      }
      if (u > line.high) {
        line.high = u;
        line.end = endpoint;
      }
    };
    for (const std::size_t r : runs) {
      const ModelRun& run = model_->runs[r];
      reach(mean_[run.entry], {r, {}});
      const LineEndpoint far = furthest(r);
      if (*far.reading > mean_[run.zero])
        reach(nominal(r, *far.reading, far.sight == Sight::seen ? run.ahead : 0), far);
      if (variance_[run.entry] > 0) slack = 4.0;
      slack = std::max(slack, 0.02 * run.last + 1.0);
    }
    line.high = std::max(line.high, line.low + piece_);
    const bool free_low = line.begin.reading || line.begin.run != runs.front();
    const double low = line.low - (free_low ? slack : 0), high = line.high + slack;
    line.shape.low = low;
    line.shape.pieces = std::clamp(static_cast<int>(std::ceil((high - low) / piece_)), 2, most_pieces);
    line.shape.piece = (high - low) / line.shape.pieces;
    lay_unknowns(index, runs.front());
  }

  /// What the slope of the ground adds to the spread of the grade: a line down a hillside falls with the hill.
  double ground_grade(const std::vector<std::size_t>& runs) const {
    if (!placed_.ground || !placed_.ground->has_elevations()) return prior::grade_unstated_ground;
    double steepest = 0;
    for (const std::size_t r : runs) {
      const PlanPoint from = placed_.runs[r].access.at;
      for (const Locate& locate : placed_.runs[r].locates) {
        const double apart = distance(from, locate.position.at);
        if (apart < 3.0) continue;
        const double rise = placed_.ground->height(locate.position.at) - placed_.ground->height(from);
        steepest = std::max(steepest, std::abs(rise) / apart);
      }
    }
    return prior::grade_per_ground_slope * steepest;
  }

  void lay_unknowns(std::size_t line_index, std::size_t first_run) {
    ModelLine& line = model_->lines[line_index];
    const Run& run = placed_.runs[first_run];
    const PlanPoint at = model_->relative(run.access.at);
    line.columns.start = unknown(at.e, prior::anywhere);
    unknown(at.n, prior::anywhere);
    unknown(axis_below(placed_, *model_, run).up, 3.0);
    line.columns.heading = unknown(0, prior::any_heading);
    model_->undetermined += 4;
    double size = 0;
    for (const LogItem& item : run.log)
      if (item.pipe && size == 0) size = item.pipe->size;
    line.grade_sigma = std::hypot(prior::grade, ground_grade(runs_of(line_index)));
    line.columns.pitch = unknown(-std::atan(prior::design_grade(size)), line.grade_sigma);
    const double drift = prior::drift_per_root_metre * std::sqrt(line.shape.piece);
    for (int i = 1; i < line.shape.pieces; ++i) {
      const Eigen::Index joint = unknown(0, drift);
      if (i == 1) line.columns.drift = joint;
    }
    double per_root_metre = prior::grade_drift_per_root_metre;
    for (const std::size_t r : runs_of(line_index))
      if (placed_.runs[r].bends != Completeness::all) per_root_metre = prior::grade_drift_unlogged_per_root_metre;
    const double grade_drift = per_root_metre * std::sqrt(line.shape.piece * line.shape.pitch_every);
    line.columns.pitch_drift = static_cast<Eigen::Index>(mean_.size());
    for (int i = 0; i < line.shape.pitch_joints(); ++i) unknown(0, grade_drift);
  }

  // ---- fittings ----

  void lay_bends() {
    for (std::size_t line = 0; line < model_->lines.size(); ++line)
      for (const std::size_t r : runs_of(line)) lay_bends_of(line, r);
  }

  void lay_bends_of(std::size_t line, std::size_t r) {
    const Run& run = placed_.runs[r];
    for (std::size_t i = 0; i < run.log.size(); ++i) {
      if (!run.log[i].bend) continue;
      const Bend& written = *run.log[i].bend;
      ModelBend bend;
      bend.run = r;
      bend.log = i;
      bend.reading = run.log[i].at.metres;
      bend.vertical = written.hand == Hand::up || written.hand == Hand::down;
      bend.hand_known = written.hand.has_value();
      // Seen the other way round a left is a right, but an up stays an up.
      double angle = written.angle.value_or(prior::bend_angle_usual);
      if (written.hand == Hand::left || written.hand == Hand::down) angle = -angle;
      if (!bend.vertical) angle *= model_->runs[r].sense;
      bend.size = std::abs(angle);
      bend.size_sigma = written.angle ? prior::bend_angle : prior::bend_angle_unwritten;
      double sigma = bend.size_sigma;
      if (!bend.hand_known) {
        sigma = std::hypot(sigma, angle);
        angle = 0;
      }
      const double u = nominal(r, bend.reading, model_->runs[r].ahead);
      if (entries_.empty() && waits(line, r, u)) continue;
      if (const std::optional<std::size_t> same = written_before(line, r, u, bend.vertical, angle)) {
        model_->observations.push_back(observe_same_bend(*same, {r, bend.reading, Sight::seen}));
        continue;
      }
      bend.angle = unknown(angle, sigma);
      bend.shift = unknown(0, prior::counter_reading);
      model_->lines[line].bends.push_back(model_->bends.size());
      model_->bends.push_back(bend);
    }
  }

  /// Whether it is too early to say which fitting of the first run this is.
  bool waits(std::size_t line, std::size_t run, double u) const {
    const std::size_t first = runs_of(line).front();
    return run != first && u > -4.0 && u < nominal(first, model_->runs[first].last, 0) + 4.0;
  }

  std::optional<std::size_t> written_before(std::size_t line, std::size_t run, double u, bool vertical,
                                            double angle) const {
    for (const std::size_t index : model_->lines[line].bends) {
      const ModelBend& b = model_->bends[index];
      if (b.run == run || b.vertical != vertical) continue;
      const double other = nominal(b.run, b.reading, model_->runs[b.run].ahead);
      if (std::abs(other - u) < 2.0 && std::abs(mean_[b.angle] - angle) < 30 * degree) return index;
    }
    return std::nullopt;
  }

  /// Unknowns that stay at zero unless a mistake is assumed.
  void lay_mistakes() {
    for (ModelRun& run : model_->runs) run.restart = unknown(0, 0);
    for (std::size_t r = 0; r < placed_.runs.size(); ++r) {
      for (std::size_t i = 0; i < placed_.runs[r].locates.size(); ++i) {
        ModelLocate locate;
        locate.run = r;
        locate.locate = i;
        locate.blunder = unknown(0, 0);
        unknown(0, 0);
        unknown(0, 0);
        locate.shift = unknown(0, 0);
        locate.sighting = model_->sightings.size();
        model_->sightings.push_back({r, placed_.runs[r].locates[i].at.metres, Sight::sonde, locate.shift});
        model_->locates.push_back(locate);
      }
    }
    for (std::size_t i = 0; i < bend_slots; ++i) {
      BendSlot slot;
      slot.angle = unknown(0, 0);
      slot.place = unknown(0, 0);
      model_->slots.push_back(slot);
    }
  }

  // ---- a first guess: the chain as written, turned about the access until it meets the locates best ----

  void aim_lines() {
    model_->plain.restart_after.assign(model_->runs.size(), std::numeric_limits<double>::infinity());
    model_->unknowns = static_cast<Eigen::Index>(mean_.size());
    start_ = as_vector(mean_);
    for (std::size_t index = 0; index < model_->lines.size(); ++index) {
      ModelLine& line = model_->lines[index];
      if (!line.known) continue;
      const std::size_t first = runs_of(index).front();
      std::vector<Known> targets = targets_of(index);
      const State state(*model_, model_->plain, start_);
      const double u = mean_[model_->runs[first].entry];
      const Eigen::Vector2d access = state.chains[index].point(u).at.head<2>();
      const PlanPoint at = model_->relative(placed_.runs[first].access.at);
      // What lies on the far side of the access cannot be met by turning about it.
      const double turn = turn_to_meet(state.chains[index], u, access, at, targets, 0, stretch);
      // Turning about the access moves the chain's first point, which need not be the access.
      const double de = start_[line.columns.start] - access.x(), dn = start_[line.columns.start + 1] - access.y();
      start_[line.columns.start] = at.e + std::cos(turn) * de + std::sin(turn) * dn;
      start_[line.columns.start + 1] = at.n - std::sin(turn) * de + std::cos(turn) * dn;
      start_[line.columns.heading] = turn;
      for (Eigen::Index i = line.columns.start; i < line.columns.start + 2; ++i)
        mean_[static_cast<std::size_t>(i)] = start_[i];
      mean_[static_cast<std::size_t>(line.columns.heading)] = turn;
      follow(index, targets);
    }
    const State state(*model_, model_->plain, start_, false);
    for (const ModelLocate& locate : model_->locates)
      model_->plain.attitudes.push_back(attitude_at(state.sightings[locate.sighting].point));
  }

  /// What is located of a line: by nominal pipe coordinate, relative to the origin.
  std::vector<Known> targets_of(std::size_t index) const {
    std::vector<Known> targets;
    const std::size_t first = runs_of(index).front();
    for (const std::size_t r : runs_of(index)) {
      if (r != first) targets.push_back({mean_[model_->runs[r].entry], model_->relative(placed_.runs[r].access.at)});
      for (const Locate& locate : placed_.runs[r].locates)
        targets.push_back(
            {nominal(r, locate.at.metres, -model_->runs[r].behind), model_->relative(locate.position.at)});
    }
    if (targets.empty())
      if (const std::optional<PlanPoint> end = end_hint(placed_, index, placed_.runs[first].access.at))
        targets.push_back({model_->lines[index].high, model_->relative(*end)});
    std::stable_sort(targets.begin(), targets.end(), [](const Known& a, const Known& b) { return a.u < b.u; });
    return targets;
  }

  /// A long chain aimed once from its access is far off at its other end, too far for the solver to find the way. So
  /// it is turned again, stretch by stretch, at its joints. Only where the solver starts: nothing is believed of it.
  void follow(std::size_t index, const std::vector<Known>& targets) {
    const ModelLine& line = model_->lines[index];
    for (int half = 2; line.low + half * stretch / 2 < line.high - stretch / 4; ++half) {
      const double about = line.low + half * stretch / 2;
      const State state(*model_, model_->plain, start_);
      const Eigen::Vector2d here = state.chains[index].point(about).at.head<2>();
      const double turn = turn_to_meet(state.chains[index], about, here, {here.x(), here.y()}, targets, 1.5, stretch);
      const int joint = std::clamp(static_cast<int>(std::lround((about - line.shape.low) / line.shape.piece)), 1,
                                   line.shape.pieces - 1);
      start_[line.columns.drift + joint - 1] += turn;
    }
  }

  const Placed& placed_;
  double piece_;
  const std::vector<double>& entries_;
  std::unique_ptr<Model> model_;
  std::vector<double> mean_, variance_;
  Eigen::VectorXd start_;  ///< where the solver begins
};

}  // namespace

std::unique_ptr<Model> make_model(const Placed& placed, double piece, const std::vector<double>& entries) {
  return Builder(placed, piece, entries).build();
}

}  // namespace swingtie
