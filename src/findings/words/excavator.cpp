#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string_view>

#include "findings/corners.hpp"
#include "findings/geometry.hpp"
#include "findings/phrases.hpp"
#include "findings/pipes.hpp"
#include "findings/severity.hpp"
#include "findings/words/audiences.hpp"
#include "findings/words/sentences.hpp"
#include "measure/covariance.hpp"

namespace swingtie::words {
namespace {

void where(Text& text, const Placed& placed, const DigFinding& dig, const ItemFinding& item) {
  text.heading("Where");
  if (!dig.ties.offset_words.empty()) text.sentence(capital(dig.ties.offset_words) + ".");
  text.sentence(ties(placed, dig.ties));
  text.sentence(
      fmt::format("The spot on the pipe lies within {} of the point meant 19 times in 20; the tape's error adds to "
                  "that.",
                  decimal(radius95(item.ellipse95), placed.unit)));
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
      "The truth lies in the brackets 19 times in 20; 1 pipe in 40 lies higher. {}",
      dig.machine_depth > 0 ? fmt::format("So stop the machine at {} and go on by hand or vacuum, sooner if anything "
                                          "shows.",
                                          decimal(dig.machine_depth, unit))
                            : std::string("So dig by hand or vacuum from the surface down.")));
}

/// Bends that the bottom of the hole reaches, or nearly.
void bends_near(Text& text, const Placed& placed, const Findings& findings, const DigFinding& dig) {
  for (const NearbyItem& near : dig.nearby) {
    const ItemFinding& item = findings.items[near.item];
    if (placed.runs[item.run].log[item.log].bend)
      text.sentence(fmt::format("The pipe bends {}.", along_pipe(near.away, near.away95, placed.unit)));
  }
}

void hole(Text& text, const Placed& placed, const Findings& findings, const DigFinding& dig) {
  const LengthUnit unit = placed.unit;
  text.heading("The hole");
  text.sentence(fmt::format("Here the pipe runs {}.", pipe_direction(placed, findings.viewer, dig.along)));
  text.sentence(fmt::format(
      "Mark a rectangle centred on the point, {} along the pipe and {} across it: with the point set out without "
      "error the spot lies under it with {}.",
      decimal(dig.window_length, unit), decimal(dig.window_width, unit), percent(dig.contains_probability)));
  bends_near(text, placed, findings, dig);
  const double length = distance(dig.bottom[0], dig.bottom[1]), width = distance(dig.bottom[1], dig.bottom[2]);
  text.sentence(fmt::format(
      "With room to work the bottom is {} by {}, and {} deep if the pipe lies at the deep end of its range.",
      decimal(length, unit), decimal(width, unit), decimal(dig.hole_depth, unit)));
  for (const Footprint& f : dig.footprints) {
    if (!f.applies && f.sides != "shored box") continue;
    text.bullet(fmt::format("{}: {} by {} at grade, {} to move.", capital(f.sides), decimal(f.length, unit),
                            decimal(f.width, unit), volume(f.volume, unit)));
  }
  if (!dig.unfit.empty()) text.bullet(dig.unfit);
  std::vector<std::string> others;
  for (const Footprint& f : dig.footprints)
    if (!f.applies && f.possible && f.sides != "shored box")
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
  const auto taken =
      std::find_if(dig.footprints.begin(), dig.footprints.end(), [](const Footprint& f) { return f.applies; });
  const bool sloped = !box.applies && !dig.conflicts.empty() && taken != dig.footprints.end();
  text.heading(sloped ? fmt::format("In the way of the hole ({})", taken->sides) : "In the way");
  if (dig.conflicts.empty()) text.bullet("Nothing that the job knows of");
  for (const Conflict& conflict : dig.conflicts) text.bullet(capital(conflict.says));
  if (!box.applies && !dig.conflicts.empty()) {
    const std::vector<std::string> met = met_by_box(placed, dig);
    text.bullet(fmt::format("Of these the shored box of {} by {} would meet {}.", decimal(box.length, placed.unit),
                            decimal(box.width, placed.unit), met.empty() ? "nothing" : "only " + list_of(met)));
  }
  const ItemFinding& item = findings.items[dig.item];
  if (loses_ground(item.what))
    text.bullet("The camera saw signs that ground is lost here: expect a void beside the pipe, and soft sides.");
  for (const std::string& says : item.says) text.bullet(says);
  for (const NearbyItem& near : dig.nearby) {
    const ItemFinding& other = findings.items[near.item];
    if (other.side_is_open() && other.act != Act::none)
      text.bullet(fmt::format("{}: {}. Whose side that lies on cannot be told: do not extend the repair to it.",
                              capital(along_pipe(near.away, near.away95, placed.unit)), other.what));
  }
}

