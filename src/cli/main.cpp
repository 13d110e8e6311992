#include <fmt/format.h>
#include <malloc.h>
#include <unistd.h>

#include <Eigen/Core>
#include <csignal>
#include <new>

#include "cli/command.hpp"
#include "cli/output.hpp"
#include "cli/source.hpp"
#include "cli/terminal.hpp"
#include "exchange/formats.hpp"
#include "measure/diagnostic.hpp"

namespace swingtie {
namespace {

int exit_code(Exit exit) {
  return static_cast<int>(exit);
}

void complain_of(std::string_view message, std::string_view hint) {
  std::string text = fmt::format("{}: {}\n", inked("error", Ink::red, colour_on_errors()), message);
  if (!hint.empty()) text += fmt::format("  = hint: {}\n", hint);
  complain(text);
}

bool wants(const std::vector<std::string>& words, std::string_view flag) {
  for (const std::string& word : words) {
    if (word == "--") return false;
    if (word == flag) return true;
  }
  return false;
}

Exit without_command(const std::string& word) {
  if (word == "-h" || word == "help") {
    print(short_help(nullptr));
    return Exit::done;
  }
  if (word == "--help") {
    print(long_help(nullptr));
    return Exit::done;
  }
  if (word == "--version" || word == "-V") {
    print(fmt::format("swingtie {}\nbuilt by {}, {}, with Eigen {}.{}.{} and fmt {}.{}.{}\n", SWINGTIE_VERSION,
                      SWINGTIE_COMPILER, SWINGTIE_BUILD_TYPE, EIGEN_WORLD_VERSION, EIGEN_MAJOR_VERSION,
                      EIGEN_MINOR_VERSION, FMT_VERSION / 10000, FMT_VERSION / 100 % 100, FMT_VERSION % 100));
    return Exit::done;
  }
  std::vector<std::string> names;
  for (const Command& command : commands())
    if (!command.hidden) names.emplace_back(command.name);
  const auto near = nearest_name(word, names);
  throw Usage{fmt::format("there is no command `{}`", word),
              near ? fmt::format("did you mean `swingtie {}`?", *near) : "`swingtie -h` lists the commands"};
}

Exit dispatch(const std::vector<std::string>& words) {
  if (words.empty()) {
    complain(short_help(nullptr));
    return Exit::job_wrong;
  }
  const Command* command = find_command(words.front());
  if (!command) return without_command(words.front());
  const std::vector<std::string> rest(words.begin() + 1, words.end());
  if (wants(rest, "--help") || wants(rest, "-h")) {
    print(wants(rest, "--help") ? long_help(command) : short_help(command));
    return Exit::done;
  }
  return command->run(parse(*command, rest));
}

Exit guarded(const std::vector<std::string>& words) {
  try {
    return dispatch(words);
  } catch (const Usage& usage) {
    complain_of(usage.message, usage.hint);
    return Exit::job_wrong;
  } catch (const JobWrong& wrong) {
    complain(wrong.message);
    return Exit::job_wrong;
  } catch (const CannotExport& cannot) {
    complain_of(cannot.what(), cannot.hint);
    return Exit::job_wrong;
  } catch (const CannotWrite& failure) {
    complain_of(failure.what(), {});
    return Exit::cannot_write;
  } catch (const std::bad_alloc&) {
    complain_of("out of memory", {});
    return Exit::internal;
  } catch (const std::exception& failure) {
    complain_of(failure.what(), {});
    return Exit::internal;
  }
}

#ifdef NDEBUG
/// Libraries abort where memory runs out and they cannot say so. Files are put in place whole, so nothing needs
/// saving. A build for debugging stops where it is, for the debugger.
extern "C" void stop_in_words(int) {
  static constexpr std::string_view words =
      "error: had to stop, most likely for want of memory; no file is left half written\n";
  [[maybe_unused]] const auto written = ::write(STDERR_FILENO, words.data(), words.size());
  ::_exit(static_cast<int>(Exit::internal));
}
#endif

}  // namespace
}  // namespace swingtie

int main(int argc, char** argv) {
  // A write past a limit or into a closed pipe is an errno, which output.cpp explains, and not the end of the
  // process.
  std::signal(SIGPIPE, SIG_IGN);
  std::signal(SIGXFSZ, SIG_IGN);
#ifdef NDEBUG
  std::signal(SIGABRT, swingtie::stop_in_words);
#endif
#ifdef __GLIBC__
  // What one step has freed the next takes again: given back to the system in between it would be fetched anew, page
  // by page.
  constexpr int kept = 64 << 20;
  ::mallopt(M_TRIM_THRESHOLD, kept);
  ::mallopt(M_MMAP_THRESHOLD, kept);
#endif
  return swingtie::exit_code(swingtie::guarded({argv + 1, argv + argc}));
}
