#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <list>

#include "cli/command.hpp"
#include "cli/terminal.hpp"
#include "measure/diagnostic.hpp"

namespace swingtie {
namespace {

std::string help_hint(const Command& command) {
  return fmt::format("`swingtie {} -h` shows what it takes", command.name);
}

[[noreturn]] void unknown_flag(const Command& command, const std::string& word) {
  const std::string typed = word.substr(0, word.find('='));
  std::vector<std::string> known;
  for (const Flag& flag : command.flags) known.emplace_back(flag.name);
  const auto near = nearest_name(typed, known);
  throw Usage{fmt::format("`{}` has no flag `{}`", command.name, typed),
              near ? fmt::format("did you mean `{}`?", *near) : help_hint(command)};
}

void check_choice(const Flag& flag, const std::string& value) {
  if (flag.choices.empty() || std::find(flag.choices.begin(), flag.choices.end(), value) != flag.choices.end())
    return;
  const auto near = nearest_name(value, flag.choices);
  throw Usage{
      fmt::format("`{}` is not a value of `{}`: expected one of {}", value, flag.name, fmt::join(flag.choices, ", ")),
      near ? fmt::format("did you mean `{}`?", *near) : std::string{}};
}

void check_operands(const Command& command, const Arguments& arguments) {
  const std::size_t count = arguments.operands.size();
  if (count < command.least)
    throw Usage{fmt::format("`{}` needs {}", command.name, command.operands), help_hint(command)};
  if (count > command.most)
    throw Usage{
        fmt::format("`{}` does not know what to do with `{}`", command.name, arguments.operands[command.most]),
        help_hint(command)};
}

}  // namespace

Arguments parse(const Command& command, const std::vector<std::string>& words) {
  CLI::App app;
  app.set_help_flag();
  app.allow_extras();

  struct Slot {
    const Flag* flag;
    CLI::Option* option;
    std::vector<std::string> values;
    bool on = false;
  };
  std::list<Slot> slots;
  for (const Flag& flag : command.flags) {
    Slot& slot = slots.emplace_back(Slot{&flag, nullptr, {}, false});
    const std::string names = flag.letter ? fmt::format("-{},{}", flag.letter, flag.name) : std::string(flag.name);
    slot.option = flag.value.empty()
                      ? app.add_flag(names, slot.on)
                      : app.add_option(names, slot.values)->take_all()->expected(1)->allow_extra_args(false);
  }
  Arguments arguments;
  try {
    app.parse(std::vector<std::string>(words.rbegin(), words.rend()));
  } catch (const CLI::ArgumentMismatch&) {
    for (const Slot& slot : slots)
      if (!words.empty() && (words.back() == slot.flag->name ||
                             (slot.flag->letter && words.back() == fmt::format("-{}", slot.flag->letter))))
        throw Usage{fmt::format("`{}` needs a value: {}", slot.flag->name, slot.flag->value), help_hint(command)};
    throw Usage{"a flag of the command line has too many or too few values", help_hint(command)};
  } catch (const CLI::ParseError& error) {
    throw Usage{fmt::format("the command line cannot be read: {}", error.what()), help_hint(command)};
  }
  bool flags_ended = false;
  for (const std::string& word : app.remaining()) {
    if (word == "--" && !flags_ended) {
      flags_ended = true;
      continue;
    }
    if (!flags_ended && word.size() > 1 && word[0] == '-') unknown_flag(command, word);
    arguments.operands.push_back(word);
  }
  for (const Slot& slot : slots) {
    if (slot.option->count() == 0) continue;
    if (slot.flag->value.empty()) {
      arguments.values[std::string(slot.flag->name)] = {""};
      continue;
    }
    if (slot.values.size() > 1 && !slot.flag->repeats)
      throw Usage{fmt::format("`{}` is given {} times", slot.flag->name, slot.values.size()), "give it once"};
    for (const std::string& value : slot.values) check_choice(*slot.flag, value);
    arguments.values[std::string(slot.flag->name)] = slot.values;
  }
  check_operands(command, arguments);
  return arguments;
}

}  // namespace swingtie