/// `clean-out of street and down` for print: `Clean-out of the runs street and down`.
std::string cleanout_name(const std::string& of) {
  constexpr std::string_view head = "clean-out of ";
  const std::string runs = of.substr(head.size());
  return fmt::format("Clean-out of the {} {}", runs.find(" and ") != std::string::npos ? "runs" : "run", runs);
}

bool ground_is_the_streets(const Placed& placed, const DigFinding& dig) {
  return std::any_of(dig.box_conflicts.begin(), dig.box_conflicts.end(), [&](const Conflict& conflict) {
    const FeatureKind kind = placed.features[conflict.feature].kind;
    return (kind == FeatureKind::right_of_way || kind == FeatureKind::curb) && conflict.share > 0.9;
  });
}

/// Where something lies from a dig point: `12.4 ft (11.0 to 13.8) from the dig point, toward the street`.
std::string from_dig(const Placed& placed, const Findings& findings, std::size_t dig, PlanPoint nearest,
                     double within) {
  const PlanPoint point = plan(findings.digs[dig].position);
  const double away = distance(point, nearest);
  const std::string name = findings.digs.size() > 1 ? fmt::format("dig point {}", dig + 1) : "the dig point";
  if (away <= within)
    return fmt::format("within {} of {}, perhaps right at it", decimal(away + within, placed.unit), name);
  return fmt::format("{} from {}, {}", with_interval(away, {away - within, away + within}, placed.unit), name,
                     toward_words(findings.viewer, nearest - point));
}

double within_of(const Findings& findings, std::size_t dig, double also) {
  return std::hypot(radius95(findings.items[findings.digs[dig].item].ellipse95), also);
}

/// Another service: where it passes, seen from the dig points. Stations mean nothing on the lawn.
std::string other_service(const Placed& placed, const Findings& findings, const SeparationFinding& separation) {
  const LengthUnit unit = placed.unit;
  const Feature& feature = placed.features[separation.feature];
  std::string out = capital(the_name(feature));
  if (feature.depth)
    out += fmt::format(", its top {} below the ground as the job states", decimal(*feature.depth, unit));
  out += separation.crosses_probability >= 0.5
             ? fmt::format(", crosses the sewer ({})", percent(separation.crosses_probability))
             : fmt::format(", comes within {} of the sewer",
                           with_interval(separation.distance, separation.distance95, unit));
  if (separation.vertical) {
    const Interval& range = separation.vertical95;
    out += range.low > 0
               ? fmt::format(", {} above the top of the sewer", with_interval(*separation.vertical, range, unit))
           : range.high < 0 ? fmt::format(", {} below the top of the sewer",
                                          with_interval(-*separation.vertical, {-range.high, -range.low}, unit))
                            : ", at nearly the same depth as the sewer";
  }
  const std::vector<PlanSegment> segments = edges(feature);
  for (std::size_t i = 0; i < findings.digs.size(); ++i) {
    const Nearest nearest = nearest_on(segments, plan(findings.digs[i].position));
    out += fmt::format(
        "{} {}", i == 0 ? "; it is" : ",",
        from_dig(placed, findings, i, nearest.foot, within_of(findings, i, circle_radius(feature.covariance, 0.95))));
  }
  return out + ".";
}

