#include "job/yaml_mistakes.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace swingtie {
namespace {

bool contains(std::string_view text, std::string_view part) {
  return text.find(part) != std::string_view::npos;
}

Diagnostic error(Span at, std::string message, std::string expected, std::string hint) {
  return {Severity::error, at, std::move(message), std::move(expected), std::move(hint)};
}

/// Text that goes on where a quoted scalar has ended: `"N 12 E 40'6""`, `'5' 6"'`.
std::optional<Diagnostic> after_quotes(std::size_t at, const ParserState& state, const YamlText& text) {
  const auto& [begin, end, quoted] = state.last_scalar;
  const std::string& bytes = text.bytes();
  if (!quoted || end > bytes.size()) return std::nullopt;
  const std::size_t next = bytes.find_first_not_of(' ', end);
  if (next == std::string::npos || next > at || bytes[next] == '\n') return std::nullopt;
  const Span opened = text.span(begin, 1), closed = text.span(end - 1, 1);
  const char quote = bytes[begin];
  if (opened.line != closed.line) {
    return error(opened, fmt::format("the quote opened here is closed only on line {}", closed.line), {},
                 fmt::format("close it on its own line with `{}`", quote));
  }
  const std::string_view line = text.line_at(begin);
  const std::string_view rest = line.substr(begin - static_cast<std::size_t>(line.data() - bytes.data()));
  const bool both = contains(rest, "'") && contains(rest, "\"");
  const std::string_view others = quote == '"' ? "single quotes, '…'" : "double quotes, \"…\"";
  return error(text.span(end - 1, 1), fmt::format("this `{}` ends the quoted text, and more follows", quote), {},
               both ? "a length needs no quotes around it; in other text write ft and in for the marks"
                    : fmt::format("put text with a `{}` in it between {}", quote, others));
}

}  // namespace

Diagnostic unclosed_quote(const YamlText& text, std::size_t at) {
  const char quote = text.bytes()[at];
  return error(text.span(at, 1), fmt::format("this `{}` is never closed", quote), {},
               quote == '"' ? "close it, or put text with a `\"` in it between single quotes, '…'"
                            : "close it, or put text with a `'` in it between double quotes, \"…\"");
}

std::optional<Diagnostic> swallowed_by_comment(const YamlText& text, std::size_t end) {
  const std::string& bytes = text.bytes();
  const std::size_t hash = bytes.find_first_not_of(' ', end);
  if (hash == std::string::npos || hash == end || bytes[hash] != '#') return std::nullopt;
  if (hash + 1 >= bytes.size() || bytes[hash + 1] < '0' || bytes[hash + 1] > '9') return std::nullopt;
  const std::size_t stop = std::min(bytes.find('\n', hash), bytes.size());
  return Diagnostic{Severity::warning,
                    text.span(hash, stop - hash),
                    "from `#` on this is a comment, not part of the text",
                    {},
                    "put the text in quotes if the number belongs to it"};
}

Diagnostic explain_parser(const std::string& complaint, std::size_t at, const ParserState& state,
                          const YamlText& text) {
  const std::string& bytes = text.bytes();
  at = std::min(at, bytes.size());
  const char here = at < bytes.size() ? bytes[at] : '\0';
  const Span place = text.span(at, 1);
  if (auto quotes = after_quotes(at, state, text)) return *quotes;
  if (contains(complaint, "bad file") || contains(complaint, "recursion")) {
    return error(place, "values are nested too deep here", {}, "a job file never needs more than a dozen levels");
  }
  if (contains(complaint, "anchor is not defined") || contains(complaint, "after *") ||
      contains(complaint, "scanning alias")) {
    return error(place, "this alias names nothing above it", "`*name` of some `&name` before",
                 "text that begins with `*` needs quotes");
  }
  if (contains(complaint, "after &") || contains(complaint, "scanning anchor")) {
    return error(place, "`&` here begins an anchor without a name", {}, "text that begins with `&` needs quotes");
  }
  if (contains(complaint, "unknown token")) {
    return error(place, fmt::format("text cannot begin with `{}`", text.character_at(at)), {},
                 "put the text in quotes");
  }
  if (contains(complaint, "unknown escape") || contains(complaint, "hex") || contains(complaint, "unicode")) {
    return error(place, "a `\\` in double quotes begins an escape that this is not", {},
                 "put text with a `\\` in it between single quotes, '…'");
  }
  const bool in_brackets = !state.brackets.empty() && state.brackets.back().written;
  if (in_brackets) {
    const std::size_t opened = std::min(state.brackets.back().at, bytes.size() - 1);
    const char open = bytes[opened], close = open == '[' ? ']' : '}';
    if (at >= bytes.size() || place.line > text.span(opened, 1).line) {
      return error(
          text.span(opened, 1), fmt::format("this `{}` is not closed", open), {},
          fmt::format("a `{}` or a comma is missing before line {} column {}", close, place.line, place.column));
    }
    return error(place, fmt::format("the values of `{}…{}` do not go on like this", open, close),
                 fmt::format("`,` or `{}`", close), "text with `: ` or `, ` in it needs quotes");
  }
  if (contains(complaint, "flow end")) {
    return error(place, fmt::format("this `{}` closes nothing", text.character_at(at)), {},
                 "delete it, or open the bracket before it");
  }
  if (here == ':' || contains(complaint, "illegal map value")) {
    const std::string_view line = text.line_at(at);
    const std::size_t line_begin = static_cast<std::size_t>(line.data() - bytes.data());
    const bool second = contains(line.substr(0, at - line_begin), ": ");
    if (second) {
      return error(place, "a second `: ` on the line", {}, "text with `: ` in it needs quotes around the whole");
    }
    return error(text.span(line_begin + std::min(line.find_first_not_of(' '), line.size()), 1),
                 "this line does not fit the one above it", {},
                 "keys of the same map begin in the same column; a key whose value is on the lines below has nothing "
                 "after its `:`");
  }
  if (contains(complaint, "block entry") || here == '-') {
    return error(place, "a list cannot begin here", {},
                 "the `-` of a list stand below each other, on lines of their own");
  }
  return error(
      place, "this does not fit the lines above it", {},
      "keys of the same map begin in the same column, two spaces further in than the key they belong to; text "
      "with `: ` or ` #` in it needs quotes");
}

}  // namespace swingtie
