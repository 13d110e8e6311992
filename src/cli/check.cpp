#include <fmt/format.h>

#include <algorithm>

#include "cli/output.hpp"
#include "cli/source.hpp"
#include "cli/terminal.hpp"
#include "measure/words.hpp"

namespace swingtie {
namespace {

constexpr std::size_t width = 80;

/// The report for a person on the lawn: the verdict, what to take again, what to measure next.
class Report {
 public:
  Report(const Worked& worked, bool colour)
      : worked_(worked), placed_(worked.placed), findings_(worked.findings), colour_(colour) {}

  std::string text() const {
    return fmt::format("{}\n{}{}{}{}", heading(), verdict(), shoot_again(), measure_next(), remarks());
  }

 private:
  std::string title(std::string_view words) const { return fmt::format("\n{}\n", inked(words, Ink::bold, colour_)); }

  std::string heading() const {
    std::size_t locates = 0, bends = 0;
    for (const Run& run : placed_.runs) {
      locates += run.locates.size();
      for (const LogItem& item : run.log) bends += item.bend ? 1 : 0;
    }
    const std::string counts = fmt::format("{}, {}, {}", counted(placed_.runs.size(), "run"),
                                           counted(locates, "locate"), counted(bends, "bend"));
    return placed_.site_name.empty() ? counts : fmt::format("{}: {}", placed_.site_name, counts);
  }

  std::string verdict() const {
    switch (findings_.verdict.kind) {
      case Verdict::Kind::agree:
        return inked("The readings agree.", Ink::green, colour_) + "\n";
      case Verdict::Kind::explained:
        return inked("The readings contradict each other, and a mistake in the notes explains it.", Ink::yellow,
                     colour_) +
               "\n";
      case Verdict::Kind::contradiction:
        break;
    }
    return inked("The readings contradict each other, and no likely mistake in the notes explains it.", Ink::red,
                 colour_) +
           "\n";
  }

  std::string in_file(const Span& span) const {
    return span.line > 0 ? fmt::format("{}:{}", worked_.source.shown, span.line) : std::string{};
  }

  std::string numbered(std::size_t number, std::string_view words) const {
    std::string text = wrapped(words, width, "     ");
    text.replace(0, 5, fmt::format("{:>3}  ", number));
    return text;
  }

  /// A mistake that is at least this probable is named first; below it, it is only possible.
  static constexpr double likely = 0.5;

  std::string mistakes(bool likely_ones) const {
    std::string text;
    std::size_t number = 0;
    for (const ExplanationFinding& x : findings_.explanations) {
      if ((x.probability >= likely) != likely_ones || (!likely_ones && number == 3)) continue;
      text += numbered(++number, x.says);
      if (x.span.line > 0) text += fmt::format("     {}\n", inked(in_file(x.span), Ink::faint, colour_));
    }
    return text;
  }

  /// Most probable mistakes first, then locates that fit badly although nothing is blamed on them.
  std::string shoot_again() const {
    std::string text = mistakes(true) + misfits();
    if (!text.empty()) text = title("Take again, most important first") + text;
    const std::string possible = mistakes(false);
    return possible.empty() ? text : text + title("Less likely, but possible") + possible;
  }

  std::string misfits() const {
    std::string text;
    std::size_t number = 0;
    for (const ExplanationFinding& x : findings_.explanations) number += x.probability >= likely ? 1 : 0;
    for (const LocateResidual& residual : worked_.posterior.residuals) {
      if (residual.quality >= 0.01 || residual.wrong_probability >= 0.05) continue;
      const Locate& locate = placed_.runs.at(residual.run).locates.at(residual.locate);
      text += numbered(++number, fmt::format("the locate at {} lies {} off across the pipe and {} along it: farther "
                                             "than a sound locate lies in 99 of 100 cases",
                                             place_on_run(placed_, residual.run, locate.at),
                                             tape(std::abs(residual.across)), tape(std::abs(residual.along))));
      text += fmt::format("     {}\n", inked(in_file(locate.span), Ink::faint, colour_));
    }
    return text;
  }

  std::string tape(double metres) const { return format_length(metres, placed_.unit, LengthStyle::decimal, 1); }

  /// The best locate for each question, or why none is needed or helps; further ones are in `solve --json`.
  std::string measure_next() const {
    if (findings_.next_locates.empty()) return {};
    std::string text;
    std::size_t number = 0;
    std::string others;
    std::vector<std::string_view> answered;
    for (const NextLocate& next : findings_.next_locates) {
      if (std::find(answered.begin(), answered.end(), next.question) != answered.end()) continue;
      answered.push_back(next.question);
      if (next.helps)
        text += numbered(++number, next.says);
      else
        others += wrapped(next.says, width, "     ");
    }
    if (!text.empty()) return title("Measure next, while on the lot") + text + others;
    const bool enough = std::all_of(findings_.next_locates.begin(), findings_.next_locates.end(),
                                    [](const NextLocate& next) { return next.enough; });
    return title("Measure next") + (enough ? "     You have enough for every question.\n"
                                           : "     No single further locate would change much.\n" + others);
  }

  std::string remarks() const {
    const std::string text = rendered(findings_.remarks, worked_.source, colour_);
    return text.empty() ? text : title("Remarks") + text;
  }

  const Worked& worked_;
  const Placed& placed_;
  const Findings& findings_;
  bool colour_;
};

}  // namespace

Exit run_check(const Arguments& arguments) {
  const Worked worked = work_operand(arguments);
  print(Report(worked, colour_on_output()).text());
  return worked.findings.verdict.kind == Verdict::Kind::agree ? Exit::done : Exit::contradictions;
}

}  // namespace swingtie
