#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>

#include "measure/length.hpp"

namespace swingtie {

/// A cursor over handwritten notation, by code points, with the spellings that mean the same made one:
/// `′ ’ ‘ ´` read as `'`, `″ ” “ ''` as `"`, `º ˚` as `°`, the dashes and the minus sign as `-`, every kind of space
/// as a space. Offsets therefore count code points of the text as written, save that `''` counts as two.
class Scanner {
 public:
  explicit Scanner(std::string_view utf8);

  std::size_t at() const { return at_; }
  std::size_t size() const { return text_.size(); }
  bool done() const { return at_ == text_.size(); }
  void go_to(std::size_t offset) { at_ = offset; }

  /// The code point `ahead` places on, 0 past the end.
  char32_t peek(std::size_t ahead = 0) const;
  bool peek_digit(std::size_t ahead = 0) const;
  bool peek_letter() const;

  void skip_spaces();
  bool take(char32_t c);
  /// A run of ASCII letters in lower case, and the full stop of an abbreviation (`ft.`) that follows it.
  std::string take_word();
  /// `"`, or `''` typed for it.
  bool take_double_mark();
  /// `'` that is not the first half of `''`.
  bool take_single_mark();

  struct Number {
    double value = 0;
    bool whole = true;  ///< neither a decimal point nor a fraction
    std::size_t begin = 0, end = 0;
  };
  /// An unsigned number: `40`, `40.25`, `.5`, `3 1/2`, `3-1/2`, `1/2`, `3½`. Nothing is taken when there is none.
  /// Infinite when the digits overflow; NaN when a fraction divides by zero or is not below one after a whole number.
  std::optional<Number> take_number();

  /// The text from `begin` to the end of the word there, as written, for naming it in a message.
  std::string word_at(std::size_t begin) const;
  std::string between(std::size_t begin, std::size_t end) const;

  /// A fault over [begin, end), at least one code point long.
  TextFault fault(std::size_t begin, std::size_t end, std::string message, std::string expected) const;

 private:
  std::optional<double> take_digits(bool with_point, bool* whole);
  std::optional<double> take_fraction();

  std::u32string text_;     ///< normalised
  std::u32string written_;  ///< as written
  std::size_t at_ = 0;
};

}  // namespace swingtie
