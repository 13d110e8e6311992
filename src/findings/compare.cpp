#include "findings/compare.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "findings/dates.hpp"
#include "findings/matching.hpp"
#include "findings/phrases.hpp"
#include "findings/sampling.hpp"
#include "findings/visits.hpp"
#include "findings/words/sentences.hpp"
#include "measure/bearing.hpp"

namespace swingtie {
namespace {

/// Share of items of one visit that another visit sees again. Common practice, no source: two operators write down
/// much the same, not all the same.
constexpr double seen_again = 0.8;
/// Where along a spot the operator stopped to read the counter, one standard deviation.
constexpr double stopping = 0.15;
/// How much likelier two notes are to be one spot when they speak of the same kind of thing, and of different kinds.
constexpr double same_kind = 3.0, other_kind = 0.3;

struct Seen {
  std::size_t run = 0;
  CounterReading at;
  std::string what;
  Sample sample;
};

/// What may change between visits: what was seen, not the fittings that the pipe is made of.
std::vector<Seen> seen_items(const Sampling& sampling, std::size_t line, std::size_t first_run, std::size_t end_run) {
  std::vector<Seen> out;
  const Placed& placed = sampling.placed();
  for (std::size_t r = first_run; r < end_run; ++r) {
    if (placed.runs[r].line != line) continue;
    for (const LogItem& item : placed.runs[r].log)
      if (!item.what.empty() && item.end.empty())
        out.push_back({r, item.at, item.what, sampling.at_counter(r, item.at, Sight::seen)});
  }
  return out;
}

/// Odds that two notes are one spot: how much denser the difference of their stations is at zero than it would be for
/// two spots anywhere on the line.
double odds_of(const Seen& a, const Seen& b, double length) {
  double mean = 0, square = 0;
  const double n = static_cast<double>(a.sample.stations.size());
  for (std::size_t d = 0; d < a.sample.stations.size(); ++d) {
    const double difference = b.sample.stations[d] - a.sample.stations[d];
    mean += difference / n;
    square += difference * difference / n;
  }
  const double variance = square - mean * mean + 2 * stopping * stopping;
  const double density = std::exp(-mean * mean / (2 * variance)) / std::sqrt(2 * pi * variance);
  const auto kind_a = note_kind(a.what), kind_b = note_kind(b.what);
  const double words = kind_a.empty() || kind_b.empty() ? 1.0 : kind_a == kind_b ? same_kind : other_kind;
  return seen_again / (1 - seen_again) * density * length * words;
}

Change growth(const std::string& before, const std::string& after) {
  const auto a = note_size(before), b = note_size(after);
  // Two people judge one spot to a fifth.
  constexpr double telling = 1.2;
  if (!a || !b || a->scale != b->scale) return Change::same;
  if (b->value > telling * a->value) return Change::grown;
  return b->value * telling < a->value ? Change::lessened : Change::same;
}

ItemChange alone(const Seen& item, std::size_t line, Change change, double probability) {
  ItemChange out;
  out.change = change;
  out.line = line;
  (change == Change::appeared ? out.later_at : out.earlier_at) = item.at;
  (change == Change::appeared ? out.later_what : out.earlier_what) = item.what;
  out.station = {mean_of(item.sample.stations)};
  out.station95 = interval95(item.sample.stations);
  out.probability = probability;
  return out;
}

void say(ItemChange& change, LengthUnit unit, double partner_probability) {
  const std::string station = "Station " + with_interval(change.station.metres, change.station95, unit);
  switch (change.change) {
    case Change::appeared:
      change.says = fmt::format("{}: new, {} ({}).", station, change.later_what, percent(change.probability));
      return;
    case Change::gone:
      change.says =
          fmt::format("{}: not seen again, {} ({}).", station, change.earlier_what, percent(change.probability));
      return;
    case Change::unseen:
      change.says = fmt::format("{}: {}; the camera did not come there this time.", station, change.earlier_what);
      return;
    case Change::same:
    case Change::grown:
    case Change::lessened:
      break;
  }
  const char* how = change.change == Change::grown      ? "it has grown"
                    : change.change == Change::lessened ? "it is less"
                                                        : "nothing says that it has grown";
  const std::string words = change.earlier_what == change.later_what
                                ? change.later_what
                                : fmt::format("{} (before: {})", change.later_what, change.earlier_what);
  change.says =
      fmt::format("{}: seen again, {}: {} (one spot with {}).", station, words, how, percent(partner_probability));
  if (change.counter_shifted)
    change.says += fmt::format(" The counters read {} and {} there: the counter shifted, the spot did not.",
                               decimal(change.earlier_at->metres, unit), decimal(change.later_at->metres, unit));
}

}  // namespace

Comparison compare(const Placed& earlier, const Placed& later, const SolveOptions& options) {
  Comparison out;
  out.earlier_inspected = earlier.inspected;
  out.later_inspected = later.inspected;
  const JoinedVisits joined = join_visits(earlier, later);
  out.moved = joined.moved;
  out.fit = joined.fit;
  out.remarks = joined.remarks;
  const Posterior posterior = solve(joined.placed, options);
  out.remarks.insert(out.remarks.end(), posterior.remarks.begin(), posterior.remarks.end());
  const Sampling sampling(joined.placed, posterior);
  if (sampling.draws() == 0) return out;

  double shift = 0;
  int shifts = 0;
  for (std::size_t l = 0; l < later.lines.size(); ++l) {
    if (posterior.draws[0].lines[l].stations.size() < 2) continue;
    const auto before = seen_items(sampling, l, joined.first_earlier, joined.placed.runs.size());
    const auto after = seen_items(sampling, l, 0, joined.first_earlier);
    const double length = std::max(1.0, posterior.draws[0].lines[l].stations.back());
    std::vector<std::vector<double>> odds(before.size(), std::vector<double>(after.size()));
    for (std::size_t i = 0; i < before.size(); ++i)
      for (std::size_t j = 0; j < after.size(); ++j) odds[i][j] = odds_of(before[i], after[j], length);
    const Matching matching = weigh_matchings(odds);

    // Where the camera went this time.
    double reached_from = 1e300, reached_to = -1e300;
    for (std::size_t r = 0; r < joined.first_earlier; ++r) {
      const Run& run = joined.placed.runs[r];
      if (run.line != l || run.log.empty()) continue;
      for (const CounterReading at : {run.log.front().at, run.log.back().at}) {
        const double station = mean_of(sampling.at_counter(r, at, Sight::seen).stations);
        reached_from = std::min(reached_from, station);
        reached_to = std::max(reached_to, station);
      }
    }
    std::vector<double> partnered(after.size(), 0);
    std::vector<bool> taken(after.size(), false);
    for (std::size_t i = 0; i < before.size(); ++i) {
      double any = 0;
      std::size_t best = after.size();
      for (std::size_t j = 0; j < after.size(); ++j) {
        any += matching.pair[i][j];
        partnered[j] += matching.pair[i][j];
        if (matching.pair[i][j] > 0.5) best = j;
      }
      if (best == after.size()) {
        const double station = mean_of(before[i].sample.stations);
        const bool passed = station >= reached_from - 0.5 && station <= reached_to + 0.5;
        out.changes.push_back(alone(before[i], l, passed ? Change::gone : Change::unseen, 1 - any));
        say(out.changes.back(), later.unit, 0);
        continue;
      }
      taken[best] = true;
      ItemChange change = alone(after[best], l, growth(before[i].what, after[best].what), matching.pair[i][best]);
      change.earlier_at = before[i].at;
      change.later_at = after[best].at;
      change.earlier_what = before[i].what;
      change.later_what = after[best].what;
      const bool same_way = joined.placed.runs[before[i].run].toward == joined.placed.runs[after[best].run].toward;
      const double difference = after[best].at - before[i].at;
      change.counter_shifted = std::abs(difference) > metres_per_foot;
      if (same_way) {
        shift += difference;
        ++shifts;
      }
      say(change, later.unit, change.probability);
      out.changes.push_back(std::move(change));
    }
    for (std::size_t j = 0; j < after.size(); ++j) {
      if (taken[j]) continue;
      out.changes.push_back(alone(after[j], l, Change::appeared, 1 - partnered[j]));
      say(out.changes.back(), later.unit, 0);
    }
  }
  out.counter_shift = shifts > 0 ? shift / shifts : 0;
  std::stable_sort(out.changes.begin(), out.changes.end(), [](const ItemChange& a, const ItemChange& b) {
    return a.line != b.line ? a.line < b.line : a.station < b.station;
  });
  return out;
}

std::string tell(const Placed& later, const Comparison& comparison) {
  words::Text text;
  const auto date = [](const std::string& inspected) {
    return inspected.empty() ? std::string("an undated visit") : date_words(inspected);
  };
  text.paragraph(fmt::format("{}: {} against {}.", later.site_name.empty() ? "House sewer" : later.site_name,
                             date(comparison.later_inspected), date(comparison.earlier_inspected)));
  text.sentence("Both inspections were solved together on one route.");
  if (comparison.moved)
    text.sentence(fmt::format("The earlier grid was laid onto the later one by common points; they agree to {}.",
                              decimal(comparison.fit, later.unit)));
  for (const Diagnostic& remark : comparison.remarks) text.bullet(words::capital(remark.message) + ".");
  if (comparison.changes.empty()) text.bullet("Neither inspection logged anything that could change.");
  for (const ItemChange& change : comparison.changes)
    text.bullet((later.lines.size() > 1 ? line_name(later, change.line) + ": " : "") + change.says);
  return text.str();
}

}  // namespace swingtie
