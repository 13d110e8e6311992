#include <fcntl.h>
#include <signal.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <catch2/catch.hpp>
#include <chrono>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <random>

#include "whole/program.hpp"

// The machine fails in the middle of a run: there is the old file or the new one, never half of one; the message says
// what failed; the exit code is 3 when it could not write.

using namespace swingtie;
namespace fs = std::filesystem;

namespace {

const std::string job = SWINGTIE_SOURCE_DIR "/tests/cli/jobs/sparrow.yaml";

Outcome shell(const std::string& command) {
  return run_command("SWINGTIE='" SWINGTIE_PROGRAM "'; JOB='" + job + "'; " + command);
}

/// Starts the program; nothing of it is shown.
pid_t started(const std::vector<std::string>& arguments) {
  const pid_t process = fork();
  REQUIRE(process >= 0);
  if (process == 0) {
    const int nowhere = open("/dev/null", O_RDWR);
    for (const int stream : {0, 1, 2}) dup2(nowhere, stream);
    std::vector<char*> words{const_cast<char*>(SWINGTIE_PROGRAM)};
    for (const std::string& argument : arguments) words.push_back(const_cast<char*>(argument.c_str()));
    words.push_back(nullptr);
    execv(SWINGTIE_PROGRAM, words.data());
    _exit(127);
  }
  return process;
}

int ended(pid_t process) {
  int status = 0;
  waitpid(process, &status, 0);
  return status;
}

/// The samples: one on a national grid, with a parcel file, and one on a grid of its own, tied to the Earth by an
/// anchor.
const std::string on_a_grid = SWINGTIE_SOURCE_DIR "/samples/row-house/job.yaml";
const std::string anchored = SWINGTIE_SOURCE_DIR "/samples/basement-house/job.yaml";

/// What a command leaves: its exit code, what it said and the file it was to write, all in one.
std::string traces(const std::string& settings, const std::string& arguments, const std::string& file) {
  std::error_code ignored;
  fs::remove(file, ignored);
  const Outcome outcome = shell(settings + " \"$SWINGTIE\" " + arguments);
  return std::to_string(outcome.exit_code) + "\n" + outcome.out + outcome.err +
         (fs::exists(file) ? read_file(file) : std::string("no file"));
}

std::vector<std::string> files_in(const std::string& folder) {
  std::vector<std::string> names;
  for (const auto& entry : fs::recursive_directory_iterator(folder))
    names.push_back(entry.path().filename().string());
  return names;
}

}  // namespace

TEST_CASE("a file that would be too large leaves the old one as it was") {
  const ScratchFolder scratch;
  const std::string plan = scratch.write("plan.geojson", "old\n");
  const Outcome outcome = shell("ulimit -f 2; \"$SWINGTIE\" export \"$JOB\" -o '" + plan + "'");
  CHECK(outcome.exit_code == 3);
  CHECK(outcome.err.find("the file would be larger than the limit allows") != std::string::npos);
  CHECK(read_file(plan) == "old\n");
  CHECK(files_in(scratch.path("")) == std::vector<std::string>{"plan.geojson"});
}

TEST_CASE("a full disk leaves the old file as it was") {
  const ScratchFolder scratch;
  fs::create_directory(scratch.path("disk"));
  if (run_command("mount -t tmpfs -o size=16k none '" + scratch.path("disk") + "'").exit_code != 0) {
    WARN("skipped: no right to mount a small disk");
    return;
  }
  const std::string plan = scratch.write("disk/plan.geojson", "old\n");
  const Outcome outcome = shell("\"$SWINGTIE\" export \"$JOB\" -o '" + plan + "'");
  const std::string left = read_file(plan);
  const auto files = files_in(scratch.path("disk"));
  run_command("umount '" + scratch.path("disk") + "'");
  CHECK(outcome.exit_code == 3);
  CHECK(outcome.err.find("the disk is full") != std::string::npos);
  CHECK(left == "old\n");
  CHECK(files == std::vector<std::string>{"plan.geojson"});
}

TEST_CASE("standard output on a full disk is an error") {
  if (!fs::exists("/dev/full")) {
    WARN("skipped: no /dev/full");
    return;
  }
  const Outcome outcome = shell("\"$SWINGTIE\" solve \"$JOB\" >/dev/full");
  CHECK(outcome.exit_code == 3);
  CHECK(outcome.err == "error: cannot write `standard output`: the disk is full\n");
}

