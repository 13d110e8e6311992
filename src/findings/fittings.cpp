#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "findings/phrases.hpp"
#include "findings/questions.hpp"
#include "measure/bearing.hpp"

namespace swingtie {
namespace {

struct LoggedBend {
  double station = 0, angle = 0;
};

}  // namespace

std::vector<FittingFinding> find_fittings(const Sampling& sampling, const RuleSet& rules) {
  const Placed& placed = sampling.placed();
  const LengthUnit unit = placed.unit;
  std::vector<FittingFinding> out;
  for (std::size_t l = 0; l < placed.lines.size(); ++l) {
    if (sampling.posterior().draws[0].lines[l].vertices.size() < 2) continue;
    std::vector<double> lengths;
    for (const RouteDraw& draw : sampling.posterior().draws) lengths.push_back(draw.lines[l].stations.back());
    // Clean-outs that the job knows, house to main; a run may be pushed in through each.
    std::vector<double> cleanouts;
    std::vector<LoggedBend> bends;
    for (std::size_t r = 0; r < placed.runs.size(); ++r) {
      const Run& run = placed.runs[r];
      if (run.line != l) continue;
      std::vector<double> entries;
      for (const RouteDraw& draw : sampling.posterior().draws) {
        const auto& course = draw.lines[l];
        const auto next = std::lower_bound(course.pipe.begin(), course.pipe.end(), draw.runs[r].entry);
        entries.push_back(next == course.pipe.end()
                              ? course.stations.back()
                              : course.stations[static_cast<std::size_t>(next - course.pipe.begin())]);
      }
      cleanouts.push_back(mean_of(entries));
      for (const LogItem& item : run.log)
        if (item.bend && item.bend->angle &&
            (!item.bend->hand || *item.bend->hand == Hand::left || *item.bend->hand == Hand::right))
          bends.push_back({mean_of(sampling.at_counter(r, item.at, Sight::seen).stations), *item.bend->angle});
    }
    if (cleanouts.empty()) continue;
    std::sort(cleanouts.begin(), cleanouts.end());
    std::sort(bends.begin(), bends.end(),
              [](const LoggedBend& a, const LoggedBend& b) { return a.station < b.station; });
    // Two runs over the same stretch log the same bend: within 1 m they are one.
    std::vector<LoggedBend> once;
    for (const LoggedBend& bend : bends)
      if (once.empty() || bend.station - once.back().station > 1.0) once.push_back(bend);

    std::vector<double> ends = cleanouts;
    ends.push_back(mean_of(lengths));
    for (std::size_t i = 1; i < ends.size(); ++i) {
      const double from = ends[i - 1], to = ends[i];
      if (to - from < 0.5) continue;
      const std::string where = fmt::format("between station {} and {}", decimal(from, unit), decimal(to, unit));
      if (rules.cleanout_spacing > 0) {
        FittingFinding finding{l, "clean-out spacing", {from}, {to}, to - from, rules.cleanout_spacing, ""};
        finding.says =
            fmt::format("No clean-out is known {}, {} of pipe; {} asks for one every {}.", where,
                        decimal(to - from, unit), rules.cleanout_cite, decimal(rules.cleanout_spacing, unit));
        if (to - from > rules.cleanout_spacing) out.push_back(std::move(finding));
      }
      double turned = 0;
      for (const LoggedBend& bend : once) {
        if (bend.station < from || bend.station > to) continue;
        turned += bend.angle;
        // A 45 degree fitting is the table's limit itself; a degree keeps it on its side.
        if (rules.direction_change > 0 && bend.angle > rules.direction_change + degree)
          out.push_back({l,
                         "direction change",
                         {bend.station},
                         {bend.station},
                         bend.angle,
                         rules.direction_change,
                         fmt::format("The line turns {:.0f}° at station {}; {} asks for a clean-out at each change "
                                     "of more than {:.0f}°.",
                                     bend.angle / degree, decimal(bend.station, unit), rules.direction_cite,
                                     rules.direction_change / degree)});
      }
      if (rules.aggregate_change > 0 && turned > rules.aggregate_change + degree)
        out.push_back({l,
                       "aggregate change",
                       {from},
                       {to},
                       turned,
                       rules.aggregate_change,
                       fmt::format("The bends {} add up to {:.0f}°; {} asks for a clean-out every {:.0f}°.", where,
                                   turned / degree, rules.aggregate_cite, rules.aggregate_change / degree)});
    }
  }
  return out;
}

}  // namespace swingtie
