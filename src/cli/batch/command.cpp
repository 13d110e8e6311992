#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <chrono>
#include <thread>

#include "cli/batch/batch.hpp"
#include "cli/output.hpp"
#include "cli/terminal.hpp"
#include "exchange/formats.hpp"
#include "measure/words.hpp"

namespace swingtie {
namespace {

using Clock = std::chrono::steady_clock;

/// What is told of a batch while it runs and when it has ended.
class Teller {
 public:
  Teller(std::size_t jobs, bool json)
      : jobs_(jobs), json_(json), bar_(errors_are_a_terminal()), colour_(colour_on_errors()) {}

  void ended(const BatchJob& job, const BatchRecord& record) {
    ++ended_;
    worst_ = std::max(worst_, record.exit);
    if (record.unchanged) ++unchanged_;
    switch (record.exit) {
      case Exit::done:
        ++done_;
        break;
      case Exit::contradictions:
        ++contradictions_;
        break;
      case Exit::job_wrong:
        ++wrong_;
        break;
      case Exit::cannot_write:
      case Exit::internal:
        ++failed_;
        break;
    }
    if (json_) print(record.line + "\n");
    if (bar_) clear_bar();
    if (!record.message.empty()) complain(record.message);
    if (bar_)
      draw_bar();
    else
      complain(
          fmt::format("{:>{}}/{} {} {}\n", ended_, fmt::formatted_size("{}", jobs_), jobs_, word(record), job.name));
  }

  void finish(const std::string& summary_path, std::size_t not_jobs) {
    if (bar_) clear_bar();
    if (json_) return;
    std::string text = row(done_, "done", Ink::green);
    text += row(contradictions_, "done, but the readings contradict each other", Ink::yellow);
    text += row(wrong_, wrong_ == 1 ? "is wrong and was not drawn" : "are wrong and were not drawn", Ink::red);
    text += row(failed_, "failed", Ink::red);
    if (unchanged_ > 0) text += fmt::format("{} of them unchanged since an earlier run\n", unchanged_);
    if (not_jobs > 0) text += fmt::format("{} left out: no line `swingtie: 1`\n", counted(not_jobs, "YAML file"));
    print(text + fmt::format("summary: {}\n", summary_path));
  }

  Exit worst() const { return worst_; }

 private:
  static std::string_view word(const BatchRecord& record) {
    if (record.unchanged) return "unchanged";
    switch (record.exit) {
      case Exit::done:
        return "done";
      case Exit::contradictions:
        return "done, contradictions";
      case Exit::job_wrong:
        return "wrong";
      case Exit::cannot_write:
        return "not written";
      case Exit::internal:
        break;
    }
    return "failed";
  }

  std::string row(std::size_t count, std::string_view words, Ink ink) const {
    if (count == 0) return {};
    return fmt::format("{} {}\n", inked(fmt::format("{:>7}", count), ink, colour_on_output()), words);
  }

  void clear_bar() { complain("\r\x1b[K"); }

  void draw_bar() {
    const double seconds = std::chrono::duration<double>(Clock::now() - start_).count();
    const double rate = static_cast<double>(ended_) / std::max(seconds, 1e-3);
    const double left = static_cast<double>(jobs_ - ended_) / rate;
    std::string text = fmt::format(" {}/{}", ended_, jobs_);
    std::string after = fmt::format(" {:.0f}/s, {:.0f} s left", rate, left);
    if (contradictions_ > 0) after += fmt::format(", {}", counted(contradictions_, "contradiction"));
    if (wrong_ + failed_ > 0) after += fmt::format(", {} wrong", wrong_ + failed_);
    const int room = terminal_width() - static_cast<int>(text.size() + after.size()) - 3;
    if (room >= 8) {
      const int filled =
          static_cast<int>(static_cast<double>(room) * static_cast<double>(ended_) / static_cast<double>(jobs_));
      text += " " + inked(std::string(static_cast<std::size_t>(filled), '#'), Ink::green, colour_) +
              std::string(static_cast<std::size_t>(room - filled), '.');
    }
    complain("\r" + text + after);
  }

