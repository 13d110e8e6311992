#include <fmt/format.h>

#include <algorithm>
#include <cassert>
#include <cmath>
#include <limits>

#include "exchange/table.hpp"
#include "exchange/words.hpp"
#include "measure/bearing.hpp"

namespace swingtie {
namespace {

constexpr int length_decimals = 4;
constexpr int probability_decimals = 4;

Table& table_named(std::vector<Table>& tables, std::string_view name) {
  const auto found =
      std::find_if(tables.begin(), tables.end(), [&](const Table& t) { return t.schema->name == name; });
  assert(found != tables.end());
  return *found;
}

std::string joined(const std::vector<std::string>& parts, std::string_view between) {
  std::string all;
  for (const std::string& part : parts) {
    if (!all.empty()) all += between;
    all += part;
  }
  return all;
}

/// Some point of a feature: a lot is one place for the way to longitude and latitude.
PlanPoint place_of(const Feature& feature) {
  if (feature.shape == GeometryKind::line) return feature.lines.front().front();
  return feature.shape == GeometryKind::area ? feature.areas.front().outer.front() : feature.point;
}

/// Fills the tables of one job, row by row in the order of the schema's fields.
class Tabulator {
 public:
  Tabulator(const JobFindings& job, CoordinateKind kind, std::vector<Table>& tables)
      : job_(job),
        kind_(kind),
        placed_(*job.placed),
        findings_(*job.findings),
        tables_(tables),
        metres_per_unit_(metres_per(placed_.unit)) {}

  void fill() {
    features();
    for (const LineFinding& line : findings_.lines) fill_line(line);
    for (const ItemFinding& item : findings_.items) fill_item(item);
    for (const DigFinding& dig : findings_.digs) fill_dig(dig);
    for (const TieSet& set : findings_.tie_sets) fill_ties(set, std::nullopt);
    for (const Run& run : placed_.runs) fill_access(run);
    for (const LocateFinding& locate : findings_.locates) fill_locate(locate);
    for (const Crossing& crossing : findings_.crossings) fill_crossing(crossing);
  }

 private:
  /// A length in the site's unit; empty where a stage could not say (not a number, or infinite).
  TableValue length(double metres) const {
    return std::isfinite(metres) ? TableValue{fixed(metres / metres_per_unit_, length_decimals)} : TableValue{};
  }
  TableValue length(const std::optional<double>& metres) const { return metres ? length(*metres) : TableValue{}; }
  static TableValue share(double probability) { return fixed(probability, probability_decimals); }
  static TableValue text(std::string_view words) {
    return words.empty() ? TableValue{} : TableValue{std::string(words)};
  }
  /// A place's `acc_h95`.
  TableValue accuracy(PlanPoint at, const ErrorEllipse& ellipse95) const {
    return length(coordinate_accuracy95(placed_, kind_, at, ellipse95));
  }
  /// The same of what has a covariance on the grid by its own right.
  TableValue accuracy(PlanPoint at, const PlanCovariance& on_grid) const {
    const bool grid = kind_ == CoordinateKind::grid;
    return length(error_ellipse(grid ? on_grid : on_earth(placed_, at, on_grid), 0.95).semi_major);
  }
  static double half(const Interval& interval) { return 0.5 * (interval.high - interval.low); }

  void add(std::string_view table_name, TableGeometry geometry, std::string title, std::vector<TableValue> values) {
    std::vector<TableValue> all{text(job_.name), text(placed_.site_name), text(placed_.inspected),
                                text(unit_word(placed_.unit))};
    std::move(values.begin(), values.end(), std::back_inserter(all));
    Table& table = table_named(tables_, table_name);
    assert(all.size() == table.schema->fields.size());
    table.rows.push_back({std::move(geometry), std::move(title), std::move(all)});
  }

  void features() {
    for (const Feature& feature : placed_.features) {
      TableGeometry geometry = PointShape{feature.point};
      if (feature.shape == GeometryKind::line) geometry = LineShape{feature.lines};
      if (feature.shape == GeometryKind::area) geometry = AreaShape{feature.areas};
      const double unit2 = metres_per_unit_ * metres_per_unit_;
      add("features", std::move(geometry), feature.label,
          {text(feature.id), text(spelled(feature.kind)), text(feature.label), text(feature.material),
           length(feature.trunk), length(feature.spread), length(feature.width), length(feature.size),
           length(feature.depth),
           feature.shape == GeometryKind::area ? TableValue{fixed(feature.area / unit2, length_decimals)}
                                               : TableValue{},
           text("stated"), accuracy(place_of(feature), feature.grid_covariance),
           length(error_ellipse(feature.covariance, 0.95).semi_major)});
    }
  }

