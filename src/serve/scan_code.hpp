#pragma once

#include <string>

namespace swingtie {

/// A text as a QR code (ISO/IEC 18004, correction level L) on a terminal, for the camera of a telephone: black on
/// white by escape sequences whatever the terminal's own colours, two rows of modules a line, with the quiet zone of
/// four. Empty when the text is too long (2953 bytes).
std::string scan_code(const std::string& text);

}  // namespace swingtie