  std::size_t jobs_, ended_ = 0, done_ = 0, contradictions_ = 0, wrong_ = 0, failed_ = 0, unchanged_ = 0;
  Exit worst_ = Exit::done;
  bool json_, bar_, colour_;
  Clock::time_point start_ = Clock::now();
};

double number_of(const Arguments& arguments, std::string_view flag, double otherwise, double least, double most) {
  const auto text = arguments.value(flag);
  if (!text) return otherwise;
  double value = 0;
  const auto [end, error] = std::from_chars(text->data(), text->data() + text->size(), value);
  if (error != std::errc{} || end != text->data() + text->size() || !(value >= least && value <= most))
    throw Usage{fmt::format("`{}` is not a value of `{}`", *text, flag),
                fmt::format("write a number from {:g} to {:g}", least, most)};
  return value;
}

std::vector<std::string> wanted_formats(const Arguments& arguments) {
  std::vector<std::string> formats;
  const std::string text = arguments.value("--formats").value_or("pdf,geojson");
  for (std::size_t at = 0; at <= text.size();) {
    const std::size_t end = std::min(text.find(',', at), text.size());
    const std::string format = text.substr(at, end - at);
    const auto& drawings = drawing_endings();
    const bool known = format == "json" || std::find(drawings.begin(), drawings.end(), format) != drawings.end() ||
                       format_of("x." + format) != nullptr;
    if (!known)
      throw Usage{
          fmt::format("there is no format `{}`", format),
          "drawings are pdf, svg, png and html, figures json; `swingtie export --list` shows the data formats"};
    if (std::find(formats.begin(), formats.end(), format) == formats.end()) formats.push_back(format);
    at = end + 1;
  }
  return formats;
}

/// Everything that changes what is written, so that a batch with other flags does not take old outputs for its own.
std::string fingerprint(const Arguments& arguments, const BatchWish& wish) {
  std::string text = fmt::format("{}", fmt::join(wish.formats, ","));
  for (const std::string_view flag : {"--sheet", "--scale", "--paper", "--dpi", "--sure"})
    text += fmt::format("|{}", arguments.value(flag).value_or(""));
  return text + "|" + described(wish.drawing.options.style) + "|" + wish.findings.rules_yaml;
}

}  // namespace

Exit run_batch(const Arguments& arguments) {
  const auto output = arguments.value("--output");
  if (!output) throw Usage{"`batch` needs a folder to write into", "add -o plans"};
  BatchWish wish;
  wish.folder = *output;
  wish.formats = wanted_formats(arguments);
  wish.formats_were_asked = arguments.has("--formats");
  wish.drawing = drawing_wish(arguments);
  wish.findings = findings_options(arguments);
  wish.again = arguments.has("--again");
  wish.fingerprint = fingerprint(arguments, wish);
  const double processors = std::max(1U, std::thread::hardware_concurrency());
  const auto workers = static_cast<std::size_t>(number_of(arguments, "--jobs", processors, 1, 256));
  const double seconds = number_of(arguments, "--timeout", 60, 0.1, 86400);
  BatchList list = list_jobs(arguments.operands);
  if (const auto shard = arguments.value("--shard")) keep_shard(list.jobs, *shard);
  make_folder(wish.folder);

  Teller teller(list.jobs.size(), arguments.has("--json"));
  run_workers(list.jobs, wish, workers, seconds,
              [&](const BatchJob& job, const BatchRecord& record) { teller.ended(job, record); });
  const std::string summary_path = wish.folder + "/summary.csv";
  // Shards that end at one moment would each miss the other's last record: whoever writes last looks once more.
  std::string summary;
  do {
    summary = summary_csv(wish.folder);
    write_output(summary_path, summary);
  } while (summary_csv(wish.folder) != summary);
  teller.finish(summary_path, list.not_jobs);
  return teller.worst();
}

}  // namespace swingtie
