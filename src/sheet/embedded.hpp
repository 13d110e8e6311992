#pragma once

#include <span>
#include <string_view>

namespace swingtie {

/// The files of styles/ and the fonts, compiled into the program.

/// Text of a built-in style, empty for an unknown name.
std::string_view embedded_style(std::string_view name);

/// Bytes of a font file by its key in a style (`lettering`, `figures-bold`, …), empty for an unknown key.
/// Lettering is Routed Gothic, after the lettering sets of the drawing office; figures are B612, made for
/// cockpits, where a 1 must not pass for an I. Both by the SIL Open Font License 1.1.
std::span<const unsigned char> embedded_font(std::string_view key);

/// Family name of an embedded font, as SVG asks for it.
std::string_view embedded_font_family(std::string_view key);

}  // namespace swingtie
