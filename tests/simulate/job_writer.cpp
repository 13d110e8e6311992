#include "simulate/job_writer.hpp"

#include <fmt/format.h>

#include <cmath>
#include <iterator>

#include "measure/bearing.hpp"
#include "measure/length.hpp"

namespace swingtie::simulate {

namespace {

constexpr double ft = metres_per_foot;

/// All notes were rounded to 0.01 ft or coarser; a few digits more do no harm.
std::string feet(double metres) {
  return fmt::format("{:.10g}", metres / ft);
}
std::string inches(double metres) {
  return fmt::format("{:.6g} in", metres / metres_per_inch);
}
std::string point(PlanPoint p) {
  return fmt::format("[{}, {}]", feet(p.e), feet(p.n));
}

std::string points(const std::vector<PlanPoint>& list) {
  std::string text = "[";
  for (const PlanPoint& p : list) text += (text.size() > 1 ? ", " : "") + point(p);
  return text + "]";
}

/// The stated 95 % radius of a circular covariance.
double within(const PlanCovariance& covariance) {
  return std::sqrt(-2 * std::log(0.05) * covariance(0, 0));
}

std::string feature_line(const Feature& feature) {
  std::string text = fmt::format("  - {{id: {}, kind: {}", feature.id, spelled(feature.kind));
  if (feature.shape == GeometryKind::point) text += ", at: " + point(feature.point);
  if (feature.shape == GeometryKind::line) text += ", line: " + points(feature.lines.front());
  if (feature.shape == GeometryKind::area) {
    std::vector<PlanPoint> vertices;
    for (const Corner& corner : feature.corners) vertices.push_back(corner.point.at);
    text += ", area: " + points(vertices);
  }
  if (feature.trunk) text += ", trunk: " + inches(*feature.trunk);
  if (feature.spread) text += ", spread: " + feet(*feature.spread);
  if (feature.covariance(0, 0) > 0) text += ", within: " + feet(within(feature.covariance));
  return text + "}\n";
}

std::string log_line(const LogItem& item, const Placed& notes) {
  std::string text = "      - {at: " + feet(item.at.metres);
  if (item.pipe) text += ", pipe: " + item.pipe->words;
  if (item.bend) {
    text += fmt::format(", bend: {}", spelled(*item.bend->hand));
    if (item.bend->angle) text += fmt::format(" {:g}", *item.bend->angle / degree);
  }
  if (item.wye) text += fmt::format(", wye: {}", spelled(*item.wye));
  if (item.branch) text += ", line: " + notes.lines[*item.branch].id;
  if (!item.what.empty()) text += ", see: " + item.what;
  if (item.act != Act::none) text += item.act == Act::dig ? ", act: dig" : ", act: watch";
  if (!item.end.empty()) text += ", end: " + item.end;
  return text + "}\n";
}

std::string locate_line(const Locate& locate) {
  const std::string radius = feet(within(locate.position.covariance));
  std::string text = "      - {at: " + feet(locate.at.metres);
  if (locate.whole)
    text += fmt::format(", position: {}, within: {}", point(locate.position.at), radius);
  else
    text += fmt::format(", position: {{at: {}, within: {}}}", point(locate.position.at), radius);
  text += locate.by == LocateMethod::peak    ? ", by: peak"
          : locate.by == LocateMethod::nulls ? ", by: nulls"
                                             : ", by: line";
  std::string depth;
  const auto add = [&](const char* key, const std::string& value) {
    depth += fmt::format("{}{}: {}", depth.empty() ? "" : ", ", key, value);
  };
  if (locate.depth.along) add("along", feet(*locate.depth.along));
  if (locate.depth.across) add("across", feet(*locate.depth.across));
  if (locate.depth.nulls) add("nulls", feet(*locate.depth.nulls));
  if (locate.depth.ratio)
    add("ratio", fmt::format("{{lower: {:g}, upper: {:g}, apart: {}}}", locate.depth.ratio->lower,
                             locate.depth.ratio->upper, feet(locate.depth.ratio->apart)));
  if (!depth.empty()) text += ", depth: {" + depth + "}";
  if (locate.direction) text += fmt::format(", direction: {:g}", locate.direction->radians / degree);
  return text + "}\n";
}

std::string zero_words(const Run& run) {
  switch (run.zero) {
    case CounterZero::at_pipe_entry:
      return "at pipe entry";
    case CounterZero::at_rim:
      return "at rim";
    case CounterZero::stated:
      break;
  }
  return feet(run.zero_reading.metres);
}

std::string run_lines(const Run& run, const Placed& notes) {
  std::string text = fmt::format("  - id: {}\n    line: {}\n", run.id, notes.lines[run.line].id);
  text += fmt::format("    from: {{at: {}, what: {}, drop: {}, within: {}}}\n", point(run.access.at), run.access_what,
                      feet(run.drop), feet(within(run.access.covariance)));
  if (run.toward == Travel::toward_house) text += "    toward: house\n";
  text += fmt::format("    counter: {{zero: {}}}\n", zero_words(run));
  text += fmt::format("    camera: {{sonde_behind_lens: {}, view_ahead: {}}}\n", inches(run.sonde_behind_lens),
                      inches(run.view_ahead));
  text += fmt::format("    bends: {}\n    log:\n", run.bends == Completeness::all    ? "all"
                                                   : run.bends == Completeness::some ? "some"
                                                                                     : "none");
  for (const LogItem& item : run.log) text += log_line(item, notes);
  if (!run.locates.empty()) text += "    locates:\n";
  for (const Locate& locate : run.locates) text += locate_line(locate);
  return text;
}

}  // namespace

std::string job_yaml(const Lateral& lateral) {
  const Placed& notes = lateral.placed;
  std::string text = "swingtie: 1\nsite:\n  name: " + notes.site_name + "\n  units: ft\n" +
                     "  anchor: {grid: [5000, 5000], lat: 41.2, lon: -81.4, grid_north: 0}\nfeatures:\n";
  for (const Feature& feature : notes.features) text += feature_line(feature);
  if (notes.ground->has_elevations()) {
    text += "ground:\n  spots:\n";
    const Lawn& lawn = lateral.lawn;
    for (const auto& [e, n] : {std::pair{-1.0, -1.0}, {1.0, -1.0}, {1.0, 1.0}, {-1.0, 1.0}, {0.0, 0.0}}) {
      const PlanPoint spot{lawn.origin.x() + 200 * ft * e, lawn.origin.y() + 200 * ft * n};
      text += fmt::format("    - {{at: {}, elevation: {}}}\n", point(spot), feet(lawn.height(spot.e, spot.n)));
    }
  } else {
    text += "ground: {flat: true}\n";
  }
  text += "lines:\n";
  for (const Line& line : notes.lines) {
    text += "  - {id: " + line.id;
    if (const auto* end = std::get_if<Line::OnFeatureEnd>(&line.end))
      text += ", ends_at: " + notes.features[end->feature].id;
    if (line.joins) text += ", joins: " + notes.lines[*line.joins].id;
    text += "}\n";
  }
  text += "runs:\n";
  for (const Run& run : notes.runs) text += run_lines(run, notes);
  return text + "ownership: {private_until: right-of-way, source: made up}\n";
}

}  // namespace swingtie::simulate
