#include <fmt/format.h>

#include <algorithm>
#include <array>

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
  const bool said = rule.source.find("confirm with the city") != std::string::npos;
  out.says =
      rule.source.empty()
          ? fmt::format("Taken as private up to {}; the job names no source: confirm with the city.", out.until)
          : fmt::format("Taken as private up to {}, by: {}{}.", out.until, rule.source,
                        said ? "" : "; confirm with the city");
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

}  // namespace swingtie