TEST_CASE("a closed pipe is not an error") {
  for (const std::string command :
       {"solve --json", "tell", "draw -o - --as pdf", "export -o - --as geojson", "schema"}) {
    const Outcome outcome =
        shell("bash -c '\"$0\" " + command + " \"${@}\" | true; echo ${PIPESTATUS[0]}' \"$SWINGTIE\"" +
              (command == "schema" ? "" : " \"$JOB\""));
    INFO(command);
    CHECK(outcome.out == "0\n");
    CHECK(outcome.err.empty());
  }
}

TEST_CASE("a closed standard output is an error and no file of the job is written instead") {
  const Outcome outcome = shell("\"$SWINGTIE\" solve \"$JOB\" >&-");
  CHECK(outcome.exit_code == 3);
}

TEST_CASE("a read-only folder and a read-only file are said to be so") {
  if (geteuid() == 0 && run_command("command -v setpriv").exit_code != 0) {
    WARN("skipped: root may write anywhere, and there is no setpriv to take that away");
    return;
  }
  const ScratchFolder scratch;
  const std::string folder = scratch.path("locked");
  fs::create_directory(folder);
  fs::permissions(folder, fs::perms::owner_read | fs::perms::owner_exec | fs::perms::others_read |
                              fs::perms::others_exec | fs::perms::group_read | fs::perms::group_exec);
  // Not as somebody else, who could not reach a program built in root's own folder.
  const std::string bound = geteuid() == 0 ? "setpriv --bounding-set=-dac_override --inh-caps=-dac_override " : "";
  const Outcome outcome = shell(bound + "\"$SWINGTIE\" export '" + job + "' -o '" + folder + "/plan.geojson'");
  CHECK(outcome.exit_code == 3);
  CHECK(outcome.err == "error: cannot write `" + folder + "/plan.geojson`: no permission to write there\n");
  fs::permissions(folder, fs::perms::owner_all);
}

TEST_CASE("without the list of coordinate systems it says what to install, and guesses nothing") {
  const ScratchFolder scratch;
  fs::create_directory(scratch.path("empty"));
  fs::create_directory(scratch.path("damaged"));
  scratch.write("damaged/proj.db", "no database");
  const std::string out = scratch.path("lateral.");
  for (const std::string folder : {"empty", "damaged"}) {
    for (const std::string name : {"PROJ_DATA", "PROJ_LIB"}) {
      const std::string setting = name + "='" + scratch.path(folder) + "' ";
      // A job on a national grid cannot be read; its file is not to blame.
      const std::vector<std::string> commands{"check", "solve --json", "draw -o '" + out + "pdf'",
                                              "export -o '" + out + "gpkg'"};
      for (const std::string& command : commands) {
        const Outcome outcome = shell(setting + "\"$SWINGTIE\" " + command + " '" + on_a_grid + "'");
        INFO(setting << command << "\n" << outcome.err);
        CHECK(outcome.exit_code == 4);
        CHECK(outcome.out.empty());
        CHECK(outcome.err.find("error: the list of coordinate systems, proj.db, cannot be used") == 0);
        CHECK(outcome.err.find("`" + scratch.path(folder) + "`") != std::string::npos);
        CHECK(outcome.err.find("install the package proj-data") != std::string::npos);
      }
    }
    // Nor can a file in longitude and latitude be written by GDAL for one on a grid of its own …
    const std::string setting = "PROJ_DATA='" + scratch.path(folder) + "' ";
    for (const std::string format : {"gpkg", "kml", "fgb", "shp.zip"}) {
      const Outcome outcome = shell(setting + "\"$SWINGTIE\" export '" + anchored + "' -o '" + out + format + "'");
      INFO(format << "\n" << outcome.err);
      CHECK(outcome.exit_code == 4);
      CHECK(outcome.err.find("proj.db, cannot be used") != std::string::npos);
    }
    CHECK(files_in(scratch.path("")).size() == 3);
    // … while all that needs no list of systems comes out to the byte as it does with one.
    for (const std::string format : {"geojson", "csv", "dxf", "pdf", "svg"}) {
      const std::string file = out + format;
      const std::string arguments = std::string(format == "pdf" || format == "svg" ? "draw" : "export") + " '" +
                                    anchored + "' -o '" + file + "'";
      const std::string with = traces("", arguments, file);
      CHECK(with == traces(setting, arguments, file));
      CHECK(with.find("0\n") == 0);
      fs::remove(file);
    }
  }
}

