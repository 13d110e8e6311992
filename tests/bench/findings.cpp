// Prints how well the findings keep their promises on laterals with known truth. See --help.

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <atomic>
#include <map>
#include <thread>

#include "measure/length.hpp"
#include "simulate/score_findings.hpp"

namespace {

using namespace swingtie;
using namespace swingtie::simulate;

struct Share {
  double sum = 0;
  int count = 0;
  void add(double value) { sum += value, ++count; }
  std::string percent() const { return count == 0 ? "    -  " : fmt::format("{:5.1f} %", 100 * sum / count); }
  double mean() const { return count == 0 ? 0 : sum / count; }
};

std::vector<FindingsScore> run(const Scenario& scenario, std::uint64_t first_seed, int laterals, int threads,
                               double sure, bool take_next) {
  std::vector<FindingsScore> scores(static_cast<std::size_t>(laterals));
  std::atomic<int> next{0};
  const auto work = [&] {
    for (int i = next++; i < laterals; i = next++)
      scores[static_cast<std::size_t>(i)] =
          score_findings(scenario, first_seed + static_cast<std::uint64_t>(i), sure, take_next);
  };
  std::vector<std::thread> pool;
  for (int t = 1; t < threads; ++t) pool.emplace_back(work);
  work();
  for (std::thread& thread : pool) thread.join();
  return scores;
}

/// `dig at 41` and `dig at 30` are the same question of different jobs.
std::string kind_of(const std::string& question) {
  return question.substr(0, question.find_first_of("0123456789"));
}

struct Promise {
  std::vector<double> now, promised, then;
};

/// The row of one scenario, or of all together.
struct Row {
  Share holds, says, area, depth, station, ellipse, within, radius, ms;

  void add(const FindingsScore& score) {
    constexpr double ft = metres_per_foot;
    for (const WindowScore& window : score.windows) {
      holds.add(window.contains);
      says.add(window.claimed);
      area.add(window.area / (ft * ft));
      depth.add(window.depth_inside);
    }
    for (const CrossingScore& crossing : score.crossings) {
      station.add(crossing.station_inside);
      ellipse.add(crossing.position_inside);
    }
    for (const FinderScore& finder : score.finders) {
      within.add(finder.off <= finder.radius95);
      radius.add(finder.radius95 / ft);
    }
    ms.add(score.find_ms);
  }
  void print(const std::string& name) const {
    fmt::print("{:<12} {} {} {:5.1f} {}    {}  {}    {}  {:6.2f}   {:6.1f}\n", name, holds.percent(), says.percent(),
               area.mean(), depth.percent(), station.percent(), ellipse.percent(), within.percent(), radius.mean(),
               ms.mean());
  }
};

double median(std::vector<double> values) {
  if (values.empty()) return 0;
  std::nth_element(values.begin(), values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2), values.end());
  return values[values.size() / 2];
}

double mean(const std::vector<double>& values) {
  double sum = 0;
  for (const double value : values) sum += value;
  return values.empty() ? 0 : sum / static_cast<double>(values.size());
}

}  // namespace

int main(int argc, char** argv) {
  int laterals = 200, threads = 2;
  std::uint64_t seed = 1;
  double sure = 0.95;
  bool take_next = true;
  std::vector<std::string> names = {"logged", "half", "mixed", "deep", "upstream", "branch"};
  CLI::App app{"Scores the findings on simulated laterals whose truth is known.", "bench_findings"};
  app.add_option("--laterals", laterals, "laterals a scenario")->check(CLI::PositiveNumber)->capture_default_str();
  app.add_option("--seed", seed, "first seed")->capture_default_str();
  app.add_option("--scenario", names, "scenarios, as bench_route names them")->capture_default_str();
  app.add_option("--sure", sure, "probability asked of a dig window")
      ->check(CLI::Range(0.5, 0.999))
      ->capture_default_str();
  app.add_option("--threads", threads, "laterals solved at a time")
      ->check(CLI::PositiveNumber)
      ->capture_default_str();
  app.add_flag("--next,!--no-next", take_next, "also take each suggested locate and solve again");
  CLI11_PARSE(app, argc, argv);

  constexpr double ft = metres_per_foot;
  fmt::print("{} laterals a scenario, seeds {} to {}, dig windows at {:g} %\n\n", laterals, seed,
             seed + static_cast<std::uint64_t>(laterals) - 1, 100 * sure);
  fmt::print(
      "             dig window              item    crossing           finder's tape          find\n"
      "scenario     holds    says    ft2   depth    station  ellipse    within r  mean r ft    ms\n");
  const std::vector<double> limits = {0, 0.02, 0.1, 0.3, 0.5, 0.7, 0.9, 0.98, 1.0001};
  std::vector<Share> told(limits.size() - 1), was(limits.size() - 1);
  std::map<std::string, Promise> promises;
  Row all;
  for (const std::string& name : names) {
    const Scenario* scenario = find_scenario(name);
    if (!scenario) {
      fmt::print(stderr, "error: no scenario `{}`\n", name);
      return 2;
    }
    Row row;
    for (const FindingsScore& score : run(*scenario, seed, laterals, threads, sure, take_next)) {
      row.add(score);
      all.add(score);
      for (const SideScore& side : score.sides)
        for (std::size_t i = 0; i + 1 < limits.size(); ++i)
          if (side.told >= limits[i] && side.told < limits[i + 1]) {
            told[i].add(side.told);
            was[i].add(side.is_private);
          }
      for (const NextScore& next : score.next) {
        Promise& promise = promises[kind_of(next.question)];
        const double unit = next.by_probability ? 1 : ft;
        promise.now.push_back(next.now95 / unit);
        promise.promised.push_back(next.promised95 / unit);
        promise.then.push_back(next.then95 / unit);
      }
    }
    row.print(name);
  }
  all.print("all");
  fmt::print("\nitems told private with   mean told   was private      of\n");
  for (std::size_t i = 0; i + 1 < limits.size(); ++i)
    fmt::print("      {:3.0f} - {:3.0f} %          {}     {}   {:5}\n", 100 * limits[i],
               std::min(100.0, 100 * limits[i + 1]), told[i].percent(), was[i].percent(), was[i].count);
  if (!take_next) return 0;
  fmt::print(
      "\none further locate (between the nulls), 95 % half-lengths or radii in ft; for sides and alternatives the "
      "probability of the likeliest\n"
      "question             now   promised   found    (medians)      now   promised   found    (means)       of\n");
  for (const auto& [question, p] : promises)
    fmt::print("{:<18} {:6.2f}   {:6.2f}   {:6.2f}                  {:6.2f}   {:6.2f}   {:6.2f}               {:5}\n",
               question, median(p.now), median(p.promised), median(p.then), mean(p.now), mean(p.promised),
               mean(p.then), p.now.size());
}
