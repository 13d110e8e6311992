#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "cli/output.hpp"
#include "cli/source.hpp"
#include "cli/terminal.hpp"
#include "exchange/json.hpp"

namespace swingtie {
namespace {

/// The findings as tables for a person.
class Tables {
 public:
  explicit Tables(const Worked& worked)
      : placed_(worked.placed),
        findings_(worked.findings),
        unit_(metres_per(placed_.unit)),
        coordinate_unit_(metres_per_coordinate(placed_)) {}

  std::string text() const {
    std::string all;
    if (!placed_.site_name.empty()) all += placed_.site_name + "\n";
    all += fmt::format("Lengths in {}; ± and intervals hold with 95 %.\n", unit_word(placed_.unit));
    for (const LineFinding& line : findings_.lines) all += line_table(line);
    all += items() + crossings() + sides() + digs() + explanations() + cautions();
    return all;
  }

 private:
  double in_unit(double metres) const { return fixed(metres / unit_, 2); }
  std::string short_length(double metres) const { return fmt::format("{:.1f}", fixed(metres / unit_, 1)); }
  std::string range(const Interval& i) const {
    return fmt::format("{}..{}", short_length(i.low), short_length(i.high));
  }
  std::string position(PlanPoint p) const {
    return fmt::format("{:>12.2f} {:>12.2f}", fixed(p.e / coordinate_unit_, 2), fixed(p.n / coordinate_unit_, 2));
  }
  const std::string& line_id(std::size_t line) const { return placed_.lines.at(line).id; }

  std::string line_table(const LineFinding& line) const {
    std::string text = fmt::format("\nLine {}: {} long on the plan ({})\n", line.id, short_length(line.length),
                                   range(line.length95));
    text += fmt::format("{:>8} {:>12} {:>12} {:>7} {:>7} {:>12}  {}\n", "station", "e", "n", "±", "depth", "95 %",
                        "basis");
    for (const StationFinding& s : line.marks) {
      text += fmt::format("{:>8} {} {:>7} {:>7} {:>12}  {}\n", short_length(s.station.metres), position(plan(s.at)),
                          short_length(s.ellipse95.semi_major), short_length(s.depth), range(s.depth95),
                          s.knowledge == Knowledge::located ? "located" : "inferred");
    }
    for (const RouteAlternative& alternative : line.alternatives) {
      text += fmt::format("  course with probability {:.3f}", alternative.probability);
      text += alternative.because.empty() ? "\n" : fmt::format(": {}\n", fmt::join(alternative.because, "; "));
    }
    return text;
  }

  std::string items() const {
    if (findings_.items.empty()) return {};
    std::string text = fmt::format("\nItems\n{:>8} {:>8} {:>12} {:>12} {:>7} {:>7} {:>12} {:>8}  {}\n", "at",
                                   "station", "e", "n", "±", "depth", "95 %", "private", "what");
    for (const ItemFinding& item : findings_.items) {
      const std::string side =
          item.private_probability ? fmt::format("{:.1f} %", 100 * *item.private_probability) : std::string("-");
      text += fmt::format("{:>8} {:>8} {} {:>7} {:>7} {:>12} {:>8}  {}{}\n", short_length(item.at.metres),
                          short_length(item.station.metres), position(plan(item.position)),
                          short_length(item.ellipse95.semi_major), short_length(item.depth), range(item.depth95),
                          side, item.what,
                          item.act == Act::dig     ? " [dig]"
                          : item.act == Act::watch ? " [watch]"
                                                   : "");
    }
    return text;
  }

  std::string crossings() const {
    if (findings_.crossings.empty()) return {};
    std::string text = fmt::format("\nCrossings\n{:>8} {:>14} {:>12} {:>12} {:>7}  {}\n", "station", "95 %", "e", "n",
                                   "depth", "of");
    for (const Crossing& c : findings_.crossings) {
      text += fmt::format("{:>8} {:>14} {} {:>7}  {}", short_length(c.station.metres), range(c.station95),
                          position(plan(c.position)), short_length(c.depth), placed_.features.at(c.feature).id);
      text += c.probability < 0.9995 ? fmt::format(" (crosses here with {:.1f} %)\n", 100 * c.probability) : "\n";
    }
    return text;
  }

  std::string sides() const {
    if (findings_.sides.empty()) return {};
    std::string text = fmt::format("\nLengths by side\n{:>8} {:>14}  {}\n", "length", "95 %", "side");
    for (const SideLength& s : findings_.sides)
      text += fmt::format("{:>8} {:>14}  {}{}{}\n", short_length(s.length), range(s.length95),
                          s.is_private ? "private" : "public", s.pipe.empty() ? "" : ", ", s.pipe);
    return text;
  }

  std::string digs() const {
    std::string text;
    for (const DigFinding& dig : findings_.digs) {
      const ItemFinding& item = findings_.items.at(dig.item);
      text += fmt::format("\nDig for {} at {}\n", item.what, short_length(item.at.metres));
      text += fmt::format("  window {} along the pipe by {} across, contains it with {:.1f} %\n",
                          short_length(dig.window_length), short_length(dig.window_width),
                          100 * dig.contains_probability);
      text += fmt::format("  top of pipe {} deep ({})\n", short_length(dig.depth_to_top), range(dig.depth_to_top95));
      for (const SwingTie& tie : dig.ties.ties)
        text += fmt::format("  {:>10} ± {} from {}{}\n", tie.tape,
                            short_length(0.5 * (tie.distance95.high - tie.distance95.low)), tie.says,
                            tie.check ? " (check)" : "");
      if (!dig.ties.offset_words.empty()) text += fmt::format("  {}\n", dig.ties.offset_words);
    }
    return text;
  }

  std::string explanations() const {
    if (findings_.explanations.empty()) return {};
    std::string text = "\nWhat the readings say of the notes\n";
    for (const ExplanationFinding& x : findings_.explanations)
      text += fmt::format("  {:>5.1f} %  {}\n", 100 * x.probability, x.says);
    return text;
  }

  std::string cautions() const {
    std::string text = findings_.cautions.empty() ? "" : "\n";
    for (const std::string& caution : findings_.cautions) text += wrapped(caution, 80, "");
    return text;
  }

  const Placed& placed_;
  const Findings& findings_;
  double unit_, coordinate_unit_;
};

}  // namespace

Exit run_solve(const Arguments& arguments) {
  const Worked worked = work_operand(arguments);
  print(arguments.has("--json") ? write_json(worked.result()) : Tables(worked).text());
  return Exit::done;
}

}  // namespace swingtie
