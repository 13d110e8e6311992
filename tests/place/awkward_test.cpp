// Geodata as it comes: tests/place/awkward holds a job for each way in which a file can be odd, and beside it the
// whole text that a person is shown, with what became of the feature. To accept new texts after a look at them, run
// the tests with SWINGTIE_ACCEPT=1.

#include <fmt/format.h>

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

/// `an area of 700.3 m², 1 part, 1 hole, 4 corners`
std::string shape_in_words(const Feature& f) {
  std::size_t holes = 0;
  for (const AreaPart& part : f.areas) holes += part.holes.size();
  std::string text;
  switch (f.shape) {
    case GeometryKind::point:
      text = fmt::format("a point at {:.2f}, {:.2f}", f.point.e, f.point.n);
      break;
    case GeometryKind::line:
      text = fmt::format("a line, parts: {}, corners: {}", f.lines.size(), f.corners.size());
      break;
    case GeometryKind::area:
      text = fmt::format("an area of {:.1f} m², parts: {}, holes: {}, corners: {}", f.area, f.areas.size(), holes,
                         f.corners.size());
  }
  if (f.label != f.id) text += fmt::format(", label {}", f.label);
  if (f.trunk) text += fmt::format(", trunk {:.3f} m", *f.trunk);
  return text;
}

}  // namespace

TEST_CASE("every awkward file is taken as it should be, or refused with a clear word") {
  const fs::path folder = fs::path(SWINGTIE_SOURCE_DIR) / "tests/place/awkward";
  std::vector<fs::path> paths;
  for (const auto& entry : fs::directory_iterator(folder))
    if (entry.path().extension() == ".yaml") paths.push_back(entry.path());
  std::sort(paths.begin(), paths.end());
  REQUIRE(paths.size() >= 60);
  for (const fs::path& path : paths) {
    INFO(path.filename().string());
    const std::string text = contents(path);
    const auto job = read_job(text);
    REQUIRE(job.value);
    const auto placed = place(*job.value, folder.string());
    std::string shown = render_all(placed.diagnostics, path.filename().string(), text, false);
    if (placed.value)
      shown += fmt::format("`f` is {}\n", shape_in_words(*find_feature(*placed.value, "f")));
    else
      CHECK(!placed.diagnostics.empty());
    fs::path beside = path;
    beside.replace_extension(".txt");
    if (std::getenv("SWINGTIE_ACCEPT") != nullptr) std::ofstream(beside) << shown;
    CHECK(shown == contents(beside));
  }
}
