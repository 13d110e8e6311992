#include "findings/pipes.hpp"

#include <algorithm>
#include <cmath>

#include "measure/length.hpp"

namespace swingtie {
namespace {

struct Claim {
  double from = 0, to = 0;
  const Pipe* pipe = nullptr;
};

/// Two runs seldom end at the same foot of pipe. What lies between two claims, or between a claim and an end of the
/// line, is taken as more of the pipe on its house side, up to a metre.
void close_gaps(std::vector<Claim>& claims, double length) {
  constexpr double longest = 1.0;
  if (claims.empty()) return;
  std::vector<Claim*> order;
  for (Claim& claim : claims) order.push_back(&claim);
  std::stable_sort(order.begin(), order.end(), [](const Claim* a, const Claim* b) { return a->from < b->from; });
  if (order.front()->from <= longest) order.front()->from = std::min(order.front()->from, 0.0);
  Claim* reaching = order.front();
  for (Claim* claim : order) {
    if (claim->from > reaching->to && claim->from - reaching->to <= longest) reaching->to = claim->from;
    if (claim->to > reaching->to) reaching = claim;
  }
  if (length - reaching->to <= longest) reaching->to = std::max(reaching->to, length);
}

/// What the logs claim of a line, the runs in their order. `station` turns a counter reading of a run into a station.
template <class StationOf>
std::vector<PipeStretch> stretches(const Placed& placed, std::size_t line, double length, StationOf&& station) {
  std::vector<Claim> claims;
  for (std::size_t r = 0; r < placed.runs.size(); ++r) {
    const Run& run = placed.runs[r];
    if (run.line != line || run.log.empty()) continue;
    const bool down = run.toward == Travel::toward_main;
    // The pipe written first also holds from the pipe entry on; what lies behind the entry nobody saw.
    std::vector<std::pair<double, const Pipe*>> changes;
    for (const LogItem& item : run.log)
      if (item.pipe) changes.emplace_back(station(r, item.at), &*item.pipe);
    if (changes.empty()) continue;
    const bool only = std::count_if(placed.runs.begin(), placed.runs.end(),
                                    [&](const Run& other) { return other.line == line; }) == 1;
    const double last = station(r, run.log.back().at);
    for (std::size_t i = 0; i < changes.size(); ++i) {
      double from = changes[i].first;
      double to = i + 1 < changes.size() ? changes[i + 1].first : last;
      // A line seen by one run only begins and ends with what that run saw first and last.
      if (only && i == 0) from = down ? 0 : length;
      if (only && i + 1 == changes.size()) to = down ? length : 0;
      claims.push_back({std::min(from, to), std::max(from, to), changes[i].second});
    }
  }
  close_gaps(claims, length);
  std::vector<double> cuts{0, length};
  for (const Claim& claim : claims)
    for (const double s : {claim.from, claim.to}) cuts.push_back(std::clamp(s, 0.0, length));
  std::sort(cuts.begin(), cuts.end());
  std::vector<PipeStretch> out;
  for (std::size_t i = 1; i < cuts.size(); ++i) {
    if (cuts[i] - cuts[i - 1] < 1e-9) continue;
    const double middle = (cuts[i] + cuts[i - 1]) / 2;
    const auto claim =
        std::find_if(claims.begin(), claims.end(), [&](const Claim& c) { return c.from <= middle && middle < c.to; });
    const Pipe pipe = claim == claims.end() ? Pipe{} : *claim->pipe;
    if (!out.empty() && out.back().pipe.words == pipe.words && out.back().pipe.material == pipe.material)
      out.back().to = {cuts[i]};
    else
      out.push_back({{cuts[i - 1]}, {cuts[i]}, pipe});
  }
  return out;
}

/// A row of a published table of pipe dimensions, inches.
struct Dimensions {
  Material material;
  double nominal_in, outside_in, inside_in;
};

// PVC: ASTM D3034 SDR 35, inside = outside - 2 wall. ABS: schedule 40, ASTM D2661, mean inside diameter.
// Cast iron: service-weight barrel, ASTM A74, outside; inside is nominal.
constexpr Dimensions table[] = {
    {Material::pvc, 4, 4.215, 3.975},    {Material::pvc, 6, 6.275, 5.915},    {Material::pvc, 8, 8.400, 7.920},
    {Material::abs, 3, 3.500, 3.042},    {Material::abs, 4, 4.500, 3.998},    {Material::abs, 6, 6.625, 6.031},
    {Material::cast_iron, 3, 3.30, 3.0}, {Material::cast_iron, 4, 4.30, 4.0}, {Material::cast_iron, 5, 5.30, 5.0},
};

}  // namespace

std::vector<PipeStretch> pipes_of(const Sampling& sampling, std::size_t line, std::size_t d) {
  const RouteDraw& draw = sampling.posterior().draws[d];
  if (draw.lines[line].stations.size() < 2) return {};
  return stretches(
      sampling.placed(), line, draw.lines[line].stations.back(),
      [&](std::size_t run, CounterReading at) { return sampling.at_counter(run, at, Sight::seen).stations[d]; });
}

std::vector<PipeStretch> mean_pipes(const Sampling& sampling, std::size_t line) {
  const auto& draws = sampling.posterior().draws;
  if (draws.empty() || draws[0].lines[line].stations.size() < 2) return {};
  std::vector<double> lengths;
  for (const RouteDraw& draw : draws) lengths.push_back(draw.lines[line].stations.back());
  return stretches(sampling.placed(), line, mean_of(lengths), [&](std::size_t run, CounterReading at) {
    return mean_of(sampling.at_counter(run, at, Sight::seen).stations);
  });
}

Pipe pipe_at(const Run& run, CounterReading at) {
  Pipe found;
  bool any = false;
  for (const LogItem& item : run.log) {
    if (!item.pipe) continue;
    if (any && item.at > at) break;
    found = *item.pipe;
    any = true;
  }
  return found;
}

Diameters diameters(const Pipe& pipe) {
  Diameters out;
  out.assumed = !(pipe.size > 0);
  const double nominal = out.assumed ? 4 * metres_per_inch : pipe.size;
  for (const Dimensions& row : table)
    if (row.material == pipe.material && std::abs(row.nominal_in * metres_per_inch - nominal) < 0.3 * metres_per_inch)
      return {row.inside_in * metres_per_inch, row.outside_in * metres_per_inch, out.assumed};
  // Thick-walled materials: a wall of a tenth of the bore and not under half an inch, near the bodies of clay and
  // concrete pipe of these sizes (common practice, no source).
  const bool thick = pipe.material == Material::clay || pipe.material == Material::concrete ||
                     pipe.material == Material::asbestos_cement || pipe.material == Material::orangeburg ||
                     pipe.material == Material::unknown;
  const double wall = std::max(thick ? 0.12 * nominal : 0.05 * nominal, (thick ? 0.5 : 0.12) * metres_per_inch);
  out.inside = nominal;
  out.outside = nominal + 2 * wall;
  return out;
}

}  // namespace swingtie
