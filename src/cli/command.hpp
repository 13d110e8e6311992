#pragma once

#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace swingtie {

/// What the process tells its caller.
enum class Exit {
  done = 0,
  contradictions = 1,  ///< done, but the readings contradict each other
  job_wrong = 2,       ///< the job file or the command line is wrong
  cannot_write = 3,
  internal = 4
};

/// One flag of a command. This table makes the parser, both helps, the completions and the manual page.
struct Flag {
  std::string_view name{};             ///< with its dashes: `--output`
  char letter = 0;                     ///< `o` for `-o`; 0: none
  std::string_view value{};            ///< word for its value: `FILE`; empty: a switch
  std::string_view brief{};            ///< one line
  std::string_view more{};             ///< further sentences for --help; may be empty
  std::vector<std::string> choices{};  ///< the only values allowed; empty: any
  bool repeats = false;                ///< may be given several times
};

/// What was typed, by the names of the table.
class Arguments {
 public:
  std::vector<std::string> operands;
  std::map<std::string, std::vector<std::string>, std::less<>>
      values;  ///< by flag name; a switch has one empty value

  bool has(std::string_view flag) const { return values.find(flag) != values.end(); }
  std::optional<std::string> value(std::string_view flag) const {
    const auto found = values.find(flag);
    if (found == values.end()) return std::nullopt;
    return found->second.back();
  }
};

struct Command {
  std::string_view name{};
  std::string_view operands{};      ///< as the usage line shows them: `JOB`, `DIR…`
  std::size_t least = 0, most = 0;  ///< how many operands
  std::string_view brief{};
  std::string_view more{};                   ///< a paragraph for --help
  std::vector<std::string_view> examples{};  ///< command lines
  std::vector<Flag> flags{};
  Exit (*run)(const Arguments&) = nullptr;
  bool hidden = false;  ///< not in the list of commands
};

/// All commands, those that most people type first.
const std::vector<Command>& commands();
const Command* find_command(std::string_view name);

/// Parses the words after a command's name.
/// Throws Usage when they do not fit the command's table.
Arguments parse(const Command& command, const std::vector<std::string>& words);

/// The command line is wrong: what, and what would have been right.
struct Usage {
  std::string message, hint;
};

/// `-h`: one screen. `--help`: everything. An empty command is the program itself.
std::string short_help(const Command* command);
std::string long_help(const Command* command);
/// The manual page, in roff.
std::string manual_page();
/// Script for `bash`, `zsh` or `fish`.
std::string completions(std::string_view shell);

Exit run_new(const Arguments&);
Exit run_check(const Arguments&);
Exit run_solve(const Arguments&);
Exit run_draw(const Arguments&);
Exit run_export(const Arguments&);
Exit run_tell(const Arguments&);
Exit run_compare(const Arguments&);
Exit run_batch(const Arguments&);
Exit run_schema(const Arguments&);
Exit run_serve(const Arguments&);
Exit run_completions(const Arguments&);
Exit run_manual(const Arguments&);

}  // namespace swingtie
