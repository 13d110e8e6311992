#include <algorithm>
#include <catch2/catch.hpp>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <vector>

#include "whole/program.hpp"

// Whole runs of the program, kept as a person would see them: tests/cli/runs/NAME.txt holds commands after `$ ` and,
// below each, what it printed on standard output, what on standard error (after `! `), and how it ended when that is
// not 0. The commands of one file run in a scratch folder that holds the job files of tests/cli/jobs.
// To accept what is printed now: SWINGTIE_ACCEPT=1 build/release/bin/test_cli "whole runs*", then read the
// difference.

using namespace swingtie;
namespace fs = std::filesystem;

namespace {

const std::string folder = SWINGTIE_SOURCE_DIR "/tests/cli/";

std::vector<std::string> commands_of(const std::string& record) {
  std::vector<std::string> commands;
  for (std::size_t at = 0; at < record.size();) {
    const std::size_t end = std::min(record.find('\n', at), record.size());
    if (record.compare(at, 2, "$ ") == 0) commands.push_back(record.substr(at + 2, end - at - 2));
    at = end + 1;
  }
  return commands;
}

std::string marked(const std::string& text, const std::string& mark) {
  std::string all;
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t end = std::min(text.find('\n', at), text.size());
    const std::string line = text.substr(at, end - at);
    all += (line.empty() && mark == "! " ? "!" : mark + line) + "\n";
    at = end + 1;
  }
  return all;
}

/// Runs every command and writes down what a person would see.
std::string played(const std::string& record) {
  const ScratchFolder scratch;
  fs::copy(folder + "jobs", scratch.path("jobs"), fs::copy_options::recursive);
  const std::string program_folder = fs::path(SWINGTIE_PROGRAM).parent_path().string();
  std::string seen;
  for (const std::string& command : commands_of(record)) {
    const Outcome outcome = run_command("cd '" + scratch.path("jobs") + "' && PATH='" + program_folder +
                                        "':$PATH TERM=dumb bash -c '" + command + "'");
    seen += "$ " + command + "\n" + marked(outcome.out, "") + marked(outcome.err, "! ");
    if (outcome.exit_code != 0) seen += "= " + std::to_string(outcome.exit_code) + "\n";
  }
  return seen;
}

}  // namespace

TEST_CASE("whole runs print and end as they are kept") {
  std::vector<fs::path> records;
  for (const auto& entry : fs::directory_iterator(folder + "runs")) records.push_back(entry.path());
  std::sort(records.begin(), records.end());
  REQUIRE(records.size() >= 8);
  for (const fs::path& path : records) {
    INFO(path.filename().string());
    const std::string kept = read_file(path.string());
    const std::string seen = played(kept);
    if (std::getenv("SWINGTIE_ACCEPT")) std::ofstream(path, std::ios::binary) << seen;
    CHECK(seen == kept);
  }
}

TEST_CASE("check shows for every wrong job what its own test keeps, and ends with 2") {
  const fs::path wrong = SWINGTIE_SOURCE_DIR "/tests/job/wrong";
  std::size_t seen = 0;
  for (const auto& entry : fs::directory_iterator(wrong)) {
    const fs::path& path = entry.path();
    fs::path kept = path;
    kept.replace_extension(".txt");
    if (path.extension() != ".yaml" || !fs::exists(kept)) continue;
    INFO(path.filename().string());
    const Outcome outcome =
        run_command("cd '" + wrong.string() + "' && '" SWINGTIE_PROGRAM "' check '" + path.filename().string() + "'");
    CHECK(outcome.exit_code == 2);
    CHECK(outcome.out.empty());
    CHECK(outcome.err == read_file(kept.string()));
    ++seen;
  }
  CHECK(seen >= 45);
}

TEST_CASE("the short help of the program and of every command fits a screen of 80 by 24") {
  std::vector<std::vector<std::string>> pages{{"-h"}};
  for (const char* command :
       {"new", "check", "draw", "export", "solve", "tell", "compare", "batch", "schema", "completions"})
    pages.push_back({command, "-h"});
  for (const auto& page : pages) {
    INFO(page.front());
    const Outcome outcome = run_swingtie(page);
    CHECK(outcome.exit_code == 0);
    CHECK(outcome.err.empty());
    CHECK(std::count(outcome.out.begin(), outcome.out.end(), '\n') <= 24);
    for (std::size_t at = 0; at < outcome.out.size();) {
      const std::size_t end = outcome.out.find('\n', at);
      const std::string line = outcome.out.substr(at, end - at);
      const auto points = std::count_if(line.begin(), line.end(),
                                        [](char c) { return (static_cast<unsigned char>(c) & 0xC0) != 0x80; });
      INFO(line);
      CHECK(points <= 80);
      at = end + 1;
    }
  }
}

TEST_CASE("flags may stand before, between and after what they belong to") {
  const ScratchFolder scratch;
  const std::string job = SWINGTIE_SOURCE_DIR "/tests/cli/jobs/sparrow.yaml", plan = scratch.path("plan.geojson");
  const std::vector<std::string> orders[] = {{"export", "-o", plan, job},
                                             {"export", job, "-o", plan},
                                             {"export", "--output=" + plan, job},
                                             {"export", "-o", plan, "--", job}};
  for (const auto& words : orders) {
    const Outcome outcome = run_swingtie(words);
    INFO(outcome.err);
    CHECK(outcome.exit_code == 0);
  }
  CHECK(run_swingtie({"export", "-o", plan, "-o", plan, job}).err.find("`--output` is given 2 times") !=
        std::string::npos);
}

TEST_CASE("the version says how the program was built") {
  const Outcome outcome = run_swingtie({"--version"});
  CHECK(outcome.exit_code == 0);
  CHECK(outcome.out.starts_with("swingtie "));
  CHECK(outcome.out.find("\nbuilt by ") != std::string::npos);
}

TEST_CASE("completions are accepted by their shells") {
  for (const std::string shell : {"bash", "zsh", "fish"}) {
    const Outcome script = run_swingtie({"completions", shell});
    CHECK(script.exit_code == 0);
    if (!has_program(shell)) {
      WARN("skipped: no " << shell << " to try its completions");
      continue;
    }
    const ScratchFolder scratch;
    const std::string path = scratch.write("script", script.out);
    CHECK(run_command(shell + " -n '" + path + "'").exit_code == 0);
  }
}

TEST_CASE("bash completes commands, flags and values") {
  const ScratchFolder scratch;
  const std::string script = scratch.write("script", run_swingtie({"completions", "bash"}).out);
  const auto completed = [&](const std::string& words, int at) {
    return run_command("bash -c 'source \"" + script + "\"; COMP_WORDS=(" + words +
                       "); COMP_CWORD=" + std::to_string(at) + "; _swingtie; printf \"%s\\n\" \"${COMPREPLY[@]}\"'")
        .out;
  };
  CHECK(completed("swingtie dr", 1) == "draw\n");
  CHECK(completed("swingtie draw --she", 2) == "--sheet\n");
  CHECK(completed("swingtie draw --sheet b", 3) == "boundary\n");
}

TEST_CASE("the manual page is clean roff") {
  if (!has_program("man")) {
    WARN("skipped: no man to read the manual page");
    return;
  }
  const ScratchFolder scratch;
  const std::string page = scratch.write("swingtie.1", run_swingtie({"manual"}).out);
  const Outcome shown = run_command("MANWIDTH=80 man --warnings -l '" + page + "'");
  CHECK(shown.exit_code == 0);
  CHECK(shown.err.empty());
  CHECK(shown.out.find("--sheet KIND") != std::string::npos);
}
