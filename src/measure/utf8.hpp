#pragma once

#include <cstddef>
#include <string>
#include <string_view>

namespace swingtie {

/// Code points of UTF-8 text. Each byte that is not part of a well-formed sequence becomes U+FFFD, so any input is
/// safe and lengths stay meaningful.
std::u32string decode_utf8(std::string_view bytes);

void append_utf8(std::string& out, char32_t code_point);
std::string encode_utf8(std::u32string_view code_points);

/// Number of code points of UTF-8 text, counted as decode_utf8 does.
std::size_t code_point_count(std::string_view bytes);

/// Bytes that the first `code_points` of the text take; its size where it has fewer.
std::size_t byte_offset(std::string_view bytes, std::size_t code_points);

/// Offset of the first byte that is not well-formed UTF-8, or npos.
std::size_t find_bad_utf8(std::string_view bytes);

/// Terminal cells a code point takes: 0 for combining marks and joiners, 2 for wide East Asian characters and
/// emoji, else 1. After the East Asian Width property (Unicode Standard Annex 11), by block.
int cell_width(char32_t code_point);

}  // namespace swingtie
