#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "findings/corners.hpp"
#include "findings/phrases.hpp"
#include "findings/words/audiences.hpp"
#include "findings/words/sentences.hpp"

namespace swingtie::words {
namespace {

std::string coordinates(const Placed& placed, PlanPoint p) {
  const double unit = placed.georeference && !placed.georeference->wkt().empty()
                          ? placed.georeference->metres_per_grid_unit()
                          : metres_per(placed.unit);
  return fmt::format("E {:.1f}, N {:.1f}", p.e / unit, p.n / unit);
}

void crossings(Text& text, const Placed& placed, const Findings& findings) {
  const LengthUnit unit = placed.unit;
  text.heading("CROSSINGS");
  if (findings.crossings.empty()) text.bullet("The line crosses no lot line, right-of-way line or curb of this job.");
  for (const Crossing& c : findings.crossings) {
    std::string words =
        fmt::format("{} On the ground at {}, within {} in any direction (95 %); the middle of the pipe {} deep.",
                    capital(c.says), coordinates(placed, plan(c.position)), decimal(radius95(c.ellipse95), unit),
                    with_interval(c.depth, c.depth95, unit));
    if (c.limit) words += " Private ownership is taken to end here.";
    text.bullet(words);
  }
  for (const AlongLimit& along : findings.along_limits) text.bullet(capital(along.says));
  for (const TieSet& set : findings.tie_sets)
    if (set.of.find("crossing") != std::string::npos)
      text.bullet(fmt::format("To find the {} again: {}", set.of, ties(placed, set)));
}

void lengths(Text& text, const Placed& placed, const Findings& findings) {
  if (findings.sides.empty()) return;
  text.heading("LENGTHS");
  for (const SideLength& side : findings.sides)
    text.bullet(fmt::format("{}{}: {}, {}",
                            findings.lines.size() > 1 ? "line " + findings.lines[side.line].id + ", " : "",
                            side.is_private ? "private" : "public", side.pipe.empty() ? "pipe not logged" : side.pipe,
                            with_interval(side.length, side.length95, placed.unit)));
}

void items(Text& text, const Placed& placed, const Findings& findings) {
  text.heading("ITEMS BY SIDE");
  int count = 0;
  for (const ItemFinding& item : findings.items) {
    if (item.act == Act::none && !placed.runs[item.run].log[item.log].ends_at_main) continue;
    ++count;
    const bool at_main = placed.runs[item.run].log[item.log].ends_at_main;
    std::string words = fmt::format(
        "{}station {}, {}.", on_line(findings, item), with_interval(item.station.metres, item.station95, placed.unit),
        at_main ? "the lateral ends at the city main"
                : fmt::format("{}: {}", item.what, item.side_is_open() ? "its side cannot be told" : side(item)));
    words = capital(words);
    words += fmt::format(" At {}, within {} (95 %).", coordinates(placed, plan(item.position)),
                         decimal(radius95(item.ellipse95), placed.unit));
    for (const std::string& says : item.says) words += " " + says;
    text.bullet(words);
  }
  if (count == 0) text.bullet("Nothing that asks for repair or watching was logged.");
}

/// What the city is to do about it.
void asked_of_the_city(Text& text, const Placed& placed, const Findings& findings) {
  text.heading("ASKED OF YOU");
  text.bullet("Confirm, or correct, where private ownership ends.");
  std::vector<std::string> open, yours, permits;
  for (const ItemFinding& item : findings.items) {
    if (item.act == Act::none || !item.private_probability) continue;
    const std::string named = fmt::format("{} ({}station {})", item.what, on_line(findings, item),
                                          decimal(item.station.metres, placed.unit));
    if (item.side_is_open()) open.push_back(named);
    if (*item.private_probability <= 0.05) yours.push_back(named);
  }
  for (const DigFinding& dig : findings.digs)
    if (std::any_of(dig.conflicts.begin(), dig.conflicts.end(), [&](const Conflict& conflict) {
          return placed.features[conflict.feature].kind == FeatureKind::right_of_way;
        }))
      permits.push_back(findings.items[dig.item].what);
  if (!open.empty())
    text.bullet(
        fmt::format("Settle with the owner whose these are, which these readings cannot tell: {}.", list_of(open)));
  if (!yours.empty()) text.bullet(fmt::format("Look at what lies on the public side: {}.", list_of(yours)));
  if (!permits.empty())
    text.bullet(
        fmt::format("Name the street permit for a hole that may reach into the right-of-way: {}.", list_of(permits)));
}

}  // namespace

std::string for_city(const Placed& placed, const Findings& findings) {
  Text text;
  text.paragraph(title(placed) + ".");
  text.sentence(placed.crs.empty() ? fmt::format("Coordinates are on a local grid of this job, in {}.",
                                                 is_feet(placed.unit) ? "ft" : "m")
                                   : fmt::format("Coordinates are in {}, in its own unit.", placed.crs));
  text.sentence("A figure with a range behind it lies in that range 19 times in 20.");
  for (const std::string& line : trust(placed, findings)) text.bullet(line);

  text.heading("WHERE PRIVATE OWNERSHIP ENDS");
  text.paragraph(findings.ownership.says);
  text.sentence(rests_on_rule(findings));
  text.sentence(open_sides(placed, findings));
  crossings(text, placed, findings);
  lengths(text, placed, findings);
  items(text, placed, findings);
  asked_of_the_city(text, placed, findings);

  std::vector<std::string> doubtful, told;
  for (const NextLocate& next : findings.next_locates)
    if ((next.question.rfind("crossing", 0) == 0 || next.question.rfind("side of", 0) == 0) &&
        std::find(told.begin(), told.end(), next.question) == told.end()) {
      told.push_back(next.question);
      doubtful.push_back(next.says);
    }
  if (!doubtful.empty()) {
    text.heading("WHAT ONE MORE LOCATE WOULD DO");
    for (const std::string& says : doubtful) text.bullet(says);
  }
  if (!findings.grades.empty() || !findings.separations.empty() || !findings.fittings.empty()) {
    text.heading("FALL, SEPARATION, FITTINGS (for information)");
    for (const GradeFinding& grade : findings.grades) text.bullet(grade.says);
    if (!findings.grades.empty() && !placed.ground->has_elevations())
      text.bullet("No ground heights are known: the ground is taken as level.");
    for (const SeparationFinding& s : findings.separations) text.bullet(capital(s.says));
    for (const FittingFinding& fitting : findings.fittings) text.bullet(fitting.says);
  }
  add_cautions(text, findings);
  return text.str();
}

}  // namespace swingtie::words
