#include <algorithm>
#include <catch2/catch.hpp>
#include <cstdlib>
#include <filesystem>
#include <fstream>

#include "job/job.hpp"
#include "place/job_text.hpp"

using namespace swingtie;
using job_text::contents;
namespace fs = std::filesystem;

namespace {

std::vector<fs::path> wrong_jobs() {
  std::vector<fs::path> paths;
  for (const auto& entry : fs::directory_iterator(std::string(SWINGTIE_SOURCE_DIR) + "/tests/job/wrong")) {
    const std::string name = entry.path().filename().string();
    if (name.rfind("place-", 0) == 0 && entry.path().extension() == ".yaml") paths.push_back(entry.path());
  }
  std::sort(paths.begin(), paths.end());
  return paths;
}

}  // namespace

// Each tests/job/wrong/place-*.yaml reads well and has one thing wrong that only shows when positions are worked out;
// beside it stands the whole text that a person is shown. To accept new texts after a look at them, run this test
// with SWINGTIE_ACCEPT=1.
TEST_CASE("every job that cannot be placed says why and what to do") {
  const auto paths = wrong_jobs();
  REQUIRE(paths.size() > 40);
  for (const fs::path& path : paths) {
    INFO(path.filename().string());
    const std::string text = contents(path);
    const auto job = read_job(text);
    INFO(render_all(job.diagnostics, path.filename().string(), text, false));
    CHECK(job.value);
    if (!job.value) continue;
    const auto placed = place(*job.value, path.parent_path().string());
    const std::string shown = render_all(placed.diagnostics, path.filename().string(), text, false);
    fs::path beside = path;
    beside.replace_extension(".txt");
    if (std::getenv("SWINGTIE_ACCEPT") != nullptr) std::ofstream(beside) << shown;
    CHECK(shown == contents(beside));
    CHECK(placed.value.has_value() ==
          std::none_of(placed.diagnostics.begin(), placed.diagnostics.end(),
                       [](const Diagnostic& d) { return d.severity == Severity::error; }));
    CHECK(!placed.diagnostics.empty());
  }
}
