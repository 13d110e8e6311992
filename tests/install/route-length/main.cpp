#include <filesystem>
#include <fstream>
#include <iostream>
#include <iterator>

#include "findings/findings.hpp"
#include "job/job.hpp"
#include "measure/diagnostic.hpp"
#include "measure/length.hpp"
#include "place/placed.hpp"
#include "route/posterior.hpp"

// Prints how long each line of a job is and where it crosses the right-of-way. Every stage is a function of the one
// before.
int main(int argc, char** argv) {
  using namespace swingtie;
  if (argc != 2) {
    std::cerr << "usage: route-length JOB.yaml\n";
    return 2;
  }
  const std::filesystem::path path(argv[1]);
  std::ifstream file(path);
  const std::string text{std::istreambuf_iterator<char>(file), {}};

  const Checked<Job> job = read_job(text);
  if (!job.value) {
    std::cerr << render_all(job.diagnostics, path.string(), text, false);
    return 2;
  }
  const Checked<Placed> placed = place(*job.value, path.has_parent_path() ? path.parent_path().string() : ".");
  if (!placed.value) {
    std::cerr << render_all(placed.diagnostics, path.string(), text, false);
    return 2;
  }
  const Findings findings = find(*placed.value, solve(*placed.value));

  const auto in_unit = [&](double metres) { return format_length(metres, placed.value->unit, LengthStyle::decimal); };
  for (const LineFinding& line : findings.lines)
    std::cout << line.id << ": " << in_unit(line.length) << " long, from " << in_unit(line.length95.low) << " to "
              << in_unit(line.length95.high) << " with 95 %\n";
  for (const Crossing& crossing : findings.crossings) std::cout << crossing.says << "\n";
}
