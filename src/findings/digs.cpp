#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "findings/geometry.hpp"
#include "findings/phrases.hpp"
#include "findings/pipes.hpp"
#include "findings/questions.hpp"
#include "findings/window.hpp"

namespace swingtie {
namespace {

Footprint footprint(const std::string& sides, PlanPoint centre, Azimuth along, double length, double width,
                    double depth, double slope, double setback) {
  Footprint out;
  out.sides = sides;
  out.slope = slope;
  out.length = length + 2 * slope * depth;
  out.width = width + 2 * slope * depth;
  const auto corners = rectangle(centre, along, out.length, out.width);
  out.outline.assign(corners.begin(), corners.end());
  out.volume = pit_volume(length, width, depth, slope);
  out.spoil_setback = setback;
  return out;
}

void add_footprints(DigFinding& dig, PlanPoint centre, double length, double width, const Placed& placed,
                    const RuleSet& rules) {
  const Soil soil = placed.digging.soil.value_or(rules.unsaid_soil);
  if (dig.hole_depth <= rules.slope_limit + 1e-9) {
    for (const RuleSet::Slope& slope : rules.slopes) {
      if (slope.soil == Soil::rock && soil != Soil::rock) continue;
      Footprint out = footprint(slope.ratio > 0 ? "sloped, " + slope.name : "upright, " + slope.name, centre,
                                dig.along, length, width, dig.hole_depth, slope.ratio, rules.spoil_setback);
      out.applies = slope.soil == soil;
      out.possible = out.applies || slope.soil != Soil::a;
      dig.footprints.push_back(std::move(out));
      if (slope.soil == soil)
        dig.soil = placed.digging.soil
                       ? slope.name + ", as the job says"
                       : slope.name + ", taken because the job does not say: " + rules.unsaid_soil_why;
    }
  }
  if (dig.soil.empty())
    dig.soil = rules.slopes.empty() ? "no slopes are known here: ask locally" : "deeper than the table of slopes";
  std::stable_partition(dig.footprints.begin(), dig.footprints.end(), [](const Footprint& f) { return f.applies; });
  Footprint box = footprint("shored box", centre, dig.along, length, width, dig.hole_depth, 0, rules.spoil_setback);
  box.applies = dig.footprints.empty();
  dig.footprints.push_back(std::move(box));
}

/// Metres along the line from one reading to another, draw by draw, positive toward the main.
std::vector<double> apart(const Sample& there, const Sample& here) {
  std::vector<double> out = there.stations;
  for (std::size_t d = 0; d < out.size(); ++d) out[d] -= here.stations[d];
  return out;
}

std::vector<NearbyItem> nearby_items(const Sampling& sampling, const std::vector<ItemFinding>& items,
                                     const DigFinding& dig) {
  // A bend matters where the bottom of the hole reaches it, give or take a foot; a repair is easily made a few steps
  // longer.
  const double under = distance(dig.bottom[0], dig.bottom[1]) / 2 + 0.3;
  constexpr double longer = 4.0;
  const ItemFinding& spot = items[dig.item];
  const Sample& here = sampling.at_counter(spot.run, spot.at, Sight::seen);
  std::vector<NearbyItem> out;
  for (std::size_t i = 0; i < items.size(); ++i) {
    const ItemFinding& item = items[i];
    const bool bends = sampling.placed().runs[item.run].log[item.log].bend.has_value();
    if (i == dig.item || item.line != spot.line || (!bends && item.act == Act::none)) continue;
    const std::vector<double> away = apart(sampling.at_counter(item.run, item.at, Sight::seen), here);
    const double mean = mean_of(away);
    if (std::abs(mean) <= (item.act != Act::none ? longer : under)) out.push_back({i, mean, interval95(away)});
  }
  return out;
}

/// How far along the pipe a mark still helps to find the spot, metres.
constexpr double farthest_mark = 6.0;

/// `4.0 ft or deeper`
std::string depth_words(const RuleSet::Threshold& threshold, LengthUnit unit) {
  const std::string depth = decimal(threshold.depth, unit);
  switch (threshold.when) {
    case RuleSet::Threshold::When::below:
      return "less than " + depth;
    case RuleSet::Threshold::When::above:
      return "deeper than " + depth;
    case RuleSet::Threshold::When::at_or_above:
      break;
  }
  return depth + " or deeper";
}

}  // namespace

std::vector<std::string> marks_near(const Sampling& sampling, const ItemFinding& item, double reach) {
  const Placed& placed = sampling.placed();
  struct Mark {
    double away = 0;  ///< metres along the line, positive toward the main
    Interval away95;
    std::string words;
  };
  std::vector<Mark> marks;
  const Sample& spot = sampling.at_counter(item.run, item.at, Sight::seen);
  for (std::size_t r = 0; r < placed.runs.size(); ++r) {
    if (placed.runs[r].line != item.line) continue;
    for (const Locate& locate : placed.runs[r].locates) {
      if (locate.marked.empty()) continue;
      // The receiver stood over the transmitter, not over what the lens saw.
      const std::vector<double> away = apart(sampling.at_counter(r, locate.at, Sight::sonde), spot);
      if (const double mean = mean_of(away); std::abs(mean) <= reach)
        marks.push_back({mean, interval95(away), locate.marked});
    }
  }
  std::stable_sort(marks.begin(), marks.end(),
                   [](const Mark& a, const Mark& b) { return std::abs(a.away) < std::abs(b.away); });
  std::vector<std::string> out;
  // Half a foot: nearer than that, it is over the spot for anybody who digs.
  constexpr double over_it = 0.15;
  for (const Mark& mark : marks)
    out.push_back(std::abs(mark.away) <= over_it
                      ? mark.words
                      : fmt::format("{}; it stands {}", mark.words, along_pipe(mark.away, mark.away95, placed.unit)));
  return out;
}

std::vector<DigFinding> find_digs(const Sampling& sampling, const std::vector<ItemFinding>& items,
                                  const RuleSet& rules, double sure) {
  const Placed& placed = sampling.placed();
  std::vector<DigFinding> out;
  for (std::size_t i = 0; i < items.size(); ++i) {
    const ItemFinding& item = items[i];
    if (item.act != Act::dig) continue;
    const Run& run = placed.runs[item.run];
    DigFinding dig;
    dig.item = i;
    dig.wanted_probability = sure;
    dig.along = sampling.heading(item.line, item.station.metres);
    const Sample sample = sampling.at_counter(item.run, item.at, Sight::seen);
    const Window window = fit_window(sample.points, plan(item.position), dig.along, rules.step, sure);
    dig.position = {window.centre.e, window.centre.n, item.position.up};
    dig.window = rectangle(window.centre, dig.along, window.length, window.width);
    dig.window_length = window.length;
    dig.window_width = window.width;
    dig.contains_probability = window.contains;

    const Diameters pipe = diameters(pipe_at(run, item.at));
    dig.inside = pipe.inside;
    dig.outside = pipe.outside;
    dig.depth_to_top = item.depth - pipe.outside / 2;
    dig.depth_to_top95 = {item.depth95.low - pipe.outside / 2, item.depth95.high - pipe.outside / 2};
    dig.depth_to_invert = item.depth + pipe.inside / 2;
    dig.depth_to_invert95 = {item.depth95.low + pipe.inside / 2, item.depth95.high + pipe.inside / 2};
    // Of 40 pipes one lies above its range, so a machine stops short of it. Judgement, no source.
    const double short_of = is_feet(placed.unit) ? metres_per_foot : 0.3;
    const double stop = dig.depth_to_top95.low - short_of;
    dig.machine_depth = stop > short_of ? stop : 0;
    dig.hole_depth = std::max(0.0, dig.depth_to_invert95.high + rules.under_pipe);

    const double room = placed.digging.working_room.value_or(rules.working_room);
    const double bucket = placed.digging.bucket.value_or(rules.bucket);
    const double length = std::max(window.length + 2 * room, bucket);
    const double width = std::max(window.width + 2 * room, bucket);
    dig.bottom = rectangle(window.centre, dig.along, length, width);
    add_footprints(dig, window.centre, length, width, placed, rules);

    for (const RuleSet::Threshold& threshold : rules.passed(dig.hole_depth))
      dig.thresholds.push_back(
          fmt::format("{}: {} ({})", depth_words(threshold, placed.unit), threshold.says, threshold.cite));
    if (rules.thresholds.empty())
      dig.thresholds.push_back(
          "ask locally what a hole of this depth needs; whatever the rules, nobody enters one that could bury him "
          "before its sides are sloped or shored");
    dig.marked = marks_near(sampling, item, farthest_mark);
    dig.nearby = nearby_items(sampling, items, dig);
    out.push_back(std::move(dig));
  }
  return out;
}

}  // namespace swingtie
