#pragma once

#include <string>
#include <string_view>

namespace swingtie {

/// True when a stream is a terminal that wants colour: NO_COLOR is unset (no-color.org) and TERM is not `dumb`.
bool colour_on_output();
bool colour_on_errors();

/// True when progress may be redrawn in place.
bool errors_are_a_terminal();

/// Columns of the terminal that standard error is, 80 where it does not say.
int terminal_width();

enum class Ink { bold, red, green, yellow, cyan, faint };
/// The text in this ink, or as it is without colour.
std::string inked(std::string_view text, Ink ink, bool colour);

/// The text broken at spaces so that no line is longer than `width` code points; every line begins with `indent`.
std::string wrapped(std::string_view text, std::size_t width, std::string_view indent);

}  // namespace swingtie
