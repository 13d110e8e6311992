#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "findings/phrases.hpp"
#include "findings/pipes.hpp"
#include "findings/questions.hpp"

namespace swingtie {
namespace {

/// Nearer together than this, two depths say nothing of a grade, metres.
constexpr double least_section = 3.0;

bool has_depth(const DepthReadings& depth) {
  return depth.along || depth.across || depth.nulls || depth.ratio;
}

/// Stations whose depth was measured: the pipe entries and the locates with a depth, and both ends of the line.
struct Knots {
  std::vector<double> stations;
  int measured = 0;
};

Knots knots_of(const Sampling& sampling, std::size_t line, double length) {
  const Placed& placed = sampling.placed();
  Knots out;
  for (std::size_t r = 0; r < placed.runs.size(); ++r) {
    const Run& run = placed.runs[r];
    if (run.line != line) continue;
    ++out.measured;  // the drop at its access
    for (const Locate& locate : run.locates) {
      if (!has_depth(locate.depth)) continue;
      out.stations.push_back(mean_of(sampling.at_counter(r, locate.at, Sight::sonde).stations));
      ++out.measured;
    }
  }
  std::sort(out.stations.begin(), out.stations.end());
  std::vector<double> kept{0};
  for (const double s : out.stations)
    if (s - kept.back() >= least_section && length - s >= least_section) kept.push_back(s);
  kept.push_back(length);
  out.stations = std::move(kept);
  return out;
}

/// A fall for print: `1.9 % (0.8 to 3.0), 1/4 in per ft` without the fraction.
std::string fall_words(double grade, Interval range) {
  return fmt::format("{:.1f} % ({:.1f} to {:.1f})", 100 * grade, 100 * range.low, 100 * range.high);
}

}  // namespace

std::vector<GradeFinding> find_grades(const Sampling& sampling, const RuleSet& rules) {
  const Placed& placed = sampling.placed();
  const auto& draws = sampling.posterior().draws;
  std::vector<GradeFinding> out;
  for (std::size_t l = 0; l < placed.lines.size(); ++l) {
    if (draws[0].lines[l].vertices.size() < 2) continue;
    std::vector<double> lengths;
    for (const RouteDraw& draw : draws) lengths.push_back(draw.lines[l].stations.back());
    const double length = mean_of(lengths);
    const Knots knots = knots_of(sampling, l, length);
    const auto pipes = mean_pipes(sampling, l);
    // The whole line first, then from one measured depth to the next.
    std::vector<std::pair<double, double>> sections{{0, length}};
    for (std::size_t k = 1; k < knots.stations.size() && knots.stations.size() > 2; ++k)
      sections.emplace_back(knots.stations[k - 1], knots.stations[k]);
    for (const auto& [from, to] : sections) {
      if (to - from < least_section) continue;
      const Sample upper = sampling.at_station(l, from), lower = sampling.at_station(l, to);
      std::vector<double> grades;
      for (std::size_t d = 0; d < draws.size(); ++d)
        grades.push_back((upper.points[d].up - lower.points[d].up) / (to - from));
      GradeFinding finding;
      finding.line = l;
      finding.from = {from};
      finding.to = {to};
      finding.grade = mean_of(grades);
      finding.grade95 = interval95(grades);
      // The largest size asks least: a stretch of two sizes is held against the milder figure.
      double size = 0;
      for (const PipeStretch& pipe : pipes)
        if (pipe.to.metres > from && pipe.from.metres < to) size = std::max(size, pipe.pipe.size);
      if (size > 0) finding.published_minimum = rules.minimum_slope(size);

      const std::string where =
          fmt::format("{}tation {} to {}", placed.lines.size() > 1 ? "Line " + placed.lines[l].id + ", s" : "S",
                      decimal(from, placed.unit), decimal(to, placed.unit));
      const std::string fall = fall_words(finding.grade, finding.grade95);
      if (knots.measured < 2) {
        finding.says = fmt::format("{}: the fall cannot be told, no depth was read along it.", where);
      } else if (finding.grade95.high < 0) {
        finding.says = fmt::format("{}: the pipe runs uphill, {}.", where,
                                   fall_words(-finding.grade, {-finding.grade95.high, -finding.grade95.low}));
      } else if (finding.grade95.low <= 0) {
        finding.says = fmt::format(
            "{}: these depths cannot tell whether it falls; likeliest {:.1f} %, and anything from rising {:.1f} % to "
            "falling {:.1f} % fits.",
            where, 100 * finding.grade, -100 * finding.grade95.low, 100 * finding.grade95.high);
      } else {
        finding.says = fmt::format("{}: it falls {}", where, fall);
        if (finding.published_minimum) {
          const double least = *finding.published_minimum;
          finding.says +=
              fmt::format("; the published least is {:.1f} % ({}): {}", 100 * least, rules.slope_table_cite,
                          finding.grade95.high < least  ? "flatter than that"
                          : finding.grade95.low > least ? "steeper than that"
                                                        : "which of the two is more cannot be told");
        }
        finding.says += ".";
      }
      out.push_back(std::move(finding));
    }
  }
  return out;
}

}  // namespace swingtie
