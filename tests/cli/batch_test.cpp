#include <sys/stat.h>

#include <catch2/catch.hpp>
#include <filesystem>
#include <map>

#include "whole/program.hpp"

using namespace swingtie;
namespace fs = std::filesystem;

namespace {

const std::string job = SWINGTIE_SOURCE_DIR "/tests/cli/jobs/sparrow.yaml";

/// Copies of one job, each under its own name.
void write_jobs(const ScratchFolder& scratch, int count) {
  fs::create_directory(scratch.path("jobs"));
  for (int i = 0; i < count; ++i) fs::copy_file(job, scratch.path("jobs/lot-" + std::to_string(100 + i) + ".yaml"));
}

/// Every file below a folder with its bytes.
std::map<std::string, std::string> contents(const std::string& folder) {
  std::map<std::string, std::string> all;
  for (const auto& entry : fs::recursive_directory_iterator(folder))
    if (entry.is_regular_file()) all[fs::relative(entry.path(), folder).string()] = read_file(entry.path().string());
  return all;
}

const std::string path_to_program = "PATH=\"$(dirname '" SWINGTIE_PROGRAM "'):$PATH\"; export PATH; ";

}  // namespace

TEST_CASE("a job that hangs is ended and told of, and the others are done") {
  const ScratchFolder scratch;
  write_jobs(scratch, 4);
  std::string text = read_file(job);
  const std::size_t entry = text.find("see:");
  REQUIRE(entry != std::string::npos);
  scratch.write("jobs/lot-101.yaml", text.insert(entry, "photo: stuck.jpg, "));
  // A pipe that nobody writes into: reading it never ends.
  REQUIRE(mkfifo(scratch.path("jobs/stuck.jpg").c_str(), 0600) == 0);
  const Outcome outcome = run_swingtie(
      {"batch", scratch.path("jobs"), "-o", scratch.path("out"), "--formats", "geojson", "--timeout", "20"});
  CHECK(outcome.exit_code == 4);
  CHECK(outcome.err.find("it took longer than 20 s") != std::string::npos);
  for (const std::string name : {"lot-100", "lot-102", "lot-103"})
    CHECK(fs::exists(scratch.path("out/" + name + ".geojson")));
  CHECK_FALSE(fs::exists(scratch.path("out/lot-101.geojson")));
  const std::string summary = read_file(scratch.path("out/summary.csv"));
  CHECK(summary.find("lot-101") != std::string::npos);
  CHECK(summary.find("failed") != std::string::npos);
}

TEST_CASE("shards run by GNU parallel leave what one run leaves") {
  if (!has_program("parallel")) {
    WARN("skipped: no GNU parallel");
    return;
  }
  const ScratchFolder scratch;
  write_jobs(scratch, 9);
  const std::string jobs = scratch.path("jobs"), formats = " --formats geojson,svg ";
  const Outcome whole =
      run_command("'" SWINGTIE_PROGRAM "' batch '" + jobs + "' -o '" + scratch.path("whole") + "'" + formats);
  REQUIRE(whole.exit_code <= 1);
  const Outcome sharded = run_command("parallel -j3 \"'" SWINGTIE_PROGRAM "' batch '" + jobs + "' -o '" +
                                      scratch.path("shards") + "'" + formats + "--jobs 1 --shard {}/4\" ::: 1 2 3 4");
  INFO(sharded.err);
  CHECK(contents(scratch.path("whole")) == contents(scratch.path("shards")));
}

TEST_CASE("the script for a Slurm array leaves what one run leaves") {
  const ScratchFolder scratch;
  write_jobs(scratch, 5);
  const std::string jobs = scratch.path("jobs"), script = SWINGTIE_SOURCE_DIR "/samples/plans.sbatch";
  REQUIRE(run_swingtie({"batch", jobs, "-o", scratch.path("whole")}).exit_code <= 1);
  const std::string arguments = " '" + script + "' '" + jobs + "' '" + scratch.path("array") + "'";
  if (run_command("sinfo -h -o %a | grep -q up").exit_code == 0) {
    REQUIRE(run_command(path_to_program + "sbatch --wait --array=1-3 --output='" + scratch.path("task-%a.txt") + "'" +
                        arguments)
                .exit_code <= 1);
  } else {
    WARN("no Slurm cluster here: the script is run with the variables that Slurm would set");
    for (const std::string task : {"1", "2", "3"})
      run_command(path_to_program + "SLURM_ARRAY_TASK_COUNT=3 SLURM_ARRAY_TASK_ID=" + task + arguments);
  }
  CHECK(contents(scratch.path("whole")) == contents(scratch.path("array")));
}

TEST_CASE("a line of JSON per job comes out in the order of the jobs, one object a line") {
  const ScratchFolder scratch;
  write_jobs(scratch, 6);
  scratch.write("jobs/lot-102.yaml", "swingtie: 1\n");
  const Outcome outcome =
      run_swingtie({"batch", scratch.path("jobs"), "-o", scratch.path("out"), "--json", "--formats", "geojson"});
  CHECK(outcome.exit_code == 2);
  std::size_t at = 0;
  for (int i = 0; i < 6; ++i) {
    const std::string begins = "{\"job\":\"lot-" + std::to_string(100 + i) + "\"";
    CHECK(outcome.out.compare(at, begins.size(), begins) == 0);
    at = outcome.out.find('\n', at) + 1;
  }
  CHECK(at == outcome.out.size());
}
