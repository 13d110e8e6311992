#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "findings/corners.hpp"
#include "findings/geometry.hpp"
#include "findings/phrases.hpp"
#include "findings/pipes.hpp"
#include "findings/words/audiences.hpp"
#include "findings/words/sentences.hpp"
#include "measure/covariance.hpp"

namespace swingtie::words {
namespace {

void where(Text& text, const Placed& placed, const DigFinding& dig) {
  text.heading("Where");
  if (!dig.ties.offset_words.empty()) text.sentence(capital(dig.ties.offset_words) + ".");
  text.sentence(ties(placed, dig.ties));
  for (const std::string& mark : dig.marked)
    text.sentence(fmt::format("Left on the ground at the inspection: {}.", mark));
}

void depth(Text& text, const Placed& placed, const DigFinding& dig, const ItemFinding& item) {
  const LengthUnit unit = placed.unit;
  const Pipe pipe = pipe_at(placed.runs[item.run], item.at);
  text.heading("How deep");
  text.sentence(fmt::format("Top of the pipe {} below the ground, its invert (the inside of its bottom) {}.",
                            with_interval(dig.depth_to_top, dig.depth_to_top95, unit),
                            with_interval(dig.depth_to_invert, dig.depth_to_invert95, unit)));
  text.sentence(pipe.size > 0 ? fmt::format("Pipe: {}.", pipe_name(pipe, unit))
                              : "The size of the pipe was not logged; 4 in (100 mm) is taken.");
  text.sentence(fmt::format(
      "The truth lies in the brackets 19 times in 20: from {} down go by hand or vacuum, sooner if anything shows.",
      decimal(dig.depth_to_top95.low, unit)));
}

void hole(Text& text, const Placed& placed, const Findings& findings, const DigFinding& dig) {
  const LengthUnit unit = placed.unit;
  text.heading("The hole");
  text.sentence(fmt::format("Here the pipe runs {}.", pipe_direction(placed, findings.viewer, dig.along)));
  text.sentence(fmt::format(
      "Mark a rectangle centred on the point, {} along the pipe and {} across it: the spot lies under it with {}.",
      decimal(dig.window_length, unit), decimal(dig.window_width, unit), percent(dig.contains_probability)));
  const double length = distance(dig.bottom[0], dig.bottom[1]), width = distance(dig.bottom[1], dig.bottom[2]);
  text.sentence(fmt::format(
      "With room to work the bottom is {} by {}, and {} deep if the pipe lies at the deep end of its range.",
      decimal(length, unit), decimal(width, unit), decimal(dig.hole_depth, unit)));
  for (const Footprint& f : dig.footprints) {
    if (!f.applies && f.sides != "shored box") continue;
    text.bullet(fmt::format("{}: {} by {} at grade, {} to move.", capital(f.sides), decimal(f.length, unit),
                            decimal(f.width, unit), volume(f.volume, unit)));
  }
  std::vector<std::string> others;
  for (const Footprint& f : dig.footprints)
    if (!f.applies && f.sides != "shored box")
      others.push_back(fmt::format("{} {} by {}", f.sides.substr(f.sides.find(',') + 2), decimal(f.length, unit),
                                   decimal(f.width, unit)));
  if (!others.empty()) text.bullet("If a competent person classes the ground otherwise: " + list_of(others) + ".");
  text.bullet(fmt::format("Soil: {}.", dig.soil));
  if (findings.rules.spoil_setback > 0)
    text.bullet(
        fmt::format("Spoil and machine stay {} or more from the edge.", decimal(findings.rules.spoil_setback, unit)));
}

void rules(Text& text, const Placed& placed, const Findings& findings, const DigFinding& dig) {
  text.heading(
      fmt::format("What a hole of {} needs ({})", decimal(dig.hole_depth, placed.unit), findings.rules.title));
  if (dig.thresholds.empty()) text.bullet("Nothing by its depth alone; a competent person decides");
  for (const std::string& threshold : dig.thresholds) text.bullet(capital(threshold));
}

void in_the_way(Text& text, const Placed& placed, const Findings& findings, const DigFinding& dig) {
  const Footprint& box = dig.footprints.back();
  text.heading(box.applies || dig.conflicts.empty() ? "In the way" : "In the way of the sloped hole");
  if (dig.conflicts.empty()) text.bullet("Nothing that the job knows of");
  for (const Conflict& conflict : dig.conflicts) text.bullet(capital(conflict.says));
  if (!box.applies && !dig.conflicts.empty()) {
    const std::vector<std::string> met = met_by_box(placed, dig);
    text.bullet(fmt::format("Of these the shored box of {} by {} would meet {}.", decimal(box.length, placed.unit),
                            decimal(box.width, placed.unit), met.empty() ? "nothing" : "only " + list_of(met)));
  }
  const ItemFinding& item = findings.items[dig.item];
  for (const std::string& says : item.says) text.bullet(says);
}

/// What is known of another service, and how far from each dig point it passes: stations mean nothing on the lawn.
std::string other_line(const Placed& placed, const Findings& findings, const SeparationFinding& separation) {
  const LengthUnit unit = placed.unit;
  const Feature& feature = placed.features[separation.feature];
  const std::vector<PlanSegment> segments = edges(feature);
  std::string out = capital(separation.says);
  for (std::size_t i = 0; i < findings.digs.size(); ++i) {
    const DigFinding& dig = findings.digs[i];
    const PlanPoint point = plan(dig.position);
    const Nearest nearest = nearest_on(segments, point);
    const std::string from =
        findings.digs.size() > 1 ? fmt::format("dig point {}", i + 1) : std::string("the dig point");
    const double within =
        std::hypot(radius95(findings.items[dig.item].ellipse95), circle_radius(feature.covariance, 0.95));
    out += nearest.distance > within
               ? fmt::format(
                     " From {} it is {} away, {}.", from,
                     with_interval(nearest.distance, {nearest.distance - within, nearest.distance + within}, unit),
                     toward_words(findings.viewer, nearest.foot - point))
               : fmt::format(" It may pass right over or under {}: within {} of it.", from,
                             decimal(nearest.distance + within, unit));
  }
  return out;
}

}  // namespace

std::string for_excavator(const Placed& placed, const Findings& findings) {
  Text text;
  text.paragraph(title(placed) + ".");
  if (findings.digs.empty())
    text.sentence("No spot of this line is marked to be dug.");
  else
    text.sentence(stance(findings.viewer));
  for (const std::string& line : trust(placed, findings)) text.bullet(line);
  int number = 0;
  for (const DigFinding& dig : findings.digs) {
    const ItemFinding& item = findings.items[dig.item];
    ++number;
    text.heading(
        fmt::format("DIG POINT{}: {}", findings.digs.size() > 1 ? " " + std::to_string(number) : "", item.what));
    text.paragraph(
        fmt::format("{} on the camera's cable from the {} (run {}); {}.", decimal(item.at.metres, placed.unit),
                    placed.runs[item.run].access_what.empty() ? "access" : placed.runs[item.run].access_what,
                    placed.runs[item.run].id, side(item)));
    if (side_is_open(item))
      text.sentence("DO NOT DIG before the owner and the city have agreed whose it is and who pays.");
    where(text, placed, dig);
    depth(text, placed, dig, item);
    hole(text, placed, findings, dig);
    rules(text, placed, findings, dig);
    in_the_way(text, placed, findings, dig);
  }
  std::vector<std::string> cleanouts;
  for (const TieSet& set : findings.tie_sets)
    if (set.of.rfind("clean-out", 0) == 0)
      cleanouts.push_back(fmt::format("{}: {}{}{}", capital(set.of), set.offset_words,
                                      set.offset_words.empty() ? "" : ". ", ties(placed, set)));
  if (!cleanouts.empty()) {
    text.heading("CLEAN-OUTS");
    for (const std::string& cleanout : cleanouts) text.bullet(cleanout);
  }
  text.heading("OTHER LINES NEARBY");
  for (const SeparationFinding& s : findings.separations) text.bullet(other_line(placed, findings, s));
  if (findings.separations.empty())
    text.bullet(
        "None is in this job. That says nothing of the ground: water, gas and cables are there until the "
        "marks say otherwise.");
  add_cautions(text, findings);
  return text.str();
}

}  // namespace swingtie::words
