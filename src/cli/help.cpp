#include <fmt/format.h>

#include <algorithm>

#include "cli/command.hpp"
#include "cli/terminal.hpp"

namespace swingtie {
namespace {

constexpr std::size_t help_width = 80;

constexpr std::string_view headline = "swingtie: where a house sewer runs, how surely, and where to dig";
constexpr std::string_view footing =
    "JOB is a job file, a folder that holds job.yaml, or - for standard input.\n"
    "`swingtie COMMAND -h` says more of a command, --help everything.\n";
constexpr std::string_view exit_codes =
    "Ends with 0 when done, 1 when done but the readings contradict each other (check),\n"
    "2 when the job file or the command line is wrong, 3 when it could not write, 4 when\n"
    "something else failed.\n";
constexpr std::string_view surroundings =
    "Messages go to standard error, results to standard output. Colour only on a\n"
    "terminal, and never when NO_COLOR is set.\n";
constexpr std::string_view caution = "Depths and positions are estimates from surface readings. Call before you dig.";

std::string usage_line(const Command& command) {
  return fmt::format("swingtie {}{}{}{}", command.name, command.operands.empty() ? "" : " ", command.operands,
                     command.flags.empty() ? "" : " [flags]");
}

std::string flag_names(const Flag& flag) {
  const std::string letter = flag.letter ? fmt::format("-{}, ", flag.letter) : "    ";
  return fmt::format("{}{}{}{}", letter, flag.name, flag.value.empty() ? "" : " ", flag.value);
}

std::string flag_lines(const Command& command, bool everything) {
  std::size_t widest = std::string_view("-h, --help").size();
  for (const Flag& flag : command.flags) widest = std::max(widest, flag_names(flag).size());
  std::string text;
  for (const Flag& flag : command.flags) {
    text += fmt::format("  {:<{}}  {}\n", flag_names(flag), widest, flag.brief);
    if (everything && !flag.more.empty()) text += wrapped(flag.more, help_width, std::string(widest + 4, ' '));
  }
  text += fmt::format("  {:<{}}  this help; --help for everything\n", "-h, --help", widest);
  return text;
}

std::string examples(const Command& command) {
  std::string text;
  for (const std::string_view example : command.examples) text += fmt::format("  {}\n", example);
  return text;
}

std::string of_program(bool everything) {
  std::string text = fmt::format(
      "{}\n\n"
      "  swingtie new DIR                 a commented job to start from\n"
      "  swingtie check JOB               do the readings hang together?\n"
      "  swingtie draw JOB -o plan.pdf    the plan, to scale\n\n"
      "Commands\n",
      headline);
  for (const Command& command : commands())
    if (!command.hidden) text += fmt::format("  {:<12} {}\n", command.name, command.brief);
  text += fmt::format("\n{}", footing);
  if (!everything) return text + fmt::format("{}\n", caution);
  text += fmt::format("\n{}\n{}\n{}\n", exit_codes, surroundings, caution);
  for (const Command& command : commands()) {
    if (command.hidden) continue;
    text += fmt::format("\n{}\n  {}\n{}", usage_line(command), command.brief, flag_lines(command, false));
  }
  return text;
}

/// Text for roff: backslashes, and dots at the start of a line, are its own.
std::string roff(std::string_view text) {
  std::string all;
  for (const char c : text) {
    if (c == '\\')
      all += "\\e";
    else if (c == '-')
      all += "\\-";
    else if (c == '\'')
      all += "\\(aq";
    else if (c != '`')
      all += c;
  }
  if (!all.empty() && all[0] == '.') all.insert(0, "\\&");
  return all;
}

}  // namespace

std::string short_help(const Command* command) {
  if (!command) return of_program(false);
  return fmt::format("{}\n  {}\n\n{}\nFlags\n{}", usage_line(*command), command->brief, examples(*command),
                     flag_lines(*command, false));
}

std::string long_help(const Command* command) {
  if (!command) return of_program(true);
  std::string text = fmt::format("{}\n  {}\n\n", usage_line(*command), command->brief);
  if (!command->more.empty()) text += wrapped(command->more, help_width, "") + "\n";
  return text +
         fmt::format("Examples\n{}\nFlags\n{}\n{}", examples(*command), flag_lines(*command, true), exit_codes);
}

std::string manual_page() {
  std::string text = fmt::format(
      ".TH SWINGTIE 1\n.SH NAME\nswingtie \\- {}\n.SH SYNOPSIS\n.B swingtie\n.I COMMAND\n[flags]\n.SH DESCRIPTION\n"
      "Turns access points, cable distances, bends, locates and ties into an adjusted route of a house sewer with "
      "its "
      "uncertainty, says where and how large to dig and on whose side of the right\\-of\\-way each finding lies, and "
      "draws scaled sheets and data files.\n.SH COMMANDS\n",
      "where a house sewer runs, how surely, and where to dig");
  for (const Command& command : commands()) {
    if (command.hidden) continue;
    text += fmt::format(".SS {}\n{}.\n", roff(usage_line(command)), roff(command.brief));
    if (!command.more.empty()) text += roff(command.more) + "\n";
    for (const Flag& flag : command.flags)
      text += fmt::format(".TP\n.B {}\n{}{}{}\n", roff(flag_names(flag)), roff(flag.brief),
                          flag.more.empty() ? "" : ". ", roff(flag.more));
    for (const std::string_view example : command.examples) text += fmt::format(".PP\n.EX\n{}\n.EE\n", roff(example));
  }
  text += fmt::format(".SH EXIT STATUS\n{}.SH NOTES\n{}{}\n", roff(exit_codes), roff(surroundings), roff(caution));
  return text;
}

}  // namespace swingtie
