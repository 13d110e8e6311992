#include <fmt/format.h>

#include "cli/command.hpp"
#include "cli/output.hpp"

namespace swingtie {
namespace {

std::vector<std::string> command_names() {
  std::vector<std::string> names;
  for (const Command& command : commands())
    if (!command.hidden) names.emplace_back(command.name);
  return names;
}

std::vector<std::string> flag_words(const Command& command) {
  std::vector<std::string> words;
  for (const Flag& flag : command.flags) {
    words.emplace_back(flag.name);
    if (flag.letter) words.push_back(fmt::format("-{}", flag.letter));
  }
  words.insert(words.end(), {"-h", "--help"});
  return words;
}

/// Inside single quotes of a POSIX shell.
std::string quoted(std::string_view text) {
  std::string all;
  for (const char c : text) all += c == '\'' ? std::string("'\\''") : std::string(1, c);
  return all;
}

const std::vector<std::string> shells{"bash", "zsh", "fish"};

std::string for_bash() {
  std::string text = fmt::format(
      "_swingtie() {{\n"
      "  local word=${{COMP_WORDS[COMP_CWORD]}} before=${{COMP_WORDS[COMP_CWORD-1]}} command=${{COMP_WORDS[1]}}\n"
      "  COMPREPLY=()\n"
      "  if [ \"$COMP_CWORD\" -eq 1 ]; then\n"
      "    mapfile -t COMPREPLY < <(compgen -W '{} -h --help --version' -- \"$word\")\n"
      "    return\n"
      "  fi\n"
      "  case \"$command $before\" in\n",
      fmt::join(command_names(), " "));
  for (const Command& command : commands())
    for (const Flag& flag : command.flags) {
      if (flag.choices.empty()) continue;
      std::string pattern = fmt::format("'{} {}'", command.name, flag.name);
      if (flag.letter) pattern += fmt::format(" | '{} -{}'", command.name, flag.letter);
      text += fmt::format("    {}) mapfile -t COMPREPLY < <(compgen -W '{}' -- \"$word\"); return ;;\n", pattern,
                          fmt::join(flag.choices, " "));
    }
  text += fmt::format(
      "    'completions completions') mapfile -t COMPREPLY < <(compgen -W '{}' -- \"$word\"); return ;;\n"
      "  esac\n"
      "  if [[ $word == -* ]]; then\n"
      "    case \"$command\" in\n",
      fmt::join(shells, " "));
  for (const Command& command : commands())
    text += fmt::format("      {}) mapfile -t COMPREPLY < <(compgen -W '{}' -- \"$word\") ;;\n", command.name,
                        fmt::join(flag_words(command), " "));
  return text +
         "    esac\n"
         "    return\n"
         "  fi\n"
         "  compopt -o filenames 2>/dev/null\n"
         "  mapfile -t COMPREPLY < <(compgen -f -- \"$word\")\n"
         "}\n"
         "complete -F _swingtie swingtie\n";
}

std::string zsh_flag(const Flag& flag) {
  std::string what;
  for (const char c : flag.brief)
    what += (c == '[' || c == ']' || c == ':') ? std::string("\\") + c : std::string(1, c);
  std::string action;
  if (!flag.value.empty())
    action = flag.choices.empty() ? fmt::format(":{}:_files", flag.value)
                                  : fmt::format(":{}:({})", flag.value, fmt::join(flag.choices, " "));
  std::string text = fmt::format("        '{}[{}]{}' \\\n", flag.name, quoted(what), action);
  if (flag.letter) text += fmt::format("        '-{}[{}]{}' \\\n", flag.letter, quoted(what), action);
  return text;
}

std::string for_zsh() {
  std::string text = "#compdef swingtie\n_swingtie() {\n  local -a commands=(\n";
  for (const Command& command : commands())
    if (!command.hidden) text += fmt::format("    '{}:{}'\n", command.name, quoted(command.brief));
  text +=
      "  )\n"
      "  if (( CURRENT == 2 )); then\n"
      "    _describe command commands\n"
      "    return\n"
      "  fi\n"
      "  local command=$words[2]\n"
      "  shift words\n"
      "  (( CURRENT-- ))\n"
      "  case $command in\n";
  for (const Command& command : commands()) {
    text += fmt::format("    {})\n      _arguments \\\n", command.name);
    for (const Flag& flag : command.flags) text += zsh_flag(flag);
    text += "        '-h[one screen of help]' '--help[everything]' \\\n";
    text += command.name == "completions" ? fmt::format("        '1:shell:({})'\n", fmt::join(shells, " "))
                                          : std::string("        '*:file:_files'\n");
    text += "      ;;\n";
  }
  return text +
         "  esac\n}\nif [ \"$funcstack[1]\" = _swingtie ]; then _swingtie \"$@\"; else compdef _swingtie swingtie; "
         "fi\n";
}

std::string for_fish() {
  std::string text;
  for (const Command& command : commands()) {
    if (command.hidden) continue;
    text += fmt::format("complete -c swingtie -n __fish_use_subcommand -f -a {} -d '{}'\n", command.name,
                        quoted(command.brief));
    for (const Flag& flag : command.flags) {
      text += fmt::format("complete -c swingtie -n '__fish_seen_subcommand_from {}' -l {}", command.name,
                          flag.name.substr(2));
      if (flag.letter) text += fmt::format(" -s {}", flag.letter);
      if (!flag.value.empty()) text += " -r";
      if (!flag.choices.empty()) text += fmt::format(" -f -a '{}'", fmt::join(flag.choices, " "));
      text += fmt::format(" -d '{}'\n", quoted(flag.brief));
    }
  }
  return text + fmt::format("complete -c swingtie -n '__fish_seen_subcommand_from completions' -f -a '{}'\n",
                            fmt::join(shells, " "));
}

}  // namespace

std::string completions(std::string_view shell) {
  if (shell == "bash") return for_bash();
  if (shell == "zsh") return for_zsh();
  if (shell == "fish") return for_fish();
  throw Usage{fmt::format("no completions for `{}`", shell),
              fmt::format("expected one of {}", fmt::join(shells, ", "))};
}

Exit run_completions(const Arguments& arguments) {
  print(completions(arguments.operands.front()));
  return Exit::done;
}

Exit run_manual(const Arguments&) {
  print(manual_page());
  return Exit::done;
}

}  // namespace swingtie
