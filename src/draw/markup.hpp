#pragma once

#include <string>
#include <string_view>

#include "sheet/sheet.hpp"

namespace swingtie {

/// Text for the inside of an XML element or a quoted attribute.
std::string escaped(std::string_view text);

/// Bytes in base 64 (RFC 4648), padded.
std::string base64(std::string_view bytes);

/// The sheet as an <svg> element, to stand inside another document.
/// @param prefix  of its ids and classes, so that several sheets can stand in one document
std::string svg_element(const Sheet& sheet, const std::string& prefix);

}  // namespace swingtie
