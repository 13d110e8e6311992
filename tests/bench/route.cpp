// Prints how well the route engine does on laterals with known truth, scenario by scenario. See --help.

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <atomic>
#include <filesystem>
#include <fstream>
#include <thread>

#include "bench/route_report.hpp"
#include "simulate/job_writer.hpp"

namespace {

using namespace swingtie;
using namespace swingtie::simulate;

ScenarioScores run(const Scenario& scenario, std::uint64_t first_seed, int laterals, int threads) {
  ScenarioScores scores{&scenario, std::vector<LateralScore>(static_cast<std::size_t>(laterals))};
  std::atomic<int> next{0};
  const auto work = [&] {
    for (int i = next++; i < laterals; i = next++)
      scores.laterals[static_cast<std::size_t>(i)] =
          score(scenario, first_seed + static_cast<std::uint64_t>(i), solve);
  };
  std::vector<std::thread> pool;
  for (int t = 1; t < threads; ++t) pool.emplace_back(work);
  work();
  for (std::thread& thread : pool) thread.join();
  return scores;
}

void write_jobs(const Scenario& scenario, std::uint64_t first_seed, int laterals, const std::string& folder) {
  std::filesystem::create_directories(folder);
  for (int i = 0; i < laterals; ++i) {
    const std::uint64_t seed = first_seed + static_cast<std::uint64_t>(i);
    std::ofstream(fmt::format("{}/{}-{}.yaml", folder, scenario.name, seed))
        << job_yaml(make_lateral(scenario, seed));
  }
}

}  // namespace

int main(int argc, char** argv) {
  int laterals = 400, threads = 2;
  std::uint64_t seed = 1;
  std::vector<std::string> names;
  std::string jobs;
  bool csv = false, details = false;
  CLI::App app{"Scores the route engine on simulated laterals whose truth is known.", "bench_route"};
  app.add_option("--laterals", laterals, "laterals a scenario")->check(CLI::PositiveNumber)->capture_default_str();
  app.add_option("--seed", seed, "first seed; the laterals take it and those that follow")->capture_default_str();
  app.add_option("--scenario", names, "only these scenarios; may be repeated")->check([](const std::string& name) {
    if (find_scenario(name)) return std::string();
    std::string known;
    for (const Scenario& scenario : scenarios()) known += (known.empty() ? "" : ", ") + scenario.name;
    return "no scenario `" + name + "`; expected one of: " + known;
  });
  app.add_option("--threads", threads, "laterals solved at a time")
      ->check(CLI::PositiveNumber)
      ->capture_default_str();
  app.add_flag("--details", details, "coverage by distance and depth, each kind of mistake, worst seeds");
  app.add_flag("--csv", csv, "one line of comma-separated figures a scenario instead of the table");
  app.add_option("--write-jobs", jobs,
                 "write each lateral's notes to this folder as a job file instead of solving it");
  CLI11_PARSE(app, argc, argv);

  std::vector<ScenarioScores> all;
  for (const Scenario& scenario : scenarios()) {
    if (!names.empty() && std::find(names.begin(), names.end(), scenario.name) == names.end()) continue;
    if (jobs.empty())
      all.push_back(run(scenario, seed, laterals, threads));
    else
      write_jobs(scenario, seed, laterals, jobs);
  }
  if (!jobs.empty()) return 0;
  if (csv) {
    print_csv(stdout, all);
    return 0;
  }
  fmt::print("{} laterals a scenario, seeds {} to {}, {} threads, {}\n\n", laterals, seed,
             seed + static_cast<std::uint64_t>(laterals) - 1, threads,
#ifdef __VERSION__
             "compiler " __VERSION__
#else
             "unknown compiler"
#endif
  );
  print_table(stdout, all);
  print_reliability(stdout, all);
  if (details)
    for (const ScenarioScores& scores : all) print_details(stdout, scores);
}
