#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "findings/corners.hpp"
#include "findings/dates.hpp"
#include "findings/phrases.hpp"
#include "findings/statistics.hpp"
#include "findings/words/audiences.hpp"
#include "findings/words/sentences.hpp"
#include "measure/bearing.hpp"

namespace swingtie::words {
namespace {

/// The course in words: where it starts, its straight stretches and turns, where it ends.
void course(Text& text, const Placed& placed, const Findings& findings) {
  const LengthUnit unit = placed.unit;
  text.heading("WHERE IT RUNS");
  for (const LineFinding& line : findings.lines) {
    if (line.stations.size() < 2) continue;
    const std::string name = findings.lines.size() > 1 ? "Line " + line.id : "The line";
    const PlanPoint start = plan(line.stations.front().at), end = plan(line.stations.back().at);
    const std::string from = spot(placed, findings.viewer, start);
    text.paragraph(fmt::format("{} is {} long.", name, with_interval(line.length, line.length95, unit)));
    if (!from.empty()) text.sentence(fmt::format("It starts {}.", from));
    const Azimuth heading =
        azimuth(start, plan(line.stations[std::min<std::size_t>(2, line.stations.size() - 1)].at));
    text.sentence(fmt::format("It sets out {}.", toward_words(findings.viewer, direction(heading))));
    for (const ItemFinding& item : findings.items) {
      if (item.line != line.line) continue;
      const LogItem& logged = placed.runs[item.run].log[item.log];
      if (!logged.bend) continue;
      text.sentence(fmt::format("About {} along there is a {}.", decimal(item.station.metres, unit), item.what));
    }
    const std::string to = spot(placed, findings.viewer, end);
    const bool at_main = std::any_of(findings.items.begin(), findings.items.end(), [&](const ItemFinding& item) {
      return item.line == line.line && placed.runs[item.run].log[item.log].ends_at_main;
    });
    if (!to.empty())
      text.sentence(
          fmt::format("It {} {}.", at_main ? "reaches the city main" : "was followed as far as a point", to));
    text.sentence(fmt::format("It lies {} deep at its start and {} at its end.",
                              with_interval(line.stations.front().depth, line.stations.front().depth95, unit),
                              with_interval(line.stations.back().depth, line.stations.back().depth95, unit)));
    std::vector<std::string> pipes;
    for (const PipeStretch& stretch : line.pipes)
      pipes.push_back(fmt::format(
          "{} from {} to {}", stretch.pipe.words.empty() ? "pipe that nobody logged" : pipe_name(stretch.pipe, unit),
          decimal(stretch.from.metres, unit), decimal(stretch.to.metres, unit)));
    if (!pipes.empty()) text.sentence(fmt::format("It is {}.", list_of(pipes)));
  }
}

void findings_of(Text& text, const Placed& placed, const Findings& findings) {
  const LengthUnit unit = placed.unit;
  text.heading("WHAT WAS FOUND");
  int count = 0;
  for (std::size_t i = 0; i < findings.items.size(); ++i) {
    const ItemFinding& item = findings.items[i];
    if (item.act == Act::none) continue;
    ++count;
    text.paragraph(fmt::format("{} {}: {}.", item.act == Act::dig ? "To repair," : "To watch,",
                               decimal(item.station.metres, unit) + " along", item.what));
    const std::string at = spot(placed, findings.viewer, plan(item.position));
    if (!at.empty())
      text.sentence(fmt::format("It lies {}, known to {} in its worst direction, {} deep.", at,
                                decimal(item.ellipse95.semi_major, unit),
                                with_interval(item.depth, item.depth95, unit)));
    text.sentence(capital(side(item)) + ".");
    for (const std::string& says : item.says) text.sentence(says);
    for (const std::string& mark : item.marked) text.sentence(fmt::format("Left on the ground there: {}.", mark));
    for (const FollowUp& next : findings.follow_ups)
      if (next.item == i && next.what != "dig") text.sentence(capital(next.says.substr(item.what.size() + 2)));
  }
  if (count == 0) text.bullet("Nothing that asks for repair or watching was logged.");
}

}  // namespace

std::string for_buyer(const Placed& placed, const Findings& findings) {
  Text text;
  text.paragraph(title(placed) + ".");
  text.sentence(stance(findings.viewer));
  text.sentence("A figure with a range behind it lies in that range 19 times in 20.");
  for (const std::string& line : trust(findings)) text.bullet(line);
  course(text, placed, findings);
  findings_of(text, placed, findings);

  text.heading("WHOSE IT IS");
  text.paragraph(findings.ownership.says);
  for (const Crossing& crossing : findings.crossings)
    if (crossing.limit) text.sentence(capital(crossing.says));
  for (const AlongLimit& along : findings.along_limits) text.sentence(capital(along.says));

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