  void fill_line(const LineFinding& line) {
    const StationFinding* worst = nullptr;
    bool located = true;
    for (const StationFinding& s : line.stations) {
      if (!worst || s.ellipse95.semi_major > worst->ellipse95.semi_major) worst = &s;
      located = located && s.knowledge == Knowledge::located;
    }
    if (!worst) return;
    const TableValue worst_accuracy = accuracy(plan(worst->at), worst->ellipse95);
    const TableValue worst_relative = length(worst->ellipse95.semi_major);
    for (const StationFinding& s : line.marks)
      add("stations", PointShape{plan(s.at)}, shown(s.station.metres),
          {text(line.id), length(s.station.metres), length(s.depth), length(s.depth95.low), length(s.depth95.high),
           length(s.elevation), text(word(s.knowledge)), accuracy(plan(s.at), s.ellipse95),
           length(s.ellipse95.semi_major), length(half(s.depth95))});
    const TableValue basis = text(word(located ? Knowledge::located : Knowledge::inferred));
    if (!line.corridor95.empty()) {
      AreaShape corridor;
      for (const auto& ring : line.corridor95) corridor.parts.push_back({ring, {}});
      add("corridor", std::move(corridor), fmt::format("95 % corridor of {}", line.id),
          {text(line.id), share(0.95), basis, worst_accuracy, worst_relative});
    }
    for (const RouteAlternative& alternative : line.alternatives) {
      LineShape course;
      course.parts.emplace_back();
      for (const SitePoint& p : alternative.route) course.parts.back().push_back(plan(p));
      if (course.parts.back().size() < 2) continue;
      add("alternatives", std::move(course), fmt::format("{}: {:.0f} %", line.id, 100 * alternative.probability),
          {text(line.id), share(alternative.probability), text(joined(alternative.because, "; ")), basis,
           worst_accuracy, worst_relative});
    }
    fill_route(line);
  }

  /// The pipe laid at a station; none before the first note of one.
  static const Pipe* pipe_at(const LineFinding& line, Station station) {
    for (const PipeStretch& stretch : line.pipes)
      if (station >= stretch.from && station < stretch.to) return &stretch.pipe;
    return nullptr;
  }

  /// Pieces of one pipe and one state of knowledge, so that a map can draw each its own way.
  void fill_route(const LineFinding& line) {
    const auto& stations = line.stations;
    const auto kind_of = [&](std::size_t i) {
      const Station middle = stations[i].station + 0.5 * (stations[i + 1].station - stations[i].station);
      const bool located =
          stations[i].knowledge == Knowledge::located && stations[i + 1].knowledge == Knowledge::located;
      return std::pair{pipe_at(line, middle), located ? Knowledge::located : Knowledge::inferred};
    };
    std::size_t first = 0;
    while (first + 1 < stations.size()) {
      const auto kind = kind_of(first);
      std::size_t last = first + 1;
      while (last + 1 < stations.size() && kind_of(last) == kind) ++last;
      add_route_piece(line, first, last, kind.first, kind.second);
      first = last;
    }
  }

  void add_route_piece(const LineFinding& line, std::size_t first, std::size_t last, const Pipe* pipe,
                       Knowledge knowledge) {
    LineShape course;
    course.parts.emplace_back();
    double shallow = line.stations[first].depth, deep = shallow, worst_depth = 0;
    const StationFinding* worst = &line.stations[first];
    for (std::size_t i = first; i <= last; ++i) {
      const StationFinding& s = line.stations[i];
      course.parts.back().push_back(plan(s.at));
      shallow = std::min(shallow, s.depth);
      deep = std::max(deep, s.depth);
      if (s.ellipse95.semi_major > worst->ellipse95.semi_major) worst = &s;
      worst_depth = std::max(worst_depth, half(s.depth95));
    }
    const Station from = line.stations[first].station, to = line.stations[last].station;
    const bool known_material = pipe && pipe->material != Material::unknown;
    add("route", std::move(course), pipe ? pipe->words : line.id,
        {text(line.id), length(from.metres), length(to.metres), length(to - from),
         pipe ? text(pipe->words) : TableValue{}, known_material ? text(material_name(pipe->material)) : TableValue{},
         pipe && pipe->size > 0 ? TableValue{fixed(pipe->size * 1000.0, 1)} : TableValue{}, length(shallow),
         length(deep), text(word(knowledge)), accuracy(plan(worst->at), worst->ellipse95),
         length(worst->ellipse95.semi_major), length(worst_depth)});
  }

  /// Pipe known well around an item, or reached by cable and bends only.
  std::string_view knowledge_near(std::size_t line, Station station) const {
    for (const LineFinding& finding : findings_.lines) {
      if (finding.line != line || finding.stations.empty()) continue;
      const auto nearest = std::min_element(finding.stations.begin(), finding.stations.end(),
                                            [&](const StationFinding& a, const StationFinding& b) {
                                              return std::abs(a.station - station) < std::abs(b.station - station);
                                            });
      return word(nearest->knowledge);
    }
    return word(Knowledge::inferred);
  }