/// The job's other sewers that pass a dig point: nobody else will mark them.
void other_sewers(Text& text, const Placed& placed, const Findings& findings) {
  constexpr double far = 9.0;
  for (std::size_t i = 0; i < findings.digs.size(); ++i)
    for (const LineFinding& line : findings.lines) {
      if (line.line == findings.items[findings.digs[i].item].line || line.stations.empty()) continue;
      const PlanPoint point = plan(findings.digs[i].position);
      const auto nearest = std::min_element(line.stations.begin(), line.stations.end(),
                                            [&](const StationFinding& a, const StationFinding& b) {
                                              return distance(plan(a.at), point) < distance(plan(b.at), point);
                                            });
      if (distance(plan(nearest->at), point) > far) continue;
      text.bullet(fmt::format(
          "Another sewer, line {}: {}; its middle {} deep there.", line.id,
          from_dig(placed, findings, i, plan(nearest->at), within_of(findings, i, radius95(nearest->ellipse95))),
          with_interval(nearest->depth, nearest->depth95, placed.unit)));
    }
}

/// What stands above the ground and must be fed by something below it.
void fed_from_below(Text& text, const Placed& placed) {
  for (const Feature& feature : placed.features)
    if (feature.kind == FeatureKind::meter || feature.kind == FeatureKind::valve ||
        feature.kind == FeatureKind::hydrant)
      text.bullet(
          fmt::format("A buried service runs to {}; where and how deep this job may not know: have it marked.",
                      the_name(feature)));
}

void other_lines(Text& text, const Placed& placed, const Findings& findings) {
  text.heading("OTHER LINES NEARBY");
  other_sewers(text, placed, findings);
  for (const SeparationFinding& s : findings.separations) text.bullet(other_service(placed, findings, s));
  fed_from_below(text, placed);
  text.bullet(
      "What is not listed may be there all the same: water, gas and cables are in the ground until the marks say "
      "otherwise.");
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
  if (findings.verdict.kind == Verdict::Kind::explained)
    text.bullet("If that is not what happened the points lie elsewhere: have it checked before digging.");
  int number = 0;
  for (const DigFinding& dig : findings.digs) {
    const ItemFinding& item = findings.items[dig.item];
    ++number;
    text.heading(fmt::format("DIG POINT{}{}: {}", findings.digs.size() > 1 ? " " + std::to_string(number) : "",
                             item.side_is_open() ? ", OWNER NOT SETTLED, DO NOT DIG YET" : "", item.what));
    text.paragraph(
        fmt::format("{} on the camera's cable from the {} (run {}); {}.", decimal(item.at.metres, placed.unit),
                    placed.runs[item.run].access_what.empty() ? "access" : placed.runs[item.run].access_what,
                    placed.runs[item.run].id, side(item)));
    if (item.side_is_open())
      text.sentence("DO NOT DIG before the owner and the city have agreed whose it is and who pays.");
    if (ground_is_the_streets(placed, dig))
      text.sentence("Whoever owns the pipe, the ground over it is the street's: no digging without its permit.");
    where(text, placed, dig, item);
    depth(text, placed, dig, item);
    hole(text, placed, findings, dig);
    rules(text, placed, findings, dig);
    in_the_way(text, placed, findings, dig);
  }
  std::vector<std::string> cleanouts;
  for (const TieSet& set : findings.tie_sets)
    if (set.of.rfind("clean-out", 0) == 0)
      cleanouts.push_back(fmt::format("{}: {}{}{}", cleanout_name(set.of), set.offset_words,
                                      set.offset_words.empty() ? "" : ". ", ties(placed, set)));
  if (!cleanouts.empty()) {
    text.heading("CLEAN-OUTS");
    for (const std::string& cleanout : cleanouts) text.bullet(cleanout);
  }
  other_lines(text, placed, findings);
  add_cautions(text, findings);
  return text.str();
}

}  // namespace swingtie::words