TEST_CASE("without the list of coordinate systems a map in degrees is not taken for one in feet") {
  const ScratchFolder scratch;
  fs::create_directory(scratch.path("empty"));
  // A parcel of the sample with the anchor, in longitude and latitude. FlatGeobuf names its system by number alone.
  scratch.write(
      "parcel.geojson",
      R"({"type":"Feature","properties":{},"geometry":{"type":"Polygon","coordinates":[[[-83.04619,40.87313],
                [-83.04610,40.87345],[-83.04589,40.87342],[-83.04598,40.87310],[-83.04619,40.87313]]]}})");
  if (!has_program("ogr2ogr")) {
    WARN("skipped: no ogr2ogr to make a FlatGeobuf file");
    return;
  }
  REQUIRE(run_command("ogr2ogr -f FlatGeobuf '" + scratch.path("parcel.fgb") + "' '" +
                      scratch.path("parcel.geojson") + "'")
              .exit_code == 0);
  for (const std::string name : {"parcel.fgb", "parcel.geojson"}) {
    std::string text = read_file(anchored);
    text.replace(text.find("features:\n"), 10, "features:\n  - {id: next, kind: lot, file: {path: " + name + "}}\n");
    const std::string with_file = scratch.write("job.yaml", text);
    CHECK(shell("\"$SWINGTIE\" check '" + with_file + "'").exit_code == 0);
    const Outcome outcome =
        shell("PROJ_DATA='" + scratch.path("empty") + "' \"$SWINGTIE\" check '" + with_file + "'");
    INFO(name << "\n" << outcome.err);
    CHECK(outcome.exit_code == 4);
    CHECK(outcome.err.find("proj.db, cannot be used") != std::string::npos);
  }
}

TEST_CASE("without fonts a plan is drawn all the same, with its figures, and says which letters are missing") {
  const ScratchFolder scratch;
  for (const std::string folder : {"none", "noise", "stale"}) {
    fs::create_directories(scratch.path(folder + "/fonts"));
    scratch.write(folder + "/fonts.conf",
                  "<?xml version=\"1.0\"?><!DOCTYPE fontconfig SYSTEM \"fonts.dtd\"><fontconfig><dir>" +
                      scratch.path(folder + "/fonts") + "</dir><cachedir>" + scratch.path(folder + "/cache") +
                      "</cachedir></fontconfig>");
  }
  scratch.write("noise/fonts/Sans.ttf", std::string("\0\1\0\0\0\x0f\0\x80", 8) + std::string(5000, 'x'));
  std::string text = read_file(job);
  const std::size_t name = text.find("name: ") + 6;
  text.replace(name, text.find('\n', name) - name, "Жасминова 14 ft");
  const std::string foreign = scratch.write("job.yaml", text);

  const auto drawn = [&](const std::string& folder, const std::string& which, const std::string& format) {
    const std::string file = scratch.path("plan." + format);
    std::error_code ignored;
    fs::remove(file, ignored);
    const Outcome outcome = shell("FONTCONFIG_FILE='" + scratch.path(folder) + "/fonts.conf' \"$SWINGTIE\" draw '" +
                                  which + "' -o '" + file + "'");
    INFO(folder << " " << format << "\n" << outcome.err);
    CHECK(outcome.exit_code == 0);
    REQUIRE(fs::exists(file));
    return outcome.err;
  };
  // What every job is written in is built in: nothing is missed.
  CHECK(drawn("none", job, "pdf").empty());
  const std::string plain = read_file(scratch.path("plan.pdf"));
  REQUIRE(shell("\"$SWINGTIE\" draw \"$JOB\" -o '" + scratch.path("with.pdf") + "'").exit_code == 0);
  CHECK(plain == read_file(scratch.path("with.pdf")));

  for (const std::string folder : {"none", "noise"})
    for (const std::string format : {"pdf", "svg", "png"})
      CHECK(drawn(folder, foreign, format).find("install one, for example fonts-noto") != std::string::npos);
  if (has_program("pdftotext")) {
    drawn("none", foreign, "pdf");
    CHECK(run_command("pdftotext '" + scratch.path("plan.pdf") + "' -").out.find("????????? 14 ft") !=
          std::string::npos);
  }

  // fontconfig's list says there is a font; what lies there now is none. It looks at the folder's time only.
  const std::string sans = run_command("fc-match -f '%{file}' 'DejaVu Sans:charset=416'").out;
  if (sans.empty() || !fs::exists(sans)) {
    WARN("skipped in part: no Cyrillic font to damage");
    return;
  }
  const std::string font = scratch.write("stale/fonts/Sans.ttf", read_file(sans));
  CHECK(drawn("stale", foreign, "pdf").empty());
  std::ofstream(font, std::ios::binary | std::ios::trunc) << "no font";
  for (const std::string format : {"pdf", "svg", "png"}) {
    const std::string said = drawn("stale", foreign, format);
    CHECK(said.find(font) != std::string::npos);
    CHECK(said.find("cannot be read; run `fc-cache -f`") != std::string::npos);
  }
}