  std::string shown(double metres) const { return format_length(metres, placed_.unit, LengthStyle::decimal, 1); }
  std::string title_of(const ItemFinding& item) const {
    return fmt::format("{} at {}", item.what.empty() ? "item" : item.what, shown(item.at.metres));
  }

  const std::string& line_id(std::size_t line) const { return placed_.lines.at(line).id; }
  const std::string& run_id(std::size_t run) const { return placed_.runs.at(run).id; }

  void fill_item(const ItemFinding& item) {
    const std::string_view basis = knowledge_near(item.line, item.station);
    const LogItem& log = placed_.runs.at(item.run).log.at(item.log);
    add("items", PointShape{plan(item.position)}, title_of(item),
        {text(run_id(item.run)), length(item.at.metres), text(line_id(item.line)), length(item.station.metres),
         length(item.station95.low), length(item.station95.high), text(item.what), text(spelled(item.act)),
         length(item.depth), length(item.depth95.low), length(item.depth95.high),
         item.private_probability ? share(*item.private_probability) : TableValue{}, text(joined(item.says, " ")),
         text(log.photo), text(basis), accuracy(plan(item.position), item.ellipse95),
         length(item.ellipse95.semi_major), length(half(item.depth95))});
    if (item.region95.empty()) return;
    AreaShape region;
    for (const auto& ring : item.region95) region.parts.push_back({ring, {}});
    add("item_regions", std::move(region), fmt::format("95 %: {}", title_of(item)),
        {text(run_id(item.run)), length(item.at.metres), text(line_id(item.line)), text(item.what),
         text(spelled(item.act)), share(0.95), text(basis), accuracy(plan(item.position), item.ellipse95),
         length(item.ellipse95.semi_major)});
  }

  void fill_dig(const DigFinding& dig) {
    const ItemFinding& item = findings_.items.at(dig.item);
    const TableValue basis = text(knowledge_near(item.line, item.station));
    const TableValue absolute = accuracy(plan(item.position), item.ellipse95);
    const TableValue relative = length(item.ellipse95.semi_major);
    std::vector<std::string> tapes;
    for (const SwingTie& tie : dig.ties.ties)
      tapes.push_back(
          fmt::format("{} from {}", format_length(tie.distance, placed_.unit, LengthStyle::tape), tie.says));
    AreaShape window;
    window.parts.push_back({{dig.window.begin(), dig.window.end()}, {}});
    const double turn = std::remainder(dig.along.radians, 2 * pi);
    add("dig_windows", std::move(window), fmt::format("dig: {}", title_of(item)),
        {text(run_id(item.run)),
         length(item.at.metres),
         text(line_id(item.line)),
         text(item.what),
         length(dig.window_length),
         length(dig.window_width),
         fixed((turn < 0 ? turn + 2 * pi : turn) / degree, 2),
         share(dig.contains_probability),
         length(item.depth),
         length(item.depth95.low),
         length(item.depth95.high),
         length(dig.depth_to_top),
         length(dig.depth_to_top95.low),
         length(dig.depth_to_top95.high),
         length(dig.depth_to_invert),
         length(dig.depth_to_invert95.low),
         length(dig.depth_to_invert95.high),
         text(joined(tapes, "; ")),
         text(dig.ties.offset_words),
         basis,
         absolute,
         relative,
         length(half(item.depth95))});
    for (const Footprint& footprint : dig.footprints) {
      AreaShape outline;
      outline.parts.push_back({footprint.outline, {}});
      const double unit3 = metres_per_unit_ * metres_per_unit_ * metres_per_unit_;
      add("dig_outlines", std::move(outline), fmt::format("hole: {}", footprint.sides),
          {text(run_id(item.run)), length(item.at.metres), text(footprint.sides), footprint.applies,
           length(footprint.length), length(footprint.width), fixed(footprint.volume / unit3, length_decimals),
           length(footprint.spoil_setback), basis, absolute, relative});
    }
    fill_ties(dig.ties, item.ellipse95);
  }

  /// @param ellipse95  how well the target itself is known; empty: what the target's own finding says
  void fill_ties(const TieSet& set, std::optional<ErrorEllipse> ellipse95) {
    if (!ellipse95) ellipse95 = target_ellipse95(set.target);
    for (const SwingTie& tie : set.ties) {
      LineShape tape;
      tape.parts.push_back({tie.fixed, set.target});
      add("ties", std::move(tape), format_length(tie.distance, placed_.unit, LengthStyle::tape),
          {text(set.of), text(tie.from), text(tie.says), length(tie.distance), length(tie.distance95.low),
           length(tie.distance95.high), tie.check, length(set.finder_radius95), text("inferred"),
           accuracy(set.target, *ellipse95), length(ellipse95->semi_major)});
    }
  }

