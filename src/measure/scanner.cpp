#include "measure/scanner.hpp"

#include <charconv>
#include <cmath>
#include <limits>
#include <utility>

#include "measure/utf8.hpp"

namespace swingtie {
namespace {

char32_t normalised(char32_t c) {
  switch (c) {
    case U'′':
    case U'’':
    case U'‘':
    case U'´':
      return U'\'';
    case U'″':
    case U'”':
    case U'“':
      return U'"';
    case U'º':
    case U'˚':
      return U'°';
    case U'−':
    case U'–':
    case U'—':
    case U'‐':
    case U'‑':
      return U'-';
    case U'\u00A0':
    case U'\u2009':
    case U'\u202F':
    case U'\t':
      return U' ';
    case U'⁄':
      return U'/';
    default:
      return c;
  }
}

/// Value of a one-character fraction, or 0.
double vulgar_fraction(char32_t c) {
  switch (c) {
    case U'½':
      return 1.0 / 2;
    case U'⅓':
      return 1.0 / 3;
    case U'⅔':
      return 2.0 / 3;
    case U'¼':
      return 1.0 / 4;
    case U'¾':
      return 3.0 / 4;
    case U'⅛':
      return 1.0 / 8;
    case U'⅜':
      return 3.0 / 8;
    case U'⅝':
      return 5.0 / 8;
    case U'⅞':
      return 7.0 / 8;
    default:
      return 0;
  }
}

bool is_ascii_letter(char32_t c) {
  return (c >= U'a' && c <= U'z') || (c >= U'A' && c <= U'Z');
}

}  // namespace

Scanner::Scanner(std::string_view utf8) : text_(decode_utf8(utf8)), written_(text_) {
  for (char32_t& c : text_) c = normalised(c);
}

char32_t Scanner::peek(std::size_t ahead) const {
  return at_ + ahead < text_.size() ? text_[at_ + ahead] : U'\0';
}

bool Scanner::peek_digit(std::size_t ahead) const {
  const char32_t c = peek(ahead);
  return c >= U'0' && c <= U'9';
}

bool Scanner::peek_letter() const {
  return is_ascii_letter(peek());
}

void Scanner::skip_spaces() {
  while (peek() == U' ') ++at_;
}

bool Scanner::take(char32_t c) {
  if (done() || peek() != c) return false;
  ++at_;
  return true;
}

std::string Scanner::take_word() {
  std::string word;
  for (; peek_letter(); ++at_) word.push_back(static_cast<char>(peek() | 0x20));
  // A full stop before a digit would be that number's decimal point: `N .5`.
  if (!word.empty() && peek() == U'.' && !peek_digit(1)) ++at_;
  return word;
}

bool Scanner::take_double_mark() {
  if (take(U'"')) return true;
  if (peek() != U'\'' || peek(1) != U'\'') return false;
  at_ += 2;
  return true;
}

bool Scanner::take_single_mark() {
  if (peek() != U'\'' || peek(1) == U'\'') return false;
  ++at_;
  return true;
}

std::optional<double> Scanner::take_digits(bool with_point, bool* whole) {
  std::string digits;
  const std::size_t begin = at_;
  for (; peek_digit(); ++at_) digits.push_back(static_cast<char>(peek()));
  bool point = false;
  if (with_point && peek() == U'.' && (peek_digit(1) || !digits.empty())) {
    point = true;
    digits.push_back('.');
    for (++at_; peek_digit(); ++at_) digits.push_back(static_cast<char>(peek()));
  }
  if (digits.empty()) {
    at_ = begin;
    return std::nullopt;
  }
  if (whole != nullptr) *whole = !point;
  double value = 0;
  const auto result = std::from_chars(digits.data(), digits.data() + digits.size(), value);
  return result.ec == std::errc::result_out_of_range ? std::numeric_limits<double>::infinity() : value;
}

/// `1/2` or `½` here, or nothing taken.
std::optional<double> Scanner::take_fraction() {
  if (const double vulgar = vulgar_fraction(peek()); vulgar > 0) {
    ++at_;
    return vulgar;
  }
  const std::size_t begin = at_;
  const auto above = take_digits(false, nullptr);
  if (above && take(U'/')) {
    if (const auto below = take_digits(false, nullptr)) {
      return *below > 0 ? *above / *below : std::numeric_limits<double>::quiet_NaN();
    }
  }
  at_ = begin;
  return std::nullopt;
}

std::optional<Scanner::Number> Scanner::take_number() {
  Number number;
  number.begin = at_;
  if (const auto fraction = take_fraction()) {
    number.value = *fraction;
    number.whole = false;
  } else if (const auto value = take_digits(true, &number.whole)) {
    number.value = *value;
    if (number.whole) {
      const std::size_t end = at_;
      if (!take(U'-')) skip_spaces();
      if (const auto part = take_fraction()) {
        number.value += *part < 1 ? *part : std::numeric_limits<double>::quiet_NaN();
        number.whole = false;
      } else {
        at_ = end;
      }
    }
  } else {
    return std::nullopt;
  }
  number.end = at_;
  return number;
}

std::string Scanner::between(std::size_t begin, std::size_t end) const {
  return encode_utf8(std::u32string_view(written_).substr(begin, end - begin));
}

std::string Scanner::word_at(std::size_t begin) const {
  std::size_t end = begin;
  while (end < text_.size() && text_[end] != U' ') ++end;
  return between(begin, end);
}

TextFault Scanner::fault(std::size_t begin, std::size_t end, std::string message, std::string expected) const {
  return {begin, end > begin ? end - begin : 1, std::move(message), std::move(expected)};
}

}  // namespace swingtie
