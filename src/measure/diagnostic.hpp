#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace swingtie {

/// A piece of the job file. Lines and columns start at 1; a column is one code point, a tab is one column.
/// Line 0 means "no place in the file" (a value that was not written but taken by default).
struct Span {
  std::size_t line = 0, column = 0, length = 0;
  auto operator<=>(const Span&) const = default;
};

enum class Severity { error, warning };

/// One message to the person who wrote the job.
struct Diagnostic {
  Severity severity = Severity::error;
  Span at;
  std::string message;   ///< lower case, no full stop, the user's own words in `backticks`
  std::string expected;  ///< under the caret; may be empty
  std::string hint;      ///< what to type or measure instead; may be empty
};

/// What a stage made of the user's input; `value` is empty exactly when some diagnostic is an error.
template <class T>
struct Checked {
  std::optional<T> value;
  std::vector<Diagnostic> diagnostics;
};

/// A value together with the place in the file where it was written.
template <class T>
struct Written {
  T value{};
  Span at;
};

/// The message as a person reads it: severity and message, `--> file:line:column`, the line itself, a caret under
/// the span with what was expected, and the hint. Ends with a newline.
///
/// A tab is shown as four spaces, a control character as `·`, bytes that are not UTF-8 as `�`; a line too long for a
/// terminal is cut around the span with `…`. Carets stay under wide and combining characters.
/// @param text  the whole job file, from which the line is cut; may be shorter than the span says, and the line is
///              then left out. A byte order mark is not counted; lines end with LF, CRLF or CR.
/// @param colour  wrap the severity and caret in ANSI colour
std::string render(const Diagnostic& diagnostic, std::string_view file_name, std::string_view text, bool colour);

/// All messages as `render` gives them, a blank line between two; where there are several, a last line counts them.
std::string render_all(const std::vector<Diagnostic>& diagnostics, std::string_view file_name, std::string_view text,
                       bool colour);

/// The candidate nearest to a mistyped word by edits (insert, delete, change, swap of neighbours), if one is near
/// enough to be worth offering: at most a third of the word's letters differ, and always allowing one.
std::optional<std::string> nearest_name(std::string_view word, const std::vector<std::string>& candidates);

}  // namespace swingtie
