#include <algorithm>
#include <catch2/catch.hpp>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <sstream>

#include "job/job.hpp"

// Each file of tests/job/wrong has one thing wrong, named by its file name, and beside it the whole text that a
// person is shown. Files whose names begin with place- are right for the reader and wrong for the next stage, whose
// tests read them. To accept what is printed now, run this binary with SWINGTIE_ACCEPT=1 and read the difference.

using namespace swingtie;
namespace fs = std::filesystem;

namespace {

std::string contents(const fs::path& path) {
  std::ifstream in(path, std::ios::binary);
  std::stringstream text;
  text << in.rdbuf();
  return text.str();
}

std::vector<fs::path> wrong_jobs() {
  std::vector<fs::path> paths;
  for (const auto& entry : fs::directory_iterator(std::string(SWINGTIE_SOURCE_DIR) + "/tests/job/wrong")) {
    const fs::path& path = entry.path();
    if (path.extension() == ".yaml" && path.filename().string().rfind("place-", 0) != 0) paths.push_back(path);
  }
  std::sort(paths.begin(), paths.end());
  return paths;
}

}  // namespace

TEST_CASE("every wrong job says where it is wrong and what to do") {
  const auto paths = wrong_jobs();
  REQUIRE(paths.size() >= 45);
  const bool accept = std::getenv("SWINGTIE_ACCEPT") != nullptr;
  for (const fs::path& path : paths) {
    INFO(path.filename().string());
    const std::string yaml = contents(path);
    const auto checked = read_job(yaml);
    CHECK_FALSE(checked.value);
    const std::string shown = render_all(checked.diagnostics, path.filename().string(), yaml, false);
    fs::path expected = path;
    expected.replace_extension(".txt");
    if (accept) std::ofstream(expected, std::ios::binary) << shown;
    CHECK(shown == contents(expected));
  }
}

TEST_CASE("a file that is too large is refused before it is parsed") {
  const auto checked = read_job(std::string(3'000'000, 'x'));
  REQUIRE(checked.diagnostics.size() == 1);
  CHECK(checked.diagnostics[0].message == "the file has 3 MB; a job file has at most 1 MB");
}

TEST_CASE("a file of nothing but mistakes is cut short, and says so") {
  std::string yaml = "swingtie: 1\nsite: {units: ft}\nruns: [{id: R1, from: {at: [0, 0]}}]\nfeatures: [";
  for (int i = 0; i < 20000; ++i) yaml += "\"x\", ";
  const auto checked = read_job(yaml + "]\n");
  REQUIRE(checked.diagnostics.size() == 201);
  CHECK(checked.diagnostics.back().message == "19800 more mistakes like these");
  CHECK(render_all(checked.diagnostics, "job.yaml", yaml, false).size() < 200'000);
}
