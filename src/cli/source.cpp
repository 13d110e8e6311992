#include "cli/source.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <charconv>
#include <cstring>
#include <filesystem>

#include "cli/output.hpp"
#include "cli/terminal.hpp"
#include "findings/rules.hpp"
#include "job/job.hpp"

namespace swingtie {
namespace {

/// Far over what read_job accepts, so that it can say how large the file is and we never hold more.
constexpr std::size_t most_bytes = std::size_t{64} << 20;

[[noreturn]] void wrong(std::string_view message, std::string_view hint = {}) {
  const bool colour = colour_on_errors();
  std::string text = fmt::format("{}: {}\n", inked("error", Ink::red, colour), message);
  if (!hint.empty()) text += fmt::format("  = hint: {}\n", hint);
  throw JobWrong{text};
}

std::string read_all(int file, const std::string& shown) {
  std::string text;
  char piece[1 << 16];
  while (text.size() < most_bytes) {
    const ssize_t got = ::read(file, piece, std::min(sizeof piece, most_bytes - text.size()));
    if (got < 0 && errno == EINTR) continue;
    if (got < 0) {
      const int error = errno;
      if (file != STDIN_FILENO) ::close(file);
      wrong(fmt::format("cannot read `{}`: {}", shown, std::strerror(error)));
    }
    if (got == 0) break;
    text.append(piece, static_cast<std::size_t>(got));
  }
  return text;
}

}  // namespace

Source read_source(const std::string& operand) {
  Source source;
  if (operand == "-") {
    source.shown = "-";
    source.name = "job";
    source.folder = ".";
    source.text = read_all(STDIN_FILENO, "standard input");
    return source;
  }
  std::filesystem::path path(operand);
  struct stat there {};
  if (::stat(operand.c_str(), &there) == 0 && S_ISDIR(there.st_mode)) {
    path /= "job.yaml";
    if (::access(path.c_str(), F_OK) != 0)
      wrong(fmt::format("`{}` is a folder without a `job.yaml`", operand),
            "name a job file, or `swingtie new DIR` writes one");
  }
  source.shown = path.string();
  source.folder = path.has_parent_path() ? path.parent_path().string() : ".";
  source.name = path.stem().string();
  if (source.name == "job") {
    std::error_code error;
    const std::filesystem::path folder = std::filesystem::canonical(source.folder, error);
    if (!error && folder.has_filename()) source.name = folder.filename().string();
  }
  const int file = ::open(source.shown.c_str(), O_RDONLY | O_CLOEXEC);
  if (file < 0) {
    if (errno == ENOENT) wrong(fmt::format("there is no file `{}`", source.shown));
    wrong(fmt::format("cannot read `{}`: {}", source.shown, std::strerror(errno)));
  }
  source.text = read_all(file, source.shown);
  ::close(file);
  return source;
}

std::string rendered(const std::vector<Diagnostic>& diagnostics, const Source& source, bool colour) {
  return render_all(diagnostics, source.shown, source.text, colour);
}

Placed place_source(const Source& source, std::vector<Diagnostic>& warnings, bool colour) {
  const Checked<Job> job = read_job(source.text);
  if (!job.value) throw JobWrong{rendered(job.diagnostics, source, colour)};
  Checked<Placed> placed = place(*job.value, source.folder);
  warnings = job.diagnostics;
  warnings.insert(warnings.end(), placed.diagnostics.begin(), placed.diagnostics.end());
  if (!placed.value) throw JobWrong{rendered(warnings, source, colour)};
  return std::move(*placed.value);
}

Worked work(Source source, const FindingsOptions& options, bool colour) {
  std::vector<Diagnostic> warnings;
  Placed placed = place_source(source, warnings, colour);
  Posterior posterior = solve(placed);
  Findings findings = find(placed, posterior, options);
  return {std::move(source), std::move(placed), std::move(posterior), std::move(findings), std::move(warnings)};
}

std::vector<Flag> findings_flags() {
  return {{.name = "--sure",
           .value = "P",
           .brief = "how surely a dig window holds its point (default 0.95)",
           .more = "A probability from 0.5 to 0.999. A surer window is a larger hole."},
          {.name = "--rules", .value = "FILE", .brief = "rules of digging in place of the set the job names"}};
}

FindingsOptions findings_options(const Arguments& arguments) {
  FindingsOptions options;
  if (const auto text = arguments.value("--sure")) {
    const auto [end, error] = std::from_chars(text->data(), text->data() + text->size(), options.sure);
    if (error != std::errc{} || end != text->data() + text->size() || !(options.sure >= 0.5 && options.sure <= 0.999))
      throw Usage{fmt::format("`{}` is not a probability for `--sure`", *text),
                  "write a number from 0.5 to 0.999: --sure 0.9"};
  }
  if (const auto path = arguments.value("--rules")) {
    const Source source = read_source(*path);
    const Checked<RuleSet> rules = read_rules(source.text);
    if (!rules.value) throw JobWrong{rendered(rules.diagnostics, source, colour_on_errors())};
    options.rules_yaml = source.text;
  }
  return options;
}

Worked work_operand(const Arguments& arguments) {
  const FindingsOptions options = findings_options(arguments);
  const bool colour = colour_on_errors();
  Worked worked = work(read_source(arguments.operands.front()), options, colour);
  if (!worked.warnings.empty()) complain(rendered(worked.warnings, worked.source, colour));
  return worked;
}

std::string place_on_run(const Placed& placed, std::size_t run, CounterReading at) {
  const std::string reading = format_length(at.metres, placed.unit, LengthStyle::decimal, 1);
  return placed.runs.size() == 1 ? reading : fmt::format("{} on {}", reading, placed.runs.at(run).id);
}

}  // namespace swingtie
