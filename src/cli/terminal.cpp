#include "cli/terminal.hpp"

#include <fmt/format.h>
#include <sys/ioctl.h>
#include <unistd.h>

#include <algorithm>
#include <cstdlib>

namespace swingtie {
namespace {

bool wants_colour(int stream) {
  const char* no_color = std::getenv("NO_COLOR");
  if (no_color && *no_color) return false;
  const char* term = std::getenv("TERM");
  if (!term || std::string_view(term) == "dumb") return false;
  return isatty(stream) == 1;
}

std::size_t code_points(std::string_view text) {
  return static_cast<std::size_t>(
      std::count_if(text.begin(), text.end(), [](char c) { return (static_cast<unsigned char>(c) & 0xC0) != 0x80; }));
}

}  // namespace

bool colour_on_output() {
  return wants_colour(STDOUT_FILENO);
}
bool colour_on_errors() {
  return wants_colour(STDERR_FILENO);
}
bool errors_are_a_terminal() {
  return isatty(STDERR_FILENO) == 1;
}

int terminal_width() {
  winsize size{};
  if (ioctl(STDERR_FILENO, TIOCGWINSZ, &size) == 0 && size.ws_col > 0) return size.ws_col;
  return 80;
}

std::string inked(std::string_view text, Ink ink, bool colour) {
  if (!colour) return std::string(text);
  const char* code = "1";
  switch (ink) {
    case Ink::bold:
      code = "1";
      break;
    case Ink::red:
      code = "1;31";
      break;
    case Ink::green:
      code = "1;32";
      break;
    case Ink::yellow:
      code = "1;33";
      break;
    case Ink::cyan:
      code = "36";
      break;
    case Ink::faint:
      code = "2";
      break;
  }
  return fmt::format("\x1b[{}m{}\x1b[0m", code, text);
}

std::string wrapped(std::string_view text, std::size_t width, std::string_view indent) {
  std::string all, line(indent);
  std::size_t used = code_points(indent);
  const std::size_t start = used;
  std::size_t at = 0;
  while (at < text.size()) {
    const std::size_t end = std::min(text.find(' ', at), text.size());
    const std::string_view piece = text.substr(at, end - at);
    const std::size_t wide = code_points(piece);
    if (used > start && used + 1 + wide > width) {
      all += line + "\n";
      line = indent;
      used = start;
    }
    if (used > start) {
      line += ' ';
      ++used;
    }
    line += piece;
    used += wide;
    at = end + 1;
  }
  return all + line + "\n";
}

}  // namespace swingtie
