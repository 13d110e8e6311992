#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "findings/corners.hpp"
#include "findings/dates.hpp"
#include "findings/phrases.hpp"
#include "findings/severity.hpp"
#include "findings/statistics.hpp"
#include "findings/words/audiences.hpp"
#include "findings/words/sentences.hpp"
#include "measure/bearing.hpp"

namespace swingtie::words {
namespace {

/// A turn or a joining line on the way down a line.
struct Event {
  double station = 0;
  std::string words;
  bool turns = false;
};

bool written_wrong(const Findings& findings, const ItemFinding& item) {
  return std::any_of(findings.explanations.begin(), findings.explanations.end(), [&](const ExplanationFinding& e) {
    return e.what == "wrong-hand" && e.run == item.run && e.probability > 0.5 && std::abs(e.at - item.at) < 1e-6;
  });
}

bool on_plan(Hand hand) {
  return hand == Hand::left || hand == Hand::right;
}

/// A bend as the water meets it: a run pushed up the line wrote left and right the other way round.
std::string bend_words(const Placed& placed, const Findings& findings, const ItemFinding& item, const Bend& bend) {
  const std::string angle = bend.angle ? fmt::format(" {:.3g}°", *bend.angle / degree) : "";
  if (!bend.hand) return fmt::format("it bends{}, to which hand was not noted", angle);
  const bool upstream = placed.runs[item.run].toward == Travel::toward_house;
  const bool wrong = written_wrong(findings, item);
  Hand hand = wrong ? opposite(*bend.hand) : *bend.hand;
  if (upstream && on_plan(hand)) hand = opposite(hand);
  return fmt::format("it bends{} {}{}", angle,
                     on_plan(hand) ? fmt::format("to the {} as the water runs", spelled(hand))
                                   : fmt::format("{}ward", spelled(hand)),
                     wrong ? fmt::format(" (the notes say {})", spelled(*bend.hand)) : "");
}

PlanPoint point_on(const LineFinding& line, double station) {
  std::size_t i = 1;
  while (i + 1 < line.stations.size() && line.stations[i].station.metres < station) ++i;
  const StationFinding &a = line.stations[i - 1], &b = line.stations[i];
  const double step = b.station - a.station;
  return plan(a.at) + (step > 0 ? (station - a.station.metres) / step : 0) * (plan(b.at) - plan(a.at));
}

/// On which hand of the viewer a branch lies that joins on this hand of the flow.
std::string joins_from(const Findings& findings, const ItemFinding& item, Hand of_flow) {
  const auto line = std::find_if(findings.lines.begin(), findings.lines.end(),
                                 [&](const LineFinding& l) { return l.line == item.line; });
  const std::string as_water_runs = fmt::format("{} as the water runs", spelled(of_flow));
  if (line == findings.lines.end() || line->stations.size() < 2) return as_water_runs;
  const double s = item.station.metres;
  // A metre to each side: longer than the fitting.
  const PlanVector flow = point_on(*line, s + 1) - point_on(*line, std::max(0.0, s - 1));
  const PlanVector branch = of_flow == Hand::right ? right_of(flow) : -1 * right_of(flow);
  const double turn = turn_between(findings.viewer.facing, azimuth(branch));
  if (std::abs(std::sin(turn)) < 0.5) return as_water_runs;
  return turn > 0 ? "right" : "left";
}

std::vector<Event> events_of(const Placed& placed, const Findings& findings, std::size_t line) {
  std::vector<Event> out;
  for (const ItemFinding& item : findings.items) {
    if (item.line != line) continue;
    const LogItem& logged = placed.runs[item.run].log[item.log];
    if (logged.bend)
      out.push_back({item.station.metres, bend_words(placed, findings, item, *logged.bend),
                     !logged.bend->hand || on_plan(*logged.bend->hand)});
    if (logged.wye) {
      const bool upstream = placed.runs[item.run].toward == Travel::toward_house;
      out.push_back({item.station.metres,
                     fmt::format("{} joins from the {}",
                                 logged.branch ? "line " + placed.lines[*logged.branch].id : "another line",
                                 joins_from(findings, item, upstream ? opposite(*logged.wye) : *logged.wye)),
                     false});
    }
  }
  std::stable_sort(out.begin(), out.end(), [](const Event& a, const Event& b) { return a.station < b.station; });
  // Two runs over one stretch write the same fitting down: within a metre and in the same words it is one.
  std::vector<Event> once;
  for (Event& event : out)
    if (once.empty() || once.back().words != event.words || event.station - once.back().station > 1.0)
      once.push_back(std::move(event));
  return once;
}

/// Which way the line heads between two stations, in the viewer's eyes.
std::string heads(const Findings& findings, const LineFinding& line, double from, double to) {
  return course_words(findings.viewer, point_on(line, to) - point_on(line, from));
}

/// The course in words: where it starts, its straight stretches and turns, where it ends.
void course(Text& text, const Placed& placed, const Findings& findings) {
  const LengthUnit unit = placed.unit;
  text.heading("WHERE IT RUNS");
  for (const LineFinding& line : findings.lines) {
    if (line.stations.size() < 2) continue;
    const std::string name = findings.lines.size() > 1 ? "Line " + line.id : "The line";
    const double length = line.stations.back().station.metres;
    const PlanPoint start = plan(line.stations.front().at), end = plan(line.stations.back().at);
    const std::string from = spot(placed, findings.viewer, start);
    text.paragraph(fmt::format("{} is {} long.", name, with_interval(line.length, line.length95, unit)));
    if (!from.empty()) text.sentence(fmt::format("It starts {}.", from));
    const std::vector<Event> events = events_of(placed, findings, line.line);
    const auto next_turn = [&](double after) {
      for (const Event& event : events)
        if (event.turns && event.station > after + 0.1) return std::min(event.station, length);
      return length;
    };
    std::string heading = heads(findings, line, 0, next_turn(0));
    text.sentence(fmt::format("It sets out {}.", heading));
    for (const Event& event : events) {
      std::string words = fmt::format("{} along {}", decimal(event.station, unit), event.words);
      // A stretch shorter than a step has no direction that anybody could see.
      constexpr double least = 0.6;
      const double until = next_turn(event.station);
      if (event.turns && until - event.station >= least) {
        const std::string now = heads(findings, line, event.station + 0.1, until);
        words += fmt::format(", and {} {}", now == heading ? "still heads" : "heads", now);
        heading = now;
      }
      text.sentence(capital(words) + ".");
    }
    const std::string to = spot(placed, findings.viewer, end);
    const bool at_main = std::any_of(findings.items.begin(), findings.items.end(), [&](const ItemFinding& item) {
      return item.line == line.line && placed.runs[item.run].log[item.log].ends_at_main;
    });
    if (!to.empty())
      text.sentence(
          fmt::format("It {} {}.", at_main ? "reaches the city main" : "was followed as far as a point", to));
    text.sentence(fmt::format("Its middle lies {} deep at its start and {} at its end.",
                              with_interval(line.stations.front().depth, line.stations.front().depth95, unit),
                              with_interval(line.stations.back().depth, line.stations.back().depth95, unit)));
    if (placed.ground->has_elevations()) {
      // Without this a steep line of even depth seems to fall by nothing.
      const double falls = placed.ground->height(start) - placed.ground->height(end);
      if (std::abs(falls) >= 0.3)
        text.sentence(fmt::format("The ground above it {} by {} on the way.", falls > 0 ? "falls" : "rises",
                                  decimal(std::abs(falls), unit)));
    }
    std::vector<std::string> pipes;
    for (const PipeStretch& stretch : line.pipes)
      pipes.push_back(fmt::format(
          "{} from {} to {}", stretch.pipe.words.empty() ? "pipe that nobody logged" : pipe_name(stretch.pipe, unit),
          decimal(stretch.from.metres, unit), decimal(stretch.to.metres, unit)));
    if (!pipes.empty()) text.sentence(fmt::format("It is {}.", list_of(pipes)));
  }
}

/// What the repair will touch, for who has to pay for it.
std::string trouble(const Placed& placed, const DigFinding& dig) {
  const std::vector<std::string> met = met_by_box(placed, dig);
  std::string out = fmt::format("To reach it takes a hole up to {} deep, room to work included",
                                decimal(dig.hole_depth, placed.unit));
  out += met.empty() ? "; with shored sides it meets nothing else that this job knows of."
                     : fmt::format("; even with shored sides it meets {}.", list_of(met));
  return out;
}

void findings_of(Text& text, const Placed& placed, const Findings& findings) {
  const LengthUnit unit = placed.unit;
  text.heading("WHAT WAS FOUND");
  int count = 0;
  for (std::size_t i = 0; i < findings.items.size(); ++i) {
    const ItemFinding& item = findings.items[i];
    if (item.act == Act::none) continue;
    ++count;
    text.paragraph(fmt::format("{} {}{} along: {}.", item.act == Act::dig ? "To repair," : "To watch,",
                               on_line(findings, item), decimal(item.station.metres, unit), item.what));
    const std::string at = spot(placed, findings.viewer, plan(item.position));
    if (!at.empty())
      text.sentence(fmt::format("It lies {}, within {} of there 19 times in 20; the middle of the pipe is {} deep.",
                                at, decimal(radius95(item.ellipse95), unit),
                                with_interval(item.depth, item.depth95, unit)));
    if (!item.side_is_open()) text.sentence(capital(side(item)) + ".");
    for (const std::string& says : item.says) text.sentence(says);
    for (const std::string& mark : item.marked) text.sentence(fmt::format("Left on the ground: {}.", mark));
    for (const DigFinding& dig : findings.digs)
      if (dig.item == i) text.sentence(trouble(placed, dig));
    if (item.private_probability && *item.private_probability <= 0.05)
      text.sentence("It is taken to be in the city's part: tell the city of it.");
    if (item.act == Act::dig)
      text.sentence(
          loses_ground(item.what)
              ? "Ground may be lost there and what stands above it may settle: have a licensed plumber judge it now, "
                "before you buy."
              : "How long it may wait cannot be told from these readings: ask a licensed plumber before you buy.");
    for (const FollowUp& next : findings.follow_ups)
      if (next.item == i && next.what != "dig") text.sentence(capital(next.says.substr(item.what.size() + 2)));
  }
  if (count == 0) text.bullet("Nothing that asks for repair or watching was logged.");
}

/// `In short: 1 spot to repair, 2 to watch.`
std::string in_short(const Findings& findings) {
  int repair = 0, watch = 0, open = 0;
  for (const ItemFinding& item : findings.items) {
    if (item.act == Act::none) continue;
    ++(item.act == Act::dig ? repair : watch);
    open += item.side_is_open() ? 1 : 0;
  }
  if (repair + watch == 0) return "In short: nothing to repair or to watch was seen.";
  std::vector<std::string> parts;
  if (repair > 0) parts.push_back(plural(repair, "spot") + " to repair");
  if (watch > 0)
    parts.push_back(repair > 0 ? fmt::format("{} to watch", watch) : plural(watch, "spot") + " to watch");
  return fmt::format("In short: {}{}.", list_of(parts),
                     open > 0 ? fmt::format("; whose {} cannot be told yet", repair + watch == 1 ? "it is"
                                                                             : open == 1         ? "one of them is"
                                                                                                 : "some of them are")
                              : "");
}

}  // namespace

std::string for_buyer(const Placed& placed, const Findings& findings) {
  Text text;
  text.paragraph(title(placed) + ".");
  text.sentence(stance(findings.viewer));
  text.sentence("A figure with a range behind it lies in that range 19 times in 20.");
  text.sentence(in_short(findings));
  for (const std::string& line : trust(placed, findings)) text.bullet(line);
  course(text, placed, findings);
  findings_of(text, placed, findings);

  text.heading("WHOSE IT IS");
  text.paragraph(findings.ownership.says);
  text.sentence(rests_on_rule(findings));
  for (const Crossing& crossing : findings.crossings)
    if (crossing.limit) text.sentence(capital(crossing.says));
  for (const AlongLimit& along : findings.along_limits) text.sentence(capital(along.says));
  text.sentence(open_sides(placed, findings));

  std::vector<std::string> trees;
  for (const TreeFinding& tree : findings.trees)
    if (tree.inside_probability >= 0.05 || tree.root_zone == 0 || tree.closer_probability >= 0.05)
      trees.push_back(capital(tree.says));
  if (!trees.empty()) {
    text.heading("TREES");
    for (const std::string& tree : trees) text.bullet(tree);
  }
  if (!findings.grades.empty()) {
    text.heading("FALL");
    // The whole of each line, and of its parts those that run uphill.
    std::size_t line = findings.lines.size();
    for (const GradeFinding& grade : findings.grades) {
      if (grade.line != line || grade.grade95.high < 0) text.bullet(grade.says);
      line = grade.line;
    }
    if (!placed.ground->has_elevations()) text.bullet("No ground heights are known: the ground is taken as level.");
  }
  if (!findings.fittings.empty()) {
    text.heading("FOR INFORMATION");
    for (const FittingFinding& fitting : findings.fittings) text.bullet(fitting.says);
  }
  add_cautions(text, findings);
  return text.str();
}

}  // namespace swingtie::words
