#include "measure/utf8.hpp"

#include <algorithm>
#include <array>

namespace swingtie {
namespace {

struct Decoded {
  char32_t code_point = 0xFFFD;
  std::size_t bytes = 1;
  bool well_formed = false;
};

/// One code point at the start of non-empty text. Overlong forms, surrogates and values past U+10FFFF are ill-formed.
Decoded decode_one(std::string_view text) {
  const auto byte = [&](std::size_t i) { return static_cast<unsigned char>(text[i]); };
  const unsigned char lead = byte(0);
  if (lead < 0x80) return {lead, 1, true};
  const std::size_t bytes = lead >= 0xF0 ? 4 : lead >= 0xE0 ? 3 : 2;
  if (lead < 0xC2 || lead > 0xF4 || text.size() < bytes) return {};
  char32_t value = lead & (0xFFu >> (bytes + 1));
  for (std::size_t i = 1; i < bytes; ++i) {
    if ((byte(i) & 0xC0) != 0x80) return {};
    value = (value << 6) | (byte(i) & 0x3Fu);
  }
  constexpr std::array<char32_t, 5> smallest{0, 0, 0x80, 0x800, 0x10000};
  if (value < smallest[bytes] || value > 0x10FFFF || (value >= 0xD800 && value <= 0xDFFF)) return {};
  return {value, bytes, true};
}

}  // namespace

std::u32string decode_utf8(std::string_view bytes) {
  std::u32string out;
  out.reserve(bytes.size());
  while (!bytes.empty()) {
    const Decoded one = decode_one(bytes);
    out.push_back(one.code_point);
    bytes.remove_prefix(one.bytes);
  }
  return out;
}

void append_utf8(std::string& out, char32_t c) {
  const auto put = [&](char32_t byte) { out.push_back(static_cast<char>(byte)); };
  if (c < 0x80) {
    put(c);
  } else if (c < 0x800) {
    put(0xC0 | (c >> 6));
    put(0x80 | (c & 0x3F));
  } else if (c < 0x10000) {
    put(0xE0 | (c >> 12));
    put(0x80 | ((c >> 6) & 0x3F));
    put(0x80 | (c & 0x3F));
  } else {
    put(0xF0 | (c >> 18));
    put(0x80 | ((c >> 12) & 0x3F));
    put(0x80 | ((c >> 6) & 0x3F));
    put(0x80 | (c & 0x3F));
  }
}

std::string encode_utf8(std::u32string_view code_points) {
  std::string out;
  out.reserve(code_points.size());
  for (const char32_t c : code_points) append_utf8(out, c);
  return out;
}

std::size_t code_point_count(std::string_view bytes) {
  std::size_t count = 0;
  for (; !bytes.empty(); ++count) bytes.remove_prefix(decode_one(bytes).bytes);
  return count;
}

std::size_t byte_offset(std::string_view bytes, std::size_t code_points) {
  std::size_t offset = 0;
  for (; code_points > 0 && offset < bytes.size(); --code_points) offset += decode_one(bytes.substr(offset)).bytes;
  return offset;
}

std::size_t find_bad_utf8(std::string_view bytes) {
  for (std::size_t at = 0; at < bytes.size();) {
    const Decoded one = decode_one(bytes.substr(at));
    if (!one.well_formed) return at;
    at += one.bytes;
  }
  return std::string_view::npos;
}

int cell_width(char32_t c) {
  struct Range {
    char32_t first, last;
  };
  static constexpr std::array<Range, 9> zero{{{0x0300, 0x036F},
                                              {0x0483, 0x0489},
                                              {0x0591, 0x05BD},
                                              {0x064B, 0x065F},
                                              {0x1AB0, 0x1AFF},
                                              {0x200B, 0x200F},
                                              {0x20D0, 0x20FF},
                                              {0xFE00, 0xFE0F},
                                              {0xFE20, 0xFE2F}}};
  static constexpr std::array<Range, 9> wide{{{0x1100, 0x115F},
                                              {0x2E80, 0x303E},
                                              {0x3041, 0xA4CF},
                                              {0xAC00, 0xD7A3},
                                              {0xF900, 0xFAFF},
                                              {0xFE30, 0xFE6F},
                                              {0xFF00, 0xFF60},
                                              {0x1F300, 0x1FAFF},
                                              {0x20000, 0x3FFFD}}};
  const auto within = [c](Range r) { return c >= r.first && c <= r.last; };
  if (std::any_of(zero.begin(), zero.end(), within)) return 0;
  return std::any_of(wide.begin(), wide.end(), within) ? 2 : 1;
}

}  // namespace swingtie
