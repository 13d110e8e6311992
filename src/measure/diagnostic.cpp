#include "measure/diagnostic.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstdlib>

#include "measure/utf8.hpp"
#include "measure/words.hpp"

namespace swingtie {
namespace {

constexpr std::size_t widest_line = 110;  ///< terminal cells of the job file's line that are shown
constexpr std::size_t cells_before = 40;  ///< of them, how many stay before the span when the line is cut

/// Line `number` (from 1) of the text without its end, or nothing where the text is shorter.
std::optional<std::string_view> line_of(std::string_view text, std::size_t number) {
  if (text.substr(0, 3) == "\xEF\xBB\xBF") text.remove_prefix(3);
  for (std::size_t line = 1;; ++line) {
    const std::size_t end = text.find_first_of("\r\n");
    if (line == number) return text.substr(0, end);
    if (end == std::string_view::npos) return std::nullopt;
    text.remove_prefix(end + (text.substr(end, 2) == "\r\n" ? 2 : 1));
  }
}

/// A line laid out in terminal cells, and where the span falls in it.
struct Shown {
  std::string line;
  std::size_t caret_begin = 0;  ///< cells
  std::size_t caret_cells = 1;
};

/// One code point of the line as it is shown.
struct Glyph {
  std::u32string text;
  std::size_t cells = 0;
};

Glyph glyph_of(char32_t c) {
  if (c == U'\t') return {U"    ", 4};
  const bool control = c < 0x20 || (c >= 0x7F && c < 0xA0);
  const bool turns_direction = (c >= 0x202A && c <= 0x202E) || (c >= 0x2066 && c <= 0x2069);
  if (control || turns_direction) return {U"·", 1};
  return {{c}, static_cast<std::size_t>(cell_width(c))};
}

Shown show(std::string_view line, const Span& span) {
  // Of a very long line only what lies near the span is laid out.
  constexpr std::size_t window = 2 * widest_line;
  const std::size_t column = span.column > 0 ? span.column - 1 : 0;
  const std::size_t skipped = column > window ? column - window : 0;
  const std::size_t skipped_bytes = byte_offset(line, skipped);
  line.remove_prefix(skipped_bytes);
  const std::string_view near = line.substr(0, byte_offset(line, 2 * window));
  std::vector<Glyph> glyphs;
  for (const char32_t c : decode_utf8(near)) glyphs.push_back(glyph_of(c));

  const std::size_t first = std::min(column - skipped, glyphs.size());
  const std::size_t last = std::min(first + std::max<std::size_t>(span.length, 1), glyphs.size());
  std::vector<std::size_t> cells_up_to(glyphs.size() + 1, 0);  ///< cells before each glyph
  for (std::size_t i = 0; i < glyphs.size(); ++i) cells_up_to[i + 1] = cells_up_to[i] + glyphs[i].cells;
  const auto cells = [&](std::size_t begin, std::size_t end) { return cells_up_to[end] - cells_up_to[begin]; };

  std::size_t begin = 0, end = glyphs.size();
  if (skipped > 0 || near.size() < line.size() || cells(0, end) > widest_line) {
    while (begin < first && cells(begin, first) > cells_before) ++begin;
    while (begin > 0 && cells(begin - 1, glyphs.size()) <= widest_line) --begin;
    end = begin;
    while (end < glyphs.size() && cells(begin, end + 1) <= widest_line) ++end;
  }
  const bool cut_before = begin > 0 || skipped > 0;
  std::u32string text;
  if (cut_before) text += U"…";
  for (std::size_t i = begin; i < end; ++i) text += glyphs[i].text;
  if (end < glyphs.size() || near.size() < line.size()) text += U"…";
  Shown shown;
  shown.line = encode_utf8(text);
  shown.caret_begin = (cut_before ? 1 : 0) + cells(begin, first);
  shown.caret_cells = std::max<std::size_t>(1, first < end ? cells(first, std::min(last, end)) : 1);
  return shown;
}

/// Edits between two words where a swap of neighbours is one (optimal string alignment).
std::size_t edits(std::u32string_view a, std::u32string_view b) {
  std::vector<std::vector<std::size_t>> d(a.size() + 1, std::vector<std::size_t>(b.size() + 1));
  for (std::size_t i = 0; i <= a.size(); ++i) d[i][0] = i;
  for (std::size_t j = 0; j <= b.size(); ++j) d[0][j] = j;
  for (std::size_t i = 1; i <= a.size(); ++i) {
    for (std::size_t j = 1; j <= b.size(); ++j) {
      d[i][j] = std::min({d[i - 1][j] + 1, d[i][j - 1] + 1, d[i - 1][j - 1] + (a[i - 1] == b[j - 1] ? 0 : 1)});
      if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1]) {
        d[i][j] = std::min(d[i][j], d[i - 2][j - 2] + 1);
      }
    }
  }
  return d[a.size()][b.size()];
}

}  // namespace

