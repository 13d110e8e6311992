#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "findings/geometry.hpp"
#include "findings/phrases.hpp"
#include "findings/pipes.hpp"
#include "findings/questions.hpp"

namespace swingtie {
namespace {

/// The least distance of two courses and where on the line it is; 0 where they cross.
struct Closest {
  double distance = 1e30, station = 0;
};

Closest closest(const RouteDraw::LineCourse& course, const std::vector<PlanSegment>& other, PlanVector shift) {
  Closest out;
  for (std::size_t i = 1; i < course.vertices.size(); ++i) {
    const PlanSegment mine{plan(course.vertices[i - 1]), plan(course.vertices[i])};
    const double step = course.stations[i] - course.stations[i - 1];
    double from_here = 1e30;
    for (const PlanSegment& raw : other) {
      const PlanSegment its{raw.a + shift, raw.b + shift};
      const double here = nearest_on(its, mine.a).distance;
      from_here = std::min(from_here, here);
      // Farther than the best by more than this piece is long: nothing nearer on it.
      if (here > out.distance + step) continue;
      if (const auto t = crossing_of(mine, its)) return {0, course.stations[i - 1] + (*t)[0] * step};
      // Of two segments that do not cross, the nearest points include an end of one of them.
      for (const PlanPoint end : {its.a, its.b}) {
        const Nearest near = nearest_on(mine, end);
        if (near.distance < out.distance) out = {near.distance, course.stations[i - 1] + near.share * step};
      }
      if (here < out.distance) out = {here, course.stations[i - 1]};
      if (const double there = nearest_on(its, mine.b).distance; there < out.distance)
        out = {there, course.stations[i]};
    }
    // No nearer for as long as it would take to come as near as the best.
    const double clear = course.stations[i - 1] + from_here - out.distance;
    while (i + 1 < course.vertices.size() && course.stations[i + 1] < clear) ++i;
  }
  return out;
}

}  // namespace

std::vector<SeparationFinding> find_separations(const Sampling& sampling, const RuleSet& rules) {
  const Placed& placed = sampling.placed();
  const auto& draws = sampling.posterior().draws;
  const LengthUnit unit = placed.unit;
  constexpr double far = 8.0;  // no published separation of a house sewer is larger than half of this
  std::vector<SeparationFinding> out;
  for (std::size_t f = 0; f < placed.features.size(); ++f) {
    const Feature& utility = placed.features[f];
    if (utility.shape != GeometryKind::line) continue;
    std::string kind;
    if (utility.kind == FeatureKind::water)
      kind = "water";
    else if (utility.kind == FeatureKind::gas)
      kind = "gas";
    else if (utility.kind == FeatureKind::electric)
      kind = "electric";
    else if (utility.kind == FeatureKind::comms)
      kind = "comms";
    else
      continue;
    const auto rule = std::find_if(rules.separations.begin(), rules.separations.end(),
                                   [&](const auto& r) { return r.kind == kind; });
    const auto segments = edges(utility);
    if (segments.empty()) continue;
    for (std::size_t l = 0; l < placed.lines.size(); ++l) {
      if (draws[0].lines[l].vertices.size() < 2 || closest(draws[0].lines[l], segments, {}).distance > 2 * far)
        continue;
      std::vector<double> distances, stations;
      std::size_t crosses = 0, closer = 0;
      for (std::size_t d = 0; d < draws.size(); ++d) {
        const Closest here = closest(draws[d].lines[l], segments, sampling.shift(f, d));
        distances.push_back(here.distance);
        stations.push_back(here.station);
        crosses += here.distance == 0 ? 1 : 0;
        closer += rule != rules.separations.end() && here.distance < rule->horizontal ? 1 : 0;
      }
      SeparationFinding finding;
      finding.feature = f;
      finding.line = l;
      finding.distance = mean_of(distances);
      finding.distance95 = interval95(distances);
      if (finding.distance95.low > far) continue;
      finding.nearest = {mean_of(stations)};
      const double n = static_cast<double>(draws.size());
      finding.crosses_probability = static_cast<double>(crosses) / n;
      const std::string name = the_name(utility);
      finding.says = finding.crosses_probability >= 0.5
                         ? fmt::format("{} crosses {} near station {} ({})", name, line_name(placed, l),
                                       decimal(finding.nearest.metres, unit), percent(finding.crosses_probability))
                         : fmt::format("{} comes within {} of {}, near station {}", name,
                                       with_interval(finding.distance, finding.distance95, unit),
                                       line_name(placed, l), decimal(finding.nearest.metres, unit));
      if (utility.depth && finding.crosses_probability >= 0.5) {
        const Sample sample = sampling.at_station(l, finding.nearest.metres);
        auto depths = sampling.depths(sample);
        std::size_t run = 0;
        while (run < placed.runs.size() && placed.runs[run].line != l) ++run;
        const Diameters pipe =
            run < placed.runs.size() ? diameters(pipe_at(placed.runs[run], {finding.nearest.metres})) : Diameters{};
        // Positive when the other one lies above.
        for (double& depth : depths) depth = depth - pipe.outside / 2 - (*utility.depth + utility.size.value_or(0));
        finding.vertical = mean_of(depths);
        const Interval range = finding.vertical95 = interval95(depths);
        finding.says +=
            range.low > 0    ? fmt::format(", {} above its top", with_interval(*finding.vertical, range, unit))
            : range.high < 0 ? fmt::format(", below its top by {}",
                                           with_interval(-*finding.vertical, {-range.high, -range.low}, unit))
                             : ", at nearly the same depth";
      }
      if (rule != rules.separations.end()) {
        finding.wanted = rule->horizontal;
        finding.closer_probability = static_cast<double>(closer) / n;
        if (finding.closer_probability >= 0.05)
          finding.says += fmt::format(
              "; published separation {} on the level{} ({}): closer with {}", decimal(rule->horizontal, unit),
              rule->vertical > 0
                  ? fmt::format(", or {} of height with the water above", decimal(rule->vertical, unit))
                  : "",
              rule->cite, percent(finding.closer_probability));
      }
      finding.says += ".";
      out.push_back(std::move(finding));
    }
  }
  return out;
}

}  // namespace swingtie
