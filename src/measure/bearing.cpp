#include "measure/bearing.hpp"

#include <fmt/format.h>

#include <array>
#include <cmath>

#include "measure/scanner.hpp"
#include "measure/utf8.hpp"

namespace swingtie {
namespace {

constexpr std::string_view bearing_examples =
    "a bearing such as `N 12-30-15 E`, `N 12°30'15\" E`, `N 12.5 E` or an azimuth such as `347.5`";
constexpr std::string_view angle_examples = "an angle in degrees such as `45`, `22.5` or `28-49-34`";

/// Whether numbers with nothing but a space between them are degrees, minutes and seconds.
enum class Spaces { part_of_angle, end_angle };

/// Whether a distance is expected behind the bearing.
enum class Behind { nothing, distance };

struct Angle {
  double degrees = 0;
  std::size_t begin = 0, end = 0;
};

bool take_degree_sign(Scanner& in) {
  const std::size_t before = in.at();
  in.skip_spaces();
  if (in.take(U'°')) return true;
  const std::string word = in.take_word();
  if (word == "d" || word == "deg" || word == "degree" || word == "degrees") return true;
  in.go_to(before);
  return false;
}

bool take_minute_sign(Scanner& in) {
  const std::size_t before = in.at();
  in.skip_spaces();
  if (in.take_single_mark()) return true;
  const std::string word = in.take_word();
  if (word == "m" || word == "min" || word == "minute" || word == "minutes") return true;
  in.go_to(before);
  return false;
}

bool take_second_sign(Scanner& in) {
  const std::size_t before = in.at();
  in.skip_spaces();
  if (in.take_double_mark()) return true;
  const std::string word = in.take_word();
  // A lone s would be the S of a quadrant: `N 12 30 15 s` is rejected elsewhere.
  if (word == "sec" || word == "second" || word == "seconds") return true;
  in.go_to(before);
  return false;
}

/// An unsigned angle in degrees or degrees, minutes, seconds. Only the last part may have a fraction.
Parsed<Angle> take_angle(Scanner& in, Spaces spaces) {
  in.skip_spaces();
  Angle angle{0, in.at(), in.at()};
  const auto fault = [&](std::size_t begin, std::size_t end, std::string message, std::string_view expected) {
    return Parsed<Angle>{{}, in.fault(begin, end, std::move(message), std::string(expected))};
  };
  struct Part {
    const char* name;
    double per_degree;
    bool (*take_sign)(Scanner&);
  };
  static constexpr std::array<Part, 3> parts{
      {{"degrees", 1, take_degree_sign}, {"minutes", 60, take_minute_sign}, {"seconds", 3600, take_second_sign}}};
  bool whole = true;
  for (std::size_t i = 0; i < parts.size(); ++i) {
    const std::size_t before = in.at();
    bool joined = false;
    if (i > 0) {
      // A hyphen always joins, a sign before it has joined already, a bare space joins where the caller says so.
      const bool spaced = in.peek() == U' ';
      in.skip_spaces();
      const bool hyphen = in.take(U'-') || in.take(U':');
      if (hyphen) in.skip_spaces();
      joined = hyphen;
      if (!hyphen && spaced && spaces == Spaces::end_angle &&
          in.between(before - 1, before).find_first_of("0123456789") == 0) {
        in.go_to(before);
        break;
      }
    }
    const auto number = in.take_number();
    if (!number) {
      in.go_to(before);
      if (i == 0) return fault(in.at(), in.at() + 1, "no angle here", angle_examples);
      if (joined) return fault(in.at(), in.at() + 1, fmt::format("no {} after the hyphen", parts[i].name), {});
      break;
    }
    const std::string written = in.between(number->begin, number->end);
    if (in.peek() == U'.' && in.peek_digit(1)) {
      return fault(angle.begin, angle.begin + code_point_count(in.word_at(angle.begin)),
                   fmt::format("`{}` has two decimal points", in.word_at(angle.begin)),
                   "hyphens between degrees, minutes and seconds: `12-30-15`");
    }
    if (!std::isfinite(number->value)) {
      return fault(number->begin, number->end, fmt::format("`{}` is not a number", written), angle_examples);
    }
    if (!whole) {
      return fault(angle.begin, number->end,
                   fmt::format("`{}` has a fraction before its last part", in.between(angle.begin, number->end)),
                   "decimals only in the last of degrees, minutes and seconds");
    }
    if (i > 0 && number->value >= 60) {
      return fault(number->begin, number->end,
                   fmt::format("`{}` {} make a whole {}", written, parts[i].name, i == 1 ? "degree" : "minute"),
                   fmt::format("{} below 60", parts[i].name));
    }
    whole = number->whole;
    angle.degrees += number->value / parts[i].per_degree;
    angle.end = in.at();
    if (parts[i].take_sign(in)) angle.end = in.at();
  }
  return {angle, {}};
}

enum class Cardinal { north, east, south, west };

std::optional<Cardinal> cardinal(std::string_view word) {
  if (word == "n" || word == "north") return Cardinal::north;
  if (word == "e" || word == "east") return Cardinal::east;
  if (word == "s" || word == "south") return Cardinal::south;
  if (word == "w" || word == "west") return Cardinal::west;
  return std::nullopt;
}

double quarter_turns(Cardinal c) {
  return static_cast<double>(c) * pi / 2;
}

/// Clockwise from north, in [0, 2 pi).
Azimuth wrapped(double radians) {
  double turned = std::fmod(radians, 2 * pi);
  if (turned < 0) turned += 2 * pi;
  return {turned < 2 * pi ? turned : 0};
}

Parsed<Azimuth> bearing_fault(const Scanner& in, std::size_t begin, std::size_t end, std::string message,
                              std::string_view expected = bearing_examples) {
  return {{}, in.fault(begin, end, std::move(message), std::string(expected))};
}

/// The rest of a quadrant bearing whose first letter has been read: the angle and the second letter.
Parsed<Azimuth> take_quadrant(Scanner& in, Cardinal from, std::size_t begin, Behind behind) {
  if (in.peek() == U'.') {
    return bearing_fault(in, begin, begin + in.word_at(begin).size(),
                         fmt::format("the full stop in `{}` may be a decimal point", in.word_at(begin)),
                         "a space after the letter");
  }
  const auto angle = take_angle(in, Spaces::part_of_angle);
  if (!angle.value) return {{}, angle.fault};
  in.skip_spaces();
  const std::size_t letter_at = in.at();
  const auto to = cardinal(in.take_word());
  if (!to || *to == Cardinal::north || *to == Cardinal::south) {
    return bearing_fault(in, letter_at, in.at(), "a quadrant bearing ends with E or W",
                         behind == Behind::nothing ? "E or W"
                         : from == Cardinal::north ? "E or W, or `due north` and the distance"
                                                   : "E or W, or `due south` and the distance");
  }
  if (from == Cardinal::east || from == Cardinal::west) {
    return bearing_fault(in, begin, begin + 1, "a quadrant bearing begins with N or S", {});
  }
  if (angle.value->degrees > 90) {
    return bearing_fault(
        in, angle.value->begin, angle.value->end,
        fmt::format("`{}` is more than a quadrant", in.between(angle.value->begin, angle.value->end)),
        "an angle from 0 to 90, or an azimuth without letters");
  }
  const double turn = angle.value->degrees * degree;
  const bool clockwise = (from == Cardinal::north) == (*to == Cardinal::east);
  return {wrapped(quarter_turns(from) + (clockwise ? turn : -turn)), {}};
}

/// Takes a bearing in letters, or an azimuth, and leaves the scanner behind it.
Parsed<Azimuth> take_bearing(Scanner& in, Spaces spaces, Behind behind) {
  in.skip_spaces();
  const std::size_t begin = in.at();
  if (in.done()) return bearing_fault(in, 0, in.size(), "a bearing is missing");
  if (in.peek_letter()) {
    std::string word = in.take_word();
    if (word == "due") {
      in.skip_spaces();
      word = in.take_word();
      if (const auto c = cardinal(word)) return {Azimuth{quarter_turns(*c)}, {}};
      return bearing_fault(in, begin, in.at(), "no point of the compass after `due`", "north, east, south or west");
    }
    if (word == "az" || word == "azimuth") return take_bearing(in, spaces, behind);
    if (const auto c = cardinal(word)) {
      const std::size_t after = in.at();
      if (in.peek() != U'.') in.skip_spaces();
      // `W 20` is a course due west: a quadrant never begins with E or W.
      const bool due = behind == Behind::distance && (*c == Cardinal::east || *c == Cardinal::west);
      if ((in.peek_digit() || in.peek() == U'.') && !due) return take_quadrant(in, *c, begin, behind);
      in.go_to(after);
      return {Azimuth{quarter_turns(*c)}, {}};
    }
    if (const auto point = parse_compass_point(word)) return {*point, {}};
    return bearing_fault(in, begin, in.at(), fmt::format("`{}` is not a bearing", in.between(begin, in.size())));
  }
  if (!in.peek_digit() && in.peek() != U'.') {
    return bearing_fault(in, begin, in.size(), fmt::format("`{}` is not a bearing", in.between(begin, in.size())));
  }
  const auto angle = take_angle(in, spaces);
  if (!angle.value) return {{}, angle.fault};
  if (angle.value->degrees > 360) {
    return bearing_fault(
        in, angle.value->begin, angle.value->end,
        fmt::format("`{}` is more than a full circle", in.between(angle.value->begin, angle.value->end)),
        "an azimuth from 0 to 360 degrees");
  }
  return {wrapped(angle.value->degrees * degree), {}};
}

/// A bearing and the distance behind it, the spaces read in one of the two ways.
Parsed<Course> take_course(std::string_view text, LengthUnit unit, Spaces spaces) {
  Scanner in(text);
  const auto bearing = take_bearing(in, spaces, Behind::distance);
  if (!bearing.value) return {{}, bearing.fault};
  in.skip_spaces();
  if (in.take(U',')) in.skip_spaces();
  const std::size_t before_word = in.at();
  if (in.peek_letter() && in.take_word() != "for") in.go_to(before_word);
  in.skip_spaces();
  if (in.done()) {
    return {{},
            in.fault(0, in.size(), fmt::format("`{}` has no distance after the bearing", in.between(0, in.size())),
                     "a bearing and a length, such as `N 04-30-00 E 118.00`")};
  }
  const std::size_t begin = in.at();
  const auto distance = parse_length(in.between(begin, in.size()), unit);
  if (!distance.value) {
    TextFault fault = distance.fault;
    fault.offset += begin;
    return {{}, fault};
  }
  if (*distance.value < 0) {
    return {{}, in.fault(begin, in.size(), "a distance cannot be negative", "a length, and the opposite bearing")};
  }
  return {Course{*bearing.value, *distance.value}, {}};
}

/// Degrees, minutes and seconds to the nearest second.
std::string dms(double degrees) {
  const long long seconds = std::llround(degrees * 3600);
  return fmt::format("{:02}°{:02}'{:02}\"", seconds / 3600, seconds / 60 % 60, seconds % 60);
}

}  // namespace

Parsed<Azimuth> parse_bearing(std::string_view text) {
  Scanner in(text);
  const auto bearing = take_bearing(in, Spaces::part_of_angle, Behind::nothing);
  if (!bearing.value) return bearing;
  in.skip_spaces();
  if (in.done()) return bearing;
  // Not one of the compass words in letters that were taken one by one: `south west`, `n e`.
  if (const auto point = parse_compass_point(text)) return {*point, {}};
  return bearing_fault(in, in.at(), in.size(),
                       fmt::format("`{}` cannot follow the bearing", in.between(in.at(), in.size())));
}

Parsed<double> parse_angle(std::string_view text) {
  Scanner in(text);
  in.skip_spaces();
  const bool negative = in.take(U'-');
  if (!negative) in.take(U'+');
  const auto angle = take_angle(in, Spaces::part_of_angle);
  if (!angle.value) return {{}, angle.fault};
  in.skip_spaces();
  if (!in.done()) {
    return {{},
            in.fault(in.at(), in.size(), fmt::format("`{}` cannot follow the angle", in.between(in.at(), in.size())),
                     std::string(angle_examples))};
  }
  if (angle.value->degrees > 360) {
    return {{}, in.fault(angle.value->begin, angle.value->end, "more than a full circle", "at most 360 degrees")};
  }
  return {(negative ? -1 : 1) * angle.value->degrees * degree, {}};
}

std::optional<Azimuth> parse_compass_point(std::string_view text) {
  Scanner in(text);
  std::string letters;
  for (in.skip_spaces(); !in.done(); in.skip_spaces()) {
    if (in.take(U'-')) continue;
    std::string word = in.take_word();
    if (word.empty()) return std::nullopt;
    while (!word.empty()) {
      bool known = false;
      for (const std::string_view name : {"north", "east", "south", "west"}) {
        if (word.rfind(name, 0) != 0) continue;
        letters.push_back(name.front());
        word.erase(0, name.size());
        known = true;
      }
      if (known) continue;
      letters.push_back(word.front());
      word.erase(0, 1);
    }
  }
  static constexpr std::array<std::string_view, 16> points{"n", "nne", "ne", "ene", "e", "ese", "se", "sse",
                                                           "s", "ssw", "sw", "wsw", "w", "wnw", "nw", "nnw"};
  for (std::size_t i = 0; i < points.size(); ++i) {
    if (points[i] == letters) return Azimuth{static_cast<double>(i) * pi / 8};
  }
  return std::nullopt;
}

Parsed<Course> parse_course(std::string_view text, LengthUnit unit) {
  // `347.5 40` and `90 14 1/2` end the angle at the first space; only where that leaves no length are the spaces
  // those of `126 55 17 118.00`.
  const auto short_angle = take_course(text, unit, Spaces::end_angle);
  if (short_angle.value) return short_angle;
  const auto long_angle = take_course(text, unit, Spaces::part_of_angle);
  return long_angle.value ? long_angle : short_angle;
}

std::string format_bearing(Azimuth azimuth, BearingStyle style) {
  // Rounded to whole seconds first, so that 59.6 seconds carry into the minute and the quadrant.
  constexpr long long circle = 360LL * 3600;
  const long long seconds = std::llround(wrapped(azimuth.radians).radians / degree * 3600) % circle;
  const double turned = static_cast<double>(seconds) / 3600;
  if (style == BearingStyle::azimuth) return dms(turned);
  if (turned <= 90) return "N " + dms(turned) + " E";
  if (turned < 180) return "S " + dms(180 - turned) + " E";
  if (turned < 270) return "S " + dms(turned - 180) + " W";
  return "N " + dms(360 - turned) + " W";
}

}  // namespace swingtie
