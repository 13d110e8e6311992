#include <algorithm>
#include <catch2/catch.hpp>
#include <filesystem>
#include <nlohmann/json.hpp>

#include "whole/program.hpp"

namespace swingtie {
namespace {

const std::string samples = std::string(SWINGTIE_SOURCE_DIR) + "/samples/";

std::vector<std::string> sample_names() {
  std::vector<std::string> names;
  for (const auto& entry : std::filesystem::directory_iterator(samples)) {
    if (entry.is_directory()) {
      names.push_back(entry.path().filename());
    }
  }
  std::sort(names.begin(), names.end());
  return names;
}

std::string job_of(const std::string& sample) {
  return samples + sample + "/job.yaml";
}

const nlohmann::json& item_seen(const nlohmann::json& solved, const std::string& words) {
  const auto& items = solved.at("items");
  const auto found = std::find_if(items.begin(), items.end(), [&](const nlohmann::json& item) {
    return item.at("what").get<std::string>().find(words) != std::string::npos;
  });
  REQUIRE(found != items.end());
  return *found;
}

}  // namespace

TEST_CASE("every sample but the one with a mistake hangs together") {
  for (const auto& name : sample_names()) {
    const Outcome outcome = run_swingtie({"check", job_of(name)});
    INFO(name << "\n" << outcome.out << outcome.err);
    CHECK(outcome.exit_code == (name == "wrong-hand" ? 1 : 0));
  }
}

TEST_CASE("the solve says how well conditioned it was, and loses no more than half of its digits") {
  for (const auto& name : sample_names()) {
    const nlohmann::json statistics = solve_json(job_of(name)).at("statistics");
    INFO(name << " " << statistics.dump());
    // Readings are good to inches and positions to a house's size before any: the ratio of their squares is far
    // from 1.
    CHECK(statistics.at("condition").get<double>() > 100);
    CHECK(statistics.at("condition").get<double>() < 1e8);
    CHECK(statistics.at("solves").get<int>() >= statistics.at("sets_tried").get<int>());
  }
}

TEST_CASE("every sample is drawn and exported") {
  const ScratchFolder folder;
  for (const auto& name : sample_names()) {
    for (const auto& [file, begins] : std::vector<std::pair<std::string, std::string>>{
             {"x.pdf", "%PDF-1."}, {"x.svg", "<?xml"}, {"x.png", "\x89PNG"}}) {
      const Outcome outcome = run_swingtie({"draw", job_of(name), "-o", folder.path(file)});
      INFO(name << " " << file << "\n" << outcome.err);
      CHECK(outcome.exit_code <= 1);
      CHECK(read_file(folder.path(file)).starts_with(begins));
    }
    for (const std::string file : {"x.gpkg", "x.dxf"}) {
      const Outcome outcome = run_swingtie({"export", job_of(name), "-o", folder.path(file)});
      INFO(name << " " << file << "\n" << outcome.err);
      CHECK(outcome.exit_code <= 1);
    }
    // A lot on a grid of its own has no longitude and latitude.
    const bool on_the_map = name != "wrong-hand";
    const Outcome outcome = run_swingtie({"export", job_of(name), "-o", folder.path("x.geojson")});
    INFO(name << "\n" << outcome.err);
    CHECK(outcome.exit_code == (on_the_map ? 0 : 2));
  }
}

TEST_CASE("drawing a sample twice gives the same bytes") {
  const ScratchFolder folder;
  for (const std::string format : {"pdf", "svg", "png"}) {
    run_swingtie({"draw", job_of("basement-house"), "-o", folder.path("a." + format)});
    run_swingtie({"draw", job_of("basement-house"), "-o", folder.path("b." + format)});
    INFO(format);
    CHECK(read_file(folder.path("a." + format)) == read_file(folder.path("b." + format)));
  }
}

TEST_CASE("the sample with a wrong hand names it, at its line of the job file") {
  const auto solved = solve_json(job_of("wrong-hand"));
  REQUIRE_FALSE(solved.at("explanations").empty());
  const auto& explanation = solved.at("explanations").at(0);
  CHECK(explanation.at("what") == "wrong-hand");
  CHECK(explanation.at("at").get<double>() == Approx(9.0).margin(0.3));
  CHECK(explanation.at("probability").get<double>() > 0.9);

  const std::string job = read_file(job_of("wrong-hand"));
  const auto line = std::count(job.begin(), job.begin() + static_cast<long>(job.find("bend: left 45")), '\n') + 1;
  CHECK(explanation.at("job_line") == line);
  CHECK_THAT(run_swingtie({"check", job_of("wrong-hand")}).out, Catch::Contains("job.yaml:" + std::to_string(line)));
}

TEST_CASE("the sample of doubtful ownership says that it is doubtful") {
  const auto solved = solve_json(job_of("whose-is-it"));
  const double p = item_seen(solved, "crack through the bell").at("private_probability");
  CHECK(p > 0.05);
  CHECK(p < 0.95);
}

// The receiver read 9.1, 9.3 and 10.3 ft on a line that falls with a hillside of nine percent.
TEST_CASE("the depth of a line down a hillside follows the readings") {
  const auto item = item_seen(solve_json(job_of("deep-under-maple")), "roots through the joint");
  CHECK(item.at("depth95").at(0).get<double>() < 9.3);
  CHECK(item.at("depth95").at(1).get<double>() > 9.3);
}

TEST_CASE("a defect well inside the lot is the owner's, and under the street the city's") {
  const auto solved = solve_json(job_of("two-accesses"));
  CHECK(item_seen(solved, "roots fill the bore").at("private_probability").get<double>() > 0.95);
  CHECK(item_seen(solved, "joint open").at("private_probability").get<double>() < 0.05);
}

TEST_CASE("where the owner's part ends at the main, everything on the line is the owner's") {
  const auto solved = solve_json(job_of("row-house"));
  for (const auto& item : solved.at("items")) {
    CHECK(item.at("private_probability").get<double>() > 0.95);
  }
}

TEST_CASE("the parcels of the row-house sample are what their script makes") {
  if (!has_program("ogr2ogr")) {
    WARN("skipped: no ogr2ogr (gdal-bin)");
    return;
  }
  const ScratchFolder folder;
  const std::string script = samples + "row-house/make-parcels";
  REQUIRE(run_command("cp '" + script + "' '" + folder.path("make-parcels") + "' && '" + folder.path("make-parcels") +
                      "'")
              .exit_code == 0);
  const std::string list = "ogrinfo -q -al ";
  CHECK(run_command(list + folder.path("parcels.gpkg")).out ==
        run_command(list + samples + "row-house/parcels.gpkg").out);
}

// The README's example is what a newcomer types first.
TEST_CASE("the job in the README is read, and its readings hang together") {
  const std::string readme = read_file(std::string(SWINGTIE_SOURCE_DIR) + "/README.md");
  const std::string fence = "```yaml\n";
  const auto begins = readme.find(fence);
  REQUIRE(begins != std::string::npos);
  const auto ends = readme.find("```", begins + fence.size());
  const ScratchFolder folder;
  const std::string job =
      folder.write("job.yaml", readme.substr(begins + fence.size(), ends - begins - fence.size()));
  const Outcome outcome = run_swingtie({"check", job});
  INFO(outcome.out << outcome.err);
  CHECK(outcome.exit_code == 0);
}

}  // namespace swingtie