TEST_CASE("the same bytes in any locale, one that is not there and one with a decimal comma included") {
  const ScratchFolder scratch;
  std::vector<std::string> locales{"C", "POSIX", "xx_YY.UTF-8"};
  fs::create_directory(scratch.path("locales"));
  const std::string made = "LOCPATH='" + scratch.path("locales") + "' ";
  if (run_command("localedef -i de_DE -f UTF-8 '" + scratch.path("locales/de_DE.UTF-8") + "'").exit_code == 0) {
    CHECK(run_command("env " + made + "LC_ALL=de_DE.UTF-8 locale decimal_point").out == ",\n");
    locales.emplace_back("de_DE.UTF-8");
  } else {
    WARN("skipped in part: no sources to make a locale with a decimal comma of; they are in the package locales");
  }
  for (const std::string command :
       {"solve", "solve --json", "tell", "draw -o plan.pdf", "draw -o plan.svg", "draw -o plan.png",
        "export -o plan.geojson", "export -o plan.gpkg", "export -o plan.dxf", "export -o plan.kml",
        "export -o plan.csv", "export -o plan.shp.zip"}) {
    const std::size_t space = command.rfind(" plan.");
    const std::string file =
        space == std::string::npos ? scratch.path("none") : scratch.path(command.substr(space + 1));
    const std::string arguments = command + " '" + on_a_grid + "'";
    const std::string inside = "cd '" + scratch.path("") + "'; ";
    const std::string usual = traces(inside + "LC_ALL=C.UTF-8", arguments, file);
    CHECK(usual.find("0\n") == 0);
    for (const std::string& locale : locales) {
      INFO(locale << ": " << command);
      CHECK(usual == traces(inside + made + "LC_ALL=" + locale + " LANG=" + locale, arguments, file));
    }
  }
}

TEST_CASE("killed at any moment, draw and export leave the old file or the new one") {
  const ScratchFolder scratch;
  const std::string data = scratch.path("lateral.geojson"), plan = scratch.path("plan.svg");
  REQUIRE(ended(started({"export", job, "-o", data})) == 0);
  REQUIRE(ended(started({"draw", job, "-o", plan})) == 0);
  const std::string new_data = read_file(data), new_plan = read_file(plan);
  std::mt19937 random(7);  // the seed is fixed; the moments are the machine's own
  int killed = 0;
  for (int i = 0; i < 100; ++i) {
    const bool drawing = i % 2 == 0;
    const std::string& path = drawing ? plan : data;
    const std::string old = "old " + std::to_string(i);
    scratch.write(drawing ? "plan.svg" : "lateral.geojson", old);
    const pid_t process = started({drawing ? "draw" : "export", job, "-o", path});
    usleep(static_cast<useconds_t>(random() % 40000));
    kill(process, SIGKILL);
    if (WIFSIGNALED(ended(process))) ++killed;
    const std::string left = read_file(path);
    CHECK((left == old || left == (drawing ? new_plan : new_data)));
  }
  CHECK(killed > 0);
}

TEST_CASE("a batch killed at any moment leaves whole files, goes on where it stopped and ends as one that was not") {
  const ScratchFolder scratch;
  fs::create_directory(scratch.path("jobs"));
  const std::string text = read_file(job);
  for (int i = 0; i < 24; ++i) scratch.write("jobs/lot-" + std::to_string(100 + i) + ".yaml", text);
  const auto batch = [&](const std::string& folder) {
    return started({"batch", scratch.path("jobs"), "-o", scratch.path(folder), "-f", "geojson,svg"});
  };
  const auto begin = std::chrono::steady_clock::now();
  REQUIRE(WEXITSTATUS(ended(batch("whole"))) <= 1);
  const auto lasts = std::chrono::duration_cast<std::chrono::microseconds>(std::chrono::steady_clock::now() - begin);
  const auto whole = [&](const std::string& folder) {
    std::size_t files = 0;
    for (const auto& entry : fs::recursive_directory_iterator(scratch.path(folder))) {
      const std::string name = entry.path().filename().string();
      if (!entry.is_regular_file() || name[0] == '.' || !(name.ends_with(".svg") || name.ends_with(".geojson")))
        continue;
      ++files;
      CHECK(read_file(entry.path().string()) == read_file(scratch.path("whole/" + name)));
    }
    return files;
  };
  REQUIRE(whole("whole") == 48);
  std::mt19937 random(11);  // the seed is fixed; the moments are the machine's own
  int killed = 0;
  for (int i = 0; i < 100; ++i) {
    const std::string folder =
        "again-" + std::to_string(i / 10);  // ten kills each, so that early and late ones are met
    const pid_t process = batch(folder);
    // Within the first half of what a whole batch takes here: a fresh one is always met.
    usleep(static_cast<useconds_t>(random() % static_cast<unsigned long>(1 + lasts.count() / 2)));
    kill(process, SIGKILL);
    if (WIFSIGNALED(ended(process))) ++killed;
    if (fs::exists(scratch.path(folder))) whole(folder);
    if (i % 10 != 9) continue;
    REQUIRE(WEXITSTATUS(ended(batch(folder))) <= 1);
    CHECK(whole(folder) == 48);
    CHECK(read_file(scratch.path("whole/summary.csv")) == read_file(scratch.path(folder + "/summary.csv")));
  }
  CHECK(killed >= 10);
}

