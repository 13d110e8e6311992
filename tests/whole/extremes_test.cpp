#include <fmt/format.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <nlohmann/json.hpp>

#include "whole/program.hpp"

// Extreme but legal: the answer stays finite, holds the truth and says how little is known. The lines run straight
// south from a house at the origin, so the truth is known without the program.

namespace swingtie {
namespace {

struct Straight {
  double length = 60;  // ft, from the clean-out to the end
  std::string pipe = "4 in clay";
  int locates = 3;
  double north = 0;  // of the site's origin
};

std::string job_text(const Straight& line) {
  std::string text = fmt::format(
      "swingtie: 1\nsite: {{name: straight, units: ft}}\nfeatures:\n"
      "  - {{id: curb, kind: curb, line: [[-50, {0:.1f}], [50, {0:.1f}]]}}\n"
      "runs:\n  - id: R1\n    from: {{at: [0, {1:.1f}], what: clean-out, drop: 3, within: 0.3}}\n    bends: all\n"
      "    log:\n      - {{at: 0, pipe: {2}}}\n      - {{at: {3:g}, see: root}}\n      - {{at: {4:g}, end: city "
      "main}}\n",
      line.north - 0.8 * line.length, line.north, line.pipe, line.length / 2, line.length);
  if (line.locates > 0) text += "    locates:\n";
  for (int i = 1; i <= line.locates; ++i) {
    const double at = line.length * i / (line.locates + 1);
    // Errors of a foot and less, to both sides in turn.
    text += fmt::format("      - {{at: {:.4f}, position: {{at: [{:.3f}, {:.4f}], within: 1.5}}, depth: 3}}\n", at,
                        0.4 * ((i % 5) - 2), line.north - at);
  }
  return text;
}

nlohmann::json solved(const std::string& text) {
  const ScratchFolder folder;
  return solve_json(folder.write("job.yaml", text));
}

void check_numbers(const nlohmann::json& value, const std::string& path) {
  if (value.is_number_float()) {
    INFO(path);
    CHECK(std::isfinite(value.get<double>()));
  }
  if (value.is_structured())
    for (const auto& [key, inner] : value.items()) check_numbers(inner, path + "/" + key);
}

const nlohmann::json& root(const nlohmann::json& answer) {
  const auto& items = answer.at("items");
  return *std::find_if(items.begin(), items.end(), [](const auto& item) { return item.at("what") == "root"; });
}

/// Half the longer axis of the last station's 95 % ellipse, ft.
double doubt_at_end(const nlohmann::json& answer) {
  return answer.at("lines").at(0).at("stations").back().at("ellipse95").at("major");
}

void check_truth(const nlohmann::json& answer, const Straight& line, double allowed) {
  check_numbers(answer, "");
  CHECK(std::abs(root(answer).at("e").get<double>()) < allowed);
  CHECK(std::abs(root(answer).at("n").get<double>() - (line.north - line.length / 2)) < allowed);
}

}  // namespace

TEST_CASE("a three-inch lateral of two feet is solved, drawn and exported") {
  const Straight line{.length = 2, .pipe = "3 in pvc", .locates = 1};
  check_truth(solved(job_text(line)), line, 0.8);
  const ScratchFolder folder;
  const std::string job = folder.write("job.yaml", job_text(line));
  CHECK(run_swingtie({"draw", job, "-o", folder.path("x.pdf"), "--sheet", "full"}).exit_code <= 1);
  CHECK(run_swingtie({"export", job, "-o", folder.path("x.dxf")}).exit_code <= 1);
}

TEST_CASE("a line of two thousand feet holds the truth between its locates") {
  const Straight line{.length = 2000, .locates = 20};
  check_truth(solved(job_text(line)), line, 6);
}

TEST_CASE("five hundred locates on one line are all used") {
  const Straight line{.length = 110, .locates = 500};
  const nlohmann::json many = solved(job_text(line));
  check_truth(many, line, 0.3);
  CHECK(doubt_at_end(many) < doubt_at_end(solved(job_text({.length = 110, .locates = 5}))));
}

TEST_CASE("without a locate the line is a straight guess and says how little it knows") {
  const Straight line{.locates = 0};
  const nlohmann::json blind = solved(job_text(line));
  check_numbers(blind, "");
  const double doubt = doubt_at_end(blind);
  CHECK(doubt > 3 * doubt_at_end(solved(job_text({}))));
  // Wherever the end is, it lies within the cable's reach of the clean-out.
  const auto& end = blind.at("lines").at(0).at("stations").back();
  CHECK(std::hypot(end.at("e").get<double>(), end.at("n").get<double>()) < 62);
}

TEST_CASE("six thousand kilometres from the grid's origin the same line is as good as at it") {
  const Straight near, far{.north = 19685000};  // ft
  const nlohmann::json here = solved(job_text(near)), there = solved(job_text(far));
  check_truth(there, far, 1);
  CHECK(root(there).at("n").get<double>() - far.north == Approx(root(here).at("n").get<double>()).margin(0.01));
  CHECK(doubt_at_end(there) == Approx(doubt_at_end(here)).margin(0.01));
}

}  // namespace swingtie
