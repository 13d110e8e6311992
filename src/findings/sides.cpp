#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "findings/phrases.hpp"
#include "findings/pipes.hpp"
#include "findings/questions.hpp"

namespace swingtie {

OwnershipFinding describe_ownership(const Placed& placed) {
  const Ownership& rule = placed.ownership;
  OwnershipFinding out;
  out.source = rule.source;
  const std::string feature = rule.feature ? the_name(placed.features[*rule.feature]) : std::string();
  switch (rule.until) {
    case PrivateUntil::unsaid:
      out.says = "The job does not say where private ownership ends: confirm with the city.";
      return out;
    case PrivateUntil::right_of_way:
      out.until = feature.empty() ? "the right-of-way line" : feature;
      break;
    case PrivateUntil::lot_line:
      out.until = feature.empty() ? "the lot line" : feature;
      break;
    case PrivateUntil::curb:
      out.until = feature.empty() ? "the curb" : feature;
      break;
    case PrivateUntil::main:
      out.until = "the city main";
      break;
    case PrivateUntil::clean_out:
      out.until = "the clean-out";
      break;
    case PrivateUntil::station:
      out.until = "station " + decimal(rule.station.metres, placed.unit);
      break;
  }
  const bool said = rule.source.find("confirm with") != std::string::npos;
  out.says =
      rule.source.empty()
          ? fmt::format("Taken as private up to {}; the job names no source: confirm with the city.", out.until)
          : fmt::format("Taken as private up to {} ({}{}).", out.until, rule.source,
                        said ? "" : "; confirm with the city");
  return out;
}

std::string side_question(const Placed& placed, const ItemFinding& item) {
  return fmt::format("side of {}", decimal(item.at.metres, placed.unit)) +
         (placed.runs.size() > 1 ? " of " + placed.runs[item.run].id : "");
}

std::vector<double> past_the_limit(const Sampling& sampling, const Limits& limits, const ItemFinding& item) {
  const Sample& sample = sampling.at_counter(item.run, item.at, Sight::seen);
  std::vector<double> out;
  double sum = 0;
  std::size_t met = 0;
  for (std::size_t d = 0; d < sampling.draws(); ++d) {
    const auto& changes = limits.changes(item.line, d);
    const double station = sample.stations[d];
    const auto nearest = std::min_element(changes.begin(), changes.end(), [&](double a, double b) {
      return std::abs(a - station) < std::abs(b - station);
    });
    out.push_back(nearest == changes.end() ? std::nan("") : station - *nearest);
    if (nearest == changes.end()) continue;
    sum += out.back();
    ++met;
  }
  if (2 * met < out.size()) return {};
  for (double& past : out)
    if (std::isnan(past)) past = sum / static_cast<double>(met);
  return out;
}

std::vector<SideLength> find_sides(const Sampling& sampling, const Limits& limits) {
  if (!limits.known()) return {};
  const Placed& placed = sampling.placed();
  std::vector<SideLength> out;
  for (std::size_t l = 0; l < placed.lines.size(); ++l) {
    struct OfPipe {
      Pipe pipe;
      std::array<std::vector<double>, 2> lengths;  ///< private, public; per draw
    };
    std::vector<OfPipe> pipes;  // in the order along the line
    for (std::size_t d = 0; d < sampling.draws(); ++d) {
      const auto& changes = limits.changes(l, d);
      for (const PipeStretch& stretch : pipes_of(sampling, l, d)) {
        auto of = std::find_if(pipes.begin(), pipes.end(), [&](const OfPipe& p) {
          return p.pipe.words == stretch.pipe.words && p.pipe.size == stretch.pipe.size;
        });
        if (of == pipes.end()) {
          pipes.push_back({stretch.pipe, {}});
          of = pipes.end() - 1;
          for (auto& side : of->lengths) side.resize(sampling.draws());
        }
        double from = stretch.from.metres;
        auto next = std::lower_bound(changes.begin(), changes.end(), from);
        while (from < stretch.to.metres) {
          const double to = next == changes.end() ? stretch.to.metres : std::min(*next, stretch.to.metres);
          if (next != changes.end()) ++next;
          if (to <= from) continue;
          of->lengths[limits.is_private(l, d, (from + to) / 2) ? 0 : 1][d] += to - from;
          from = to;
        }
      }
    }
    // Shorter than this on either side is the luck of the draws, no length to put in a table.
    constexpr double least_length = 0.15;
    for (const bool is_public : {false, true}) {
      for (const OfPipe& of : pipes) {
        const auto& lengths = of.lengths[is_public ? 1 : 0];
        const Interval range = interval95(lengths);
        if (range.high < least_length) continue;
        out.push_back({l, !is_public, pipe_name(of.pipe, placed.unit), mean_of(lengths), range});
      }
    }
  }
  return out;
}

void say_sides(const Sampling& sampling, const Limits& limits, const std::vector<NextLocate>& next,
               std::vector<ItemFinding>& items) {
  const Placed& placed = sampling.placed();
  const LengthUnit unit = placed.unit;
  for (ItemFinding& item : items) {
    if (!item.side_is_open()) continue;
    const double p = *item.private_probability;
    std::string says = fmt::format("Whose side it lies on cannot be told: private with {}, public with {}.",
                                   percent(p), percent(1 - p));
    const Limits::Limit* rule = limits.ruling();
    const std::string end =
        rule != nullptr ? the_name(placed.features[rule->feature]) : "the end of the private part";
    const std::vector<double> past = past_the_limit(sampling, limits, item);
    if (!past.empty()) {
      const Interval range = interval95(past);
      says += fmt::format(" Along the pipe it is anywhere from {} before {} to {} past it.",
                          decimal(std::max(0.0, -range.low), unit), end, decimal(std::max(0.0, range.high), unit));
    }
    const auto best = std::find_if(next.begin(), next.end(),
                                   [&](const NextLocate& n) { return n.question == side_question(placed, item); });
    const std::string in_the_hole = rule != nullptr ? fmt::format("have {} staked and measure in the open hole", end)
                                                    : std::string("measure along the pipe in the open hole");
    // What is staked or agreed to a hand's breadth leaves no doubt of its own.
    constexpr double staked = 0.05;
    const bool vague = rule != nullptr && std::sqrt(placed.features[rule->feature].covariance.trace()) > staked;
    constexpr double settled = 0.9;
    const bool any = best != next.end();
    if (any && best->then95 >= settled) {
      says += fmt::format(" A locate at {}, midway between the nulls, would mostly settle it ({} sure on average).",
                          decimal(best->at.metres, unit), percent(best->then95));
    } else if (vague) {
      says += fmt::format(" Have {} staked by a surveyor: its own place is not known well enough here.", end);
      if (any && best->helps)
        says += fmt::format(" The best locate, at {}, would only make it {} sure on average.",
                            decimal(best->at.metres, unit), percent(best->then95));
    } else if (any) {
      says +=
          fmt::format(" No single locate would settle it (the best, at {}, would make it {} sure on average): {}.",
                      decimal(best->at.metres, unit), percent(best->then95), in_the_hole);
    } else {
      says += fmt::format(" To settle it {}.", in_the_hole);
    }
    item.says.push_back(std::move(says));
  }
}

}  // namespace swingtie