TEST_CASE("with little memory it says so, or does its work, and leaves no half file") {
#ifdef __SANITIZE_ADDRESS__
  WARN("skipped: the address sanitizer reserves more addresses than any of the limits allows");
  return;
#endif
  const ScratchFolder scratch;
  for (const std::string command :
       {"export -o plan.geojson", "export -o plan.gpkg", "draw -o plan.pdf", "draw -o plan.png"}) {
    const std::string plan = scratch.path(command.substr(command.find("plan.")));
    int failed = 0;
    for (int megabytes = 20; megabytes <= 400; megabytes += 20) {
      std::error_code ignored;
      fs::remove(plan, ignored);
      const Outcome outcome = shell("cd '" + scratch.path("") + "'; ulimit -v " + std::to_string(megabytes * 1024) +
                                    "; exec \"$SWINGTIE\" " + command + " \"$JOB\"");
      INFO(command << " with " << megabytes << " MB: " << outcome.exit_code << " " << outcome.err);
      // Below what the loader needs for the libraries the shell reports 127: the program never began.
      CHECK((outcome.exit_code == 0 || outcome.exit_code == 4 || outcome.exit_code == 127));
      CHECK((outcome.exit_code == 0) == fs::exists(plan));
      if (outcome.exit_code != 0) {
        ++failed;
        CHECK_FALSE(outcome.err.empty());
      }
    }
    CHECK(failed > 0);
  }
}

TEST_CASE("two runs that write one file leave one of the two") {
  const ScratchFolder scratch;
  const std::string plan = scratch.path("plan.svg");
  REQUIRE(ended(started({"draw", job, "-o", plan})) == 0);
  const std::string dig = read_file(plan);
  REQUIRE(ended(started({"draw", job, "--sheet", "route", "-o", plan})) == 0);
  const std::string route = read_file(plan);
  for (int i = 0; i < 10; ++i) {
    const pid_t a = started({"draw", job, "-o", plan});
    const pid_t b = started({"draw", job, "--sheet", "route", "-o", plan});
    CHECK(ended(a) == 0);
    CHECK(ended(b) == 0);
    const std::string left = read_file(plan);
    CHECK((left == dig || left == route));
  }
}

TEST_CASE("a symbolic link keeps being one, and the mode of a file is kept") {
  const ScratchFolder scratch;
  const std::string real = scratch.write("real.geojson", "old\n");
  fs::permissions(real, fs::perms::owner_read | fs::perms::owner_write);
  fs::create_symlink("real.geojson", scratch.path("link.geojson"));
  REQUIRE(ended(started({"export", job, "-o", scratch.path("link.geojson")})) == 0);
  CHECK(fs::is_symlink(scratch.path("link.geojson")));
  CHECK(read_file(real).size() > 1000);
  CHECK(fs::status(real).permissions() == (fs::perms::owner_read | fs::perms::owner_write));
}

TEST_CASE("a job is never changed by reading it") {
  const ScratchFolder scratch;
  const std::string copy = scratch.write("job.yaml", read_file(job));
  fs::permissions(copy, fs::perms::owner_read);
  const auto before = fs::last_write_time(copy);
  for (const std::string command : {"check", "solve"}) ended(started({command, copy}));
  ended(started({"draw", copy, "-o", scratch.path("plan.pdf")}));
  CHECK(read_file(copy) == read_file(job));
  CHECK(fs::last_write_time(copy) == before);
}
