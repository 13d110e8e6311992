#pragma once

#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <optional>
#include <sstream>
#include <string>
#include <vector>

#include "job/job.hpp"
#include "place/placed.hpp"

namespace swingtie::job_text {

struct Answer {
  std::optional<Placed> placed;
  std::vector<Diagnostic> diagnostics;
  std::string shown;  ///< all diagnostics as a person reads them
};

/// Reads and places a job; the text must read without errors.
inline Answer placed(const std::string& text, const std::string& folder = ".") {
  const auto job = read_job(text);
  INFO(render_all(job.diagnostics, "job.yaml", text, false));
  REQUIRE(job.value);
  auto result = place(*job.value, folder);
  return {std::move(result.value), result.diagnostics, render_all(result.diagnostics, "job.yaml", text, false)};
}

/// A job of these features whose one run starts at `position`.
inline std::string job_of(const std::string& features, const std::string& position = "[0, 0]",
                          const std::string& site = "units: ft") {
  return "swingtie: 1\nsite: {name: Test, " + site + "}\nfeatures:\n" + features +
         "runs:\n  - id: R1\n    from: {at: " + position +
         ", what: clean-out, drop: 4}\n    log: [{at: 0, pipe: 4 in clay}]\n";
}

inline const Feature& feature(const Answer& answer, std::string_view id) {
  INFO(answer.shown);
  REQUIRE(answer.placed);
  const Feature* found = find_feature(*answer.placed, id);
  REQUIRE(found != nullptr);
  return *found;
}

inline std::string contents(const std::filesystem::path& path) {
  std::ifstream file(path, std::ios::binary);
  std::stringstream text;
  text << file.rdbuf();
  return text.str();
}

}  // namespace swingtie::job_text
