#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "findings/phrases.hpp"
#include "findings/questions.hpp"
#include "measure/covariance.hpp"

namespace swingtie {
namespace {

/// A crossing in fewer draws than this is not worth a line in a table.
constexpr double least_probability = 0.05;

/// Meetings of one line with one limit that are the same crossing in different draws.
struct Group {
  bool inward = false;
  std::vector<Meeting> meetings;
  double middle() const {
    double sum = 0;
    for (const Meeting& m : meetings) sum += m.station;
    return sum / static_cast<double>(meetings.size());
  }
};

/// The n-th way out and the n-th way back in are each one crossing. A line that only grazes the limit in some draws
/// adds a pair there and shifts the count of those after it; counted from both ends, whichever end is nearer in
/// number, such a pair stays apart from the sure crossing beyond it.
std::vector<Group> grouped(const std::vector<std::vector<Meeting>>& draws) {
  std::size_t most = 0, usual = 0;
  std::vector<std::size_t> counts;
  for (const auto& draw : draws) {
    most = std::max(most, draw.size());
    if (counts.size() <= draw.size()) counts.resize(draw.size() + 1);
    ++counts[draw.size()];
  }
  for (std::size_t c = 1; c < counts.size(); ++c)
    if (usual == 0 || counts[c] > counts[usual]) usual = c;
  if (most == 0) return {};
  std::vector<Group> out(usual);
  for (std::size_t k = 0; k < usual; ++k) out[k].inward = k % 2 == 1;
  // Draws with the usual count name the crossings; the others join the nearest one that goes the same way.
  for (const auto& draw : draws)
    if (draw.size() == usual)
      for (std::size_t k = 0; k < usual; ++k) out[k].meetings.push_back(draw[k]);
  std::vector<double> middles;
  for (const Group& group : out) middles.push_back(group.middle());
  Group more_out, more_in;
  more_in.inward = true;
  for (const auto& draw : draws) {
    if (draw.size() == usual) continue;
    std::vector<bool> taken(usual, false);
    for (std::size_t k = 0; k < draw.size(); ++k) {
      std::size_t best = usual;
      for (std::size_t g = k % 2; g < usual; g += 2)
        if (!taken[g] &&
            (best == usual || std::abs(middles[g] - draw[k].station) < std::abs(middles[best] - draw[k].station)))
          best = g;
      if (best < usual) {
        taken[best] = true;
        out[best].meetings.push_back(draw[k]);
      } else {
        (k % 2 == 1 ? more_in : more_out).meetings.push_back(draw[k]);
      }
    }
  }
  for (Group* group : {&more_out, &more_in})
    if (!group->meetings.empty()) out.push_back(std::move(*group));
  std::stable_sort(out.begin(), out.end(), [](const Group& a, const Group& b) { return a.middle() < b.middle(); });
  return out;
}

}  // namespace

std::vector<Crossing> find_crossings(const Sampling& sampling, const Limits& limits) {
  const Placed& placed = sampling.placed();
  std::vector<Crossing> out;
  for (const Limits::Limit& limit : limits.all()) {
    const Feature& feature = placed.features[limit.feature];
    for (std::size_t l = 0; l < placed.lines.size(); ++l) {
      for (const Group& group : grouped(limit.meetings[l])) {
        Crossing crossing;
        crossing.feature = limit.feature;
        crossing.line = l;
        crossing.probability =
            std::min(1.0, static_cast<double>(group.meetings.size()) / static_cast<double>(sampling.draws()));
        if (crossing.probability < least_probability) continue;
        Sample sample;
        for (const Meeting& meeting : group.meetings) {
          sample.points.push_back(meeting.at);
          sample.stations.push_back(meeting.station);
        }
        crossing.station = {mean_of(sample.stations)};
        crossing.station95 = interval95(sample.stations);
        crossing.position = mean_of(sample.points);
        crossing.ellipse95 = error_ellipse(covariance_of(sample.points), 0.95);
        const auto depths = sampling.depths(sample);
        crossing.depth = mean_of(depths);
        crossing.depth95 = interval95(depths);
        crossing.limit = limit.rules;
        crossing.inward = group.inward;
        crossing.straightened = limit.straightened;
        const LengthUnit unit = placed.unit;
        crossing.says = fmt::format(
            "{} {} {} at station {}{}.", line_name(placed, l), group.inward ? "comes back over" : "crosses",
            the_name(feature), with_interval(crossing.station.metres, crossing.station95, unit),
            crossing.probability < 0.95 ? fmt::format(", if it does at all ({})", percent(crossing.probability))
                                        : "");
        if (limit.straightened)
          crossing.says +=
              fmt::format(" As drawn, {} ends short of the line; it was continued straight.", the_name(feature));
        out.push_back(std::move(crossing));
      }
    }
  }
  std::stable_sort(out.begin(), out.end(), [](const Crossing& a, const Crossing& b) {
    return a.line != b.line ? a.line < b.line : a.station < b.station;
  });
  return out;
}

std::vector<AlongLimit> find_along_limits(const Sampling& sampling, const Limits& limits) {
  const Placed& placed = sampling.placed();
  // Shorter stretches of doubt are an ordinary crossing with its interval.
  constexpr double least_length = 3.0, step = 0.25;
  std::vector<AlongLimit> out;
  const double n = static_cast<double>(sampling.draws());
  for (const Limits::Limit& limit : limits.all()) {
    for (std::size_t l = 0; l < placed.lines.size(); ++l) {
      std::vector<double> lengths;
      for (const RouteDraw& draw : sampling.posterior().draws)
        if (!draw.lines[l].stations.empty()) lengths.push_back(draw.lines[l].stations.back());
      if (lengths.empty()) continue;
      const double length = quantile(lengths, 0.5);
      // How many draws are past an odd number of crossings, at each step.
      const std::size_t steps = static_cast<std::size_t>(length / step) + 1;
      std::vector<int> beyond(steps, 0);
      for (const auto& draw : limit.meetings[l]) {
        for (std::size_t k = 0; k < draw.size(); k += 2) {
          const auto from = static_cast<std::size_t>(std::max(0.0, std::ceil(draw[k].station / step)));
          const auto to = k + 1 < draw.size()
                              ? static_cast<std::size_t>(std::max(0.0, std::ceil(draw[k + 1].station / step)))
                              : steps;
          for (std::size_t i = from; i < std::min(to, steps); ++i) ++beyond[i];
        }
      }
      for (std::size_t i = 0; i < steps;) {
        const auto doubtful = [&](std::size_t k) { return beyond[k] >= 0.05 * n && beyond[k] <= 0.95 * n; };
        std::size_t j = i;
        while (j < steps && doubtful(j)) ++j;
        if (j > i && static_cast<double>(j - i) * step >= least_length) {
          AlongLimit along{
              limit.feature, l, {static_cast<double>(i) * step}, {static_cast<double>(j - 1) * step}, ""};
          along.says = fmt::format("from station {} to {} {} keeps so close to {} that its side cannot be told.",
                                   decimal(along.from.metres, placed.unit), decimal(along.to.metres, placed.unit),
                                   line_name(placed, l), the_name(placed.features[limit.feature]));
          out.push_back(std::move(along));
        }
        i = std::max(j, i + 1);
      }
    }
  }
  return out;
}

}  // namespace swingtie
