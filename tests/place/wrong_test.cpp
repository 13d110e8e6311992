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

std::vector<fs::path> jobs_in(const std::string& folder, const std::string& prefix) {
  std::vector<fs::path> paths;
  for (const auto& entry : fs::directory_iterator(std::string(SWINGTIE_SOURCE_DIR) + folder)) {
    const std::string name = entry.path().filename().string();
    if (name.rfind(prefix, 0) == 0 && entry.path().extension() == ".yaml") paths.push_back(entry.path());
  }
  std::sort(paths.begin(), paths.end());
  return paths;
}

/// What place has to say of a job, compared with the text beside it. To accept new texts after a look at them, run
/// the tests with SWINGTIE_ACCEPT=1.
void check_words(const fs::path& path, bool is_placed) {
  INFO(path.filename().string());
  const std::string text = contents(path);
  const auto job = read_job(text);
  INFO(render_all(job.diagnostics, path.filename().string(), text, false));
  CHECK(job.value);
  if (!job.value) return;
  const auto placed = place(*job.value, path.parent_path().string());
  const std::string shown = render_all(placed.diagnostics, path.filename().string(), text, false);
  fs::path beside = path;
  beside.replace_extension(".txt");
  if (std::getenv("SWINGTIE_ACCEPT") != nullptr) std::ofstream(beside) << shown;
  CHECK(shown == contents(beside));
  CHECK(placed.value.has_value() == is_placed);
  CHECK(!placed.diagnostics.empty());
}

}  // namespace

// Each tests/job/wrong/place-*.yaml reads well and has one thing wrong that only shows when positions are worked out;
// beside it stands the whole text that a person is shown.
TEST_CASE("every job that cannot be placed says why and what to do") {
  const auto paths = jobs_in("/tests/job/wrong", "place-");
  REQUIRE(paths.size() > 40);
  for (const fs::path& path : paths) check_words(path, false);
}

TEST_CASE("every job whose readings are doubtful is placed with a warning") {
  const auto paths = jobs_in("/tests/place/doubtful", "");
  REQUIRE(paths.size() >= 2);
  for (const fs::path& path : paths) check_words(path, true);
}