  /// Accuracy of the crossing or clean-out that lies at a tie set's target.
  ErrorEllipse target_ellipse95(PlanPoint target) const {
    double nearest = std::numeric_limits<double>::infinity();
    ErrorEllipse ellipse;
    const auto offer = [&](PlanPoint at, const ErrorEllipse& ellipse95) {
      if (const double off = swingtie::distance(at, target); off < nearest) {
        nearest = off;
        ellipse = ellipse95;
      }
    };
    for (const Crossing& c : findings_.crossings) offer(plan(c.position), c.ellipse95);
    for (const Run& run : placed_.runs) offer(run.access.at, error_ellipse(run.access.covariance, 0.95));
    return ellipse;
  }

  void fill_access(const Run& run) {
    add("access", PointShape{run.access.at}, run.access_what,
        {text(run.id), text(line_id(run.line)), text(run.access_what), length(run.drop), text("stated"),
         accuracy(run.access.at, run.access.grid_covariance),
         length(error_ellipse(run.access.covariance, 0.95).semi_major)});
  }

  void fill_locate(const LocateFinding& finding) {
    const Locate& locate = placed_.runs.at(finding.run).locates.at(finding.locate);
    add("locates", PointShape{finding.read}, fmt::format("locate at {}", shown(locate.at.metres)),
        {text(run_id(finding.run)), length(locate.at.metres), text(spelled(locate.by)), length(finding.depth_read),
         length(finding.along), length(finding.across), length(finding.depth_residual),
         share(finding.wrong_probability), text(locate.marked), text(locate.note), text("located"),
         accuracy(finding.read, finding.ellipse95), length(finding.ellipse95.semi_major)});
  }

  void fill_crossing(const Crossing& crossing) {
    const Feature& feature = placed_.features.at(crossing.feature);
    add("crossings", PointShape{plan(crossing.position)}, fmt::format("crossing of {}", feature.label),
        {text(feature.id), text(spelled(feature.kind)), text(line_id(crossing.line)), share(crossing.probability),
         length(crossing.station.metres), length(crossing.station95.low), length(crossing.station95.high),
         length(crossing.depth), length(crossing.depth95.low), length(crossing.depth95.high),
         text(knowledge_near(crossing.line, crossing.station)), accuracy(plan(crossing.position), crossing.ellipse95),
         length(crossing.ellipse95.semi_major), length(half(crossing.depth95))});
  }

  const JobFindings& job_;
  CoordinateKind kind_;
  const Placed& placed_;
  const Findings& findings_;
  std::vector<Table>& tables_;
  double metres_per_unit_;
};

}  // namespace

std::vector<Table> tabulate(const JobFindings& job, CoordinateKind kind) {
  std::vector<Table> tables;
  for (const TableSchema& schema : table_schemas()) tables.push_back({&schema, {}});
  Tabulator(job, kind, tables).fill();
  return tables;
}

double coordinate_accuracy95(const Placed& placed, CoordinateKind kind, PlanPoint at, const ErrorEllipse& ellipse95) {
  PlanCovariance covariance = on_grid(placed, covariance_of(ellipse95, 0.95));
  if (kind == CoordinateKind::lon_lat) covariance = on_earth(placed, at, covariance);
  return error_ellipse(covariance, 0.95).semi_major;
}

std::vector<std::string> cautions_of(std::span<const JobFindings> jobs) {
  std::vector<std::string> all{
      "Estimates, not a survey: every row says what it rests on (basis) and how good it is at 95 % (acc_h95 for its "
      "coordinates, rel_h95 against what stands on the lot, acc_v95 for depths)."};
  for (const JobFindings& job : jobs) {
    for (const std::string& caution : job.findings->cautions)
      if (std::find(all.begin(), all.end(), caution) == all.end()) all.push_back(caution);
  }
  return all;
}

std::string_view unit_word(LengthUnit unit) {
  switch (unit) {
    case LengthUnit::foot:
      return "ft";
    case LengthUnit::us_survey_foot:
      return "us-ft";
    case LengthUnit::metre:
      break;
  }
  return "m";
}

double metres_per_coordinate(const Placed& placed) {
  if (placed.georeference && !placed.georeference->wkt().empty()) return placed.georeference->metres_per_grid_unit();
  return metres_per(placed.unit);
}

double fixed(double value, int decimals) {
  const double scale = std::pow(10.0, decimals);
  return std::round(value * scale) / scale + 0.0;  // + 0.0 turns -0 into 0
}

}  // namespace swingtie