std::string render(const Diagnostic& diagnostic, std::string_view file_name, std::string_view text, bool colour) {
  const bool error = diagnostic.severity == Severity::error;
  const std::string_view paint = !colour ? "" : error ? "\033[1;31m" : "\033[1;33m";
  const std::string_view plain = colour ? "\033[0m" : "";
  const Span& at = diagnostic.at;
  std::string out = fmt::format("{}{}{}: {}\n", paint, error ? "error" : "warning", plain, diagnostic.message);
  const std::string number = at.line > 0 ? std::to_string(at.line) : "";
  const std::string gutter(std::max<std::size_t>(number.size(), 1), ' ');
  out += at.line > 0 ? fmt::format("{}--> {}:{}:{}\n", gutter, file_name, at.line, at.column)
                     : fmt::format("{}--> {}\n", gutter, file_name);
  const auto line = at.line > 0 ? line_of(text, at.line) : std::nullopt;
  std::string expected = diagnostic.expected.empty() ? "" : "expected " + diagnostic.expected;
  if (line) {
    const Shown shown = show(*line, at);
    out += fmt::format("{} |\n{} | {}\n", gutter, number, shown.line);
    out += fmt::format("{} | {}{}{}{}{}{}\n", gutter, std::string(shown.caret_begin, ' '), paint,
                       std::string(shown.caret_cells, '^'), plain, expected.empty() ? "" : " ", expected);
  } else if (!expected.empty()) {
    out += fmt::format("{} = {}\n", gutter, expected);
  }
  if (!diagnostic.hint.empty()) out += fmt::format("{} = hint: {}\n", gutter, diagnostic.hint);
  return out;
}

std::string render_all(const std::vector<Diagnostic>& diagnostics, std::string_view file_name, std::string_view text,
                       bool colour) {
  std::string out;
  std::size_t errors = 0;
  for (const Diagnostic& diagnostic : diagnostics) {
    if (!out.empty()) out += "\n";
    out += render(diagnostic, file_name, text, colour);
    if (diagnostic.severity == Severity::error) ++errors;
  }
  if (diagnostics.size() < 2) return out;
  std::vector<std::string> counts;
  if (errors > 0) counts.push_back(counted(errors, "error"));
  if (errors < diagnostics.size()) counts.push_back(counted(diagnostics.size() - errors, "warning"));
  return out + "\n" + listed(counts, "and") + "\n";
}

std::optional<std::string> nearest_name(std::string_view word, const std::vector<std::string>& candidates) {
  const std::u32string wanted = decode_utf8(word);
  // Longer than any name a person would write: not worth the quadratic comparison.
  if (wanted.size() > 64) return std::nullopt;
  std::optional<std::string> best;
  std::size_t best_edits = std::max<std::size_t>(1, wanted.size() / 3) + 1;
  for (const std::string& candidate : candidates) {
    const std::u32string name = decode_utf8(candidate);
    if (name.size() > wanted.size() + best_edits || wanted.size() > name.size() + best_edits) continue;
    const std::size_t distance = edits(wanted, name);
    if (distance < best_edits && distance < std::max<std::size_t>(wanted.size(), 2)) {
      best_edits = distance;
      best = candidate;
    }
  }
  return best;
}

}  // namespace swingtie
