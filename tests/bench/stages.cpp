// Prints what each stage of the program takes for one job, inside one process, and how a solve grows with the line.
// usage: bench_stages JOB

#include <fmt/format.h>

#include <algorithm>
#include <ctime>
#include <filesystem>
#include <fstream>
#include <functional>
#include <iterator>
#include <vector>

#include "draw/draw.hpp"
#include "findings/findings.hpp"
#include "job/job.hpp"
#include "measure/length.hpp"
#include "sheet/make_sheets.hpp"
#include "simulate/lateral.hpp"

namespace {

using namespace swingtie;

/// Processor time of the process, so that a busy machine does not make a stage slow.
double processor_ms() {
  timespec now{};
  clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
  return 1e3 * static_cast<double>(now.tv_sec) + 1e-6 * static_cast<double>(now.tv_nsec);
}

/// Median of several runs, milliseconds of processor time.
double median_ms(const std::function<void()>& work, int runs) {
  std::vector<double> times;
  for (int i = 0; i < runs; ++i) {
    const double begin = processor_ms();
    work();
    times.push_back(processor_ms() - begin);
  }
  std::nth_element(times.begin(), times.begin() + runs / 2, times.end());
  return times[static_cast<std::size_t>(runs / 2)];
}

simulate::Scenario long_line(double feet, int locates) {
  simulate::Scenario scenario = *simulate::find_scenario("logged");
  scenario.shortest = scenario.longest = feet * metres_per_foot;
  scenario.most_bends = static_cast<int>(feet / 25);
  scenario.locates = locates;
  scenario.drop_pipe = 0;
  return scenario;
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 2) {
    fmt::print(stderr, "usage: bench_stages JOB\n");
    return 2;
  }
  std::ifstream file(argv[1]);
  const std::string yaml{std::istreambuf_iterator<char>(file), {}};
  const std::string folder = std::filesystem::path(argv[1]).parent_path().string();
  const auto job = read_job(yaml);
  if (!job.value) return 2;
  const auto placed = place(*job.value, folder);
  if (!placed.value) return 2;
  const Posterior posterior = solve(*placed.value);
  const Findings findings = find(*placed.value, posterior);
  const std::vector<Sheet> sheets = make_sheets(*placed.value, findings, {});

  constexpr int runs = 21;
  SolveOptions plain;
  plain.explain = false;
  const auto row = [](const char* name, double ms) { fmt::print("| {:<46} | {:8.2f} |\n", name, ms); };
  fmt::print("| stage, in one process (medians of {})            |   CPU ms |\n|---|---|\n", runs);
  row("read the job", median_ms([&] { read_job(yaml); }, runs));
  row("place it", median_ms([&] { place(*job.value, folder); }, runs));
  row("solve, notes taken at their word", median_ms([&] { solve(*placed.value, plain); }, runs));
  row("solve, with the search for mistakes", median_ms([&] { solve(*placed.value); }, runs));
  row("find", median_ms([&] { find(*placed.value, posterior); }, runs));
  row("lay out the sheet", median_ms([&] { make_sheets(*placed.value, findings, {}); }, runs));
  row("write PDF", median_ms([&] { write_pdf(sheets); }, runs));
  row("write SVG", median_ms([&] { write_svg(sheets.front()); }, runs));
  row("write PNG, 150 dpi", median_ms([&] { write_png(sheets.front(), 150); }, runs));
  for (const auto& [feet, locates] : {std::pair{50, 3}, {100, 5}, {200, 10}, {500, 30}, {1000, 60}}) {
    const simulate::Lateral lateral = simulate::make_lateral(long_line(feet, locates), 7);
    row(fmt::format("solve {} ft with {} locates", feet, locates).c_str(),
        median_ms([&] { solve(lateral.placed); }, 5));
  }
}
