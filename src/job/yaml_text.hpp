#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>

#include "measure/diagnostic.hpp"

namespace swingtie {

/// The text of a job file with one kind of line end and without a byte order mark, and places in it.
class YamlText {
 public:
  explicit YamlText(std::string_view bytes);

  const std::string& bytes() const { return bytes_; }
  /// Line and column of a byte offset, and of `length` bytes from there, clipped to the line.
  /// Fast for offsets that mostly grow.
  Span span(std::size_t offset, std::size_t length) const;
  /// Code points from one byte offset to another, or to the end of the first one's line; at least 1.
  std::size_t span_length(std::size_t begin, std::size_t end) const;
  /// The character at a byte offset; empty at the end.
  std::string character_at(std::size_t offset) const;
  /// The bytes of the line that holds the offset, without its end.
  std::string_view line_at(std::size_t offset) const;
  /// Offset of the first byte after the quoted scalar that begins at this offset; npos if it is never closed.
  std::size_t end_of_quoted(std::size_t offset) const;

 private:
  std::string bytes_;
  struct Cursor {
    std::size_t offset = 0, line = 1, column = 1;
  };
  mutable Cursor last_;
};

/// What keeps these bytes from being a job file before YAML comes into it: too large, not text, not UTF-8, nothing in
/// it, tabs for indentation.
std::optional<Diagnostic> mistake_in_bytes(std::string_view bytes, const YamlText& text);

}  // namespace swingtie
