#include "job/log_text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "measure/bearing.hpp"
#include "measure/scanner.hpp"

namespace swingtie {
namespace {

constexpr std::string_view bend_words =
    "a hand and an angle, such as `left 45`, `right 22.5`, `down 90`, or `left` alone";
constexpr std::string_view pipe_words = "a size with its unit and a material, such as `4 in cast iron`";

std::optional<Hand> hand(std::string_view word) {
  if (word == "left" || word == "l") return Hand::left;
  if (word == "right" || word == "r") return Hand::right;
  if (word == "up") return Hand::up;
  if (word == "down") return Hand::down;
  return std::nullopt;
}

/// `1/8 bend`: an eighth of a full turn. @return radians, nothing if the text is no such fitting
std::optional<double> fraction_of_a_turn(std::string_view text) {
  Scanner in(text);
  if (!in.take(U'1') || !in.take(U'/')) return std::nullopt;
  const auto part = in.take_number();
  in.skip_spaces();
  if (in.peek_letter() && in.take_word() != "bend") return std::nullopt;
  if (!part || !part->whole || !in.done()) return std::nullopt;
  for (const double known : {4, 5, 6, 8, 16}) {
    if (part->value == known) return 2 * pi / known;
  }
  return std::nullopt;
}

}  // namespace

Parsed<BendNote> parse_bend(std::string_view text) {
  Scanner in(text);
  BendNote bend;
  in.skip_spaces();
  if (in.done()) return {{}, in.fault(0, in.size(), "a bend is missing", std::string(bend_words))};
  std::size_t begin = in.at(), end = in.size();
  if (in.peek_letter()) {
    const std::string word = in.take_word();
    bend.hand = hand(word);
    if (word == "unknown") {
      in.skip_spaces();
      if (in.done()) return {bend, {}};
    }
    if (!bend.hand) {
      return {{},
              in.fault(begin, in.at(), fmt::format("`{}` is no hand of a bend", in.between(begin, in.at())),
                       std::string(bend_words))};
    }
    in.skip_spaces();
    if (in.done()) return {bend, {}};
    begin = in.at();
  } else {
    // `45 left`
    const std::string whole = in.between(begin, end);
    const std::size_t space = whole.rfind(' ');
    if (space != std::string::npos) {
      std::string last = whole.substr(space + 1);
      std::transform(last.begin(), last.end(), last.begin(),
                     [](char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c + 32) : c; });
      bend.hand = hand(last);
      if (bend.hand) end -= last.size() + 1;
    }
  }
  std::string angle_text = in.between(begin, end);
  if (const auto fitting = fraction_of_a_turn(angle_text)) {
    bend.angle = *fitting;
    return {bend, {}};
  }
  constexpr std::string_view word_bend = " bend";
  if (angle_text.size() > word_bend.size() && angle_text.substr(angle_text.size() - word_bend.size()) == word_bend) {
    angle_text.resize(angle_text.size() - word_bend.size());
  }
  const auto angle = parse_angle(angle_text);
  if (!angle.value) {
    TextFault fault = angle.fault;
    fault.offset += begin;
    fault.expected = bend_words;
    return {{}, fault};
  }
  if (!(*angle.value > 0 && *angle.value <= pi / 2 * (1 + 1e-12))) {
    return {{},
            in.fault(begin, end, fmt::format("a bend cannot turn by {} degrees", angle_text),
                     "more than 0 and at most 90; its hand says which way")};
  }
  bend.angle = *angle.value;
  return {bend, {}};
}

Parsed<PipeNote> parse_pipe(std::string_view text, LengthUnit unit) {
  Scanner in(text);
  PipeNote pipe;
  in.skip_spaces();
  if (in.done()) return {{}, in.fault(0, in.size(), "a pipe is missing", std::string(pipe_words))};
  const std::size_t begin = in.at();
  if (const auto number = in.take_number()) {
    const std::size_t number_end = in.at();
    in.skip_spaces();
    const bool mark = in.take_double_mark() || in.take_single_mark();
    const std::string word = mark ? "" : in.take_word();
    const auto size = parse_length(in.between(begin, in.at()), unit);
    if (!size.value || (!mark && word.empty())) {
      TextFault fault = in.fault(begin, number_end, "this pipe size has no unit", std::string(pipe_words));
      fault.message = fmt::format("the pipe size `{}` has no unit", in.between(begin, number_end));
      return {{}, fault};
    }
    pipe.size = *size.value;
    // From the smallest trap to the largest pipe that a push camera would be sent into.
    if (!(pipe.size >= 0.03 && pipe.size <= 2)) {
      return {{},
              in.fault(begin, in.at(), fmt::format("`{}` is no size of a sewer pipe", in.between(begin, in.at())),
                       "such as `4 in` or `100 mm`")};
    }
    in.skip_spaces();
  }
  pipe.material = in.between(in.at(), in.size());
  return {pipe, {}};
}

}  // namespace swingtie
