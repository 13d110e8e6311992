#include "measure/length.hpp"

#include <fmt/format.h>

#include <array>
#include <cmath>
#include <utility>

#include "measure/scanner.hpp"

namespace swingtie {
namespace {

constexpr double largest_length = 1e9;
constexpr std::string_view examples = "a length such as `40.25`, `40'3\"`, `5 ft 6 in`, `66 in` or `1.7 m`";

enum class Word { foot, inch, survey_foot, yard, rod, chain, link, metre, decimetre, centimetre, millimetre };

struct Spelling {
  std::string_view text;
  Word word;
};
constexpr std::array<Spelling, 35> spellings{{
    {"ft", Word::foot},          {"feet", Word::foot},     {"foot", Word::foot},     {"in", Word::inch},
    {"inch", Word::inch},        {"inches", Word::inch},   {"ins", Word::inch},      {"usft", Word::survey_foot},
    {"ftus", Word::survey_foot}, {"yd", Word::yard},       {"yds", Word::yard},      {"yard", Word::yard},
    {"yards", Word::yard},       {"rd", Word::rod},        {"rod", Word::rod},       {"rods", Word::rod},
    {"pole", Word::rod},         {"poles", Word::rod},     {"perch", Word::rod},     {"perches", Word::rod},
    {"ch", Word::chain},         {"chs", Word::chain},     {"chain", Word::chain},   {"chains", Word::chain},
    {"lk", Word::link},          {"lks", Word::link},      {"link", Word::link},     {"links", Word::link},
    {"m", Word::metre},          {"metre", Word::metre},   {"metres", Word::metre},  {"meter", Word::metre},
    {"meters", Word::metre},     {"cm", Word::centimetre}, {"mm", Word::millimetre},
}};

/// Metres of one unit. The chain of 66 ft and the rod of 16.5 ft are Gunter's; deeds in them follow the site's foot.
double metres_of(Word word, double foot) {
  switch (word) {
    case Word::foot:
      return foot;
    case Word::inch:
      return foot / 12;
    case Word::survey_foot:
      return metres_per_us_survey_foot;
    case Word::yard:
      return 3 * foot;
    case Word::rod:
      return 16.5 * foot;
    case Word::chain:
      return 66 * foot;
    case Word::link:
      return 0.66 * foot;
    case Word::metre:
      return 1;
    case Word::decimetre:
      return 0.1;
    case Word::centimetre:
      return 0.01;
    case Word::millimetre:
      return 0.001;
  }
  return 1;
}

/// The smaller unit that may follow in a compound length, and how many of it make the larger.
struct Smaller {
  Word word;
  double per;
};
std::optional<Smaller> smaller(Word word) {
  switch (word) {
    case Word::foot:
    case Word::survey_foot:
      return Smaller{Word::inch, 12};
    case Word::yard:
      return Smaller{Word::foot, 3};
    case Word::chain:
      return Smaller{Word::link, 100};
    case Word::metre:
      return Smaller{Word::centimetre, 100};
    default:
      return std::nullopt;
  }
}

/// Reads the text of one length from a scanner that stands on it, to the end of the text.
class LengthReader {
 public:
  LengthReader(Scanner& scanner, LengthUnit unit)
      : in_(scanner),
        unit_(unit),
        foot_(unit == LengthUnit::us_survey_foot ? metres_per_us_survey_foot : metres_per_foot) {}

  Parsed<double> read() {
    in_.skip_spaces();
    const std::size_t begin = in_.at();
    const bool negative = in_.peek() == U'-';
    if (negative || in_.peek() == U'+') in_.go_to(in_.at() + 1);
    const auto first = in_.take_number();
    if (!first) return no_number(begin);
    if (auto bad = bad_number(*first)) return {{}, *bad};
    const auto unit = take_unit();
    if (!unit.value && !unit.none) return {{}, unit_fault_};
    double metres = first->value * (unit.none ? metres_per(unit_) : metres_of(*unit.value, foot_));
    const std::size_t end = in_.at();
    in_.skip_spaces();
    if (!in_.done()) {
      if (unit.none) return {{}, after_plain_number(*first)};
      const auto rest = read_smaller(*first, *unit.value, end);
      if (!rest.value) return rest;
      metres += *rest.value;
    }
    if (metres > largest_length) {
      return {{},
              in_.fault(begin, in_.size(),
                        fmt::format("`{}` is too long to be a length here", in_.between(begin, in_.size())), {})};
    }
    return {negative ? -metres : metres, {}};
  }

 private:
  struct Unit {
    std::optional<Word> value;
    bool none = false;
  };

  Unit take_unit() {
    const std::size_t before = in_.at();
    in_.skip_spaces();
    if (in_.take_double_mark()) return {Word::inch};
    if (in_.take_single_mark()) return {Word::foot};
    const std::size_t begin = in_.at();
    std::string word = in_.take_word();
    if (word.empty()) {
      in_.go_to(before);
      return {{}, true};
    }
    if (word == "us" || word == "survey") {
      // `us-ft`, `us ft`, `us survey feet`
      do {
        if (!in_.take(U'-')) in_.skip_spaces();
        word = in_.take_word();
      } while (word == "survey");
      if (word == "ft" || word == "feet" || word == "foot") return {Word::survey_foot};
    }
    for (const Spelling& s : spellings) {
      if (s.text == word) return {s.word};
    }
    if (word == "e" && (in_.peek_digit() || in_.peek() == U'-' || in_.peek() == U'+')) {
      unit_fault_ = in_.fault(0, in_.size(), fmt::format("`{}` has an exponent", in_.between(0, in_.size())),
                              "the number written out");
      return {};
    }
    unit_fault_ =
        in_.fault(begin, in_.at(), fmt::format("`{}` is not a unit of length", in_.between(begin, in_.at())),
                  "one of: ft, in, us-ft, m, cm, mm");
    return {};
  }

  /// The inches after feet, the links after chains: `6"` of `5'6"`. @return metres
  Parsed<double> read_smaller(const Scanner::Number& larger, Word unit, std::size_t end_of_larger) {
    const auto next = smaller(unit);
    const std::size_t separator = in_.at();
    if (!in_.take(U'-')) in_.take(U',');
    in_.skip_spaces();
    const std::size_t begin = in_.at();
    const auto number = next ? in_.take_number() : std::nullopt;
    if (!number) return {{}, trailing(separator)};
    if (auto bad = bad_number(*number)) return {{}, *bad};
    const auto small_unit = take_unit();
    if (!small_unit.value && !small_unit.none) return {{}, unit_fault_};
    const std::size_t end = in_.at();
    in_.skip_spaces();
    if (!in_.done()) return {{}, trailing(in_.at())};
    if (!small_unit.none && small_unit.value != next->word) {
      return {{},
              in_.fault(begin, end, "the second unit does not follow the first",
                        "feet then inches, metres then centimetres, chains then links")};
    }
    if (!larger.whole) {
      return {{},
              in_.fault(larger.begin, larger.end,
                        fmt::format("`{}` has a fraction although smaller units follow",
                                    in_.between(larger.begin, end_of_larger)),
                        "a whole number here, or one unit alone")};
    }
    if (number->value >= next->per) {
      return {{},
              in_.fault(number->begin, number->end,
                        fmt::format("`{}` is not less than the larger unit", in_.between(number->begin, end)),
                        fmt::format("less than {:g}", next->per))};
    }
    // The smaller part of a compound has the larger part's foot: the inch of a survey foot is its twelfth.
    return {number->value * metres_of(unit, foot_) / next->per, {}};
  }

  std::optional<TextFault> bad_number(const Scanner::Number& number) const {
    if (std::isnan(number.value)) {
      return in_.fault(number.begin, number.end,
                       fmt::format("`{}` is not a proper fraction", in_.between(number.begin, number.end)),
                       "such as `3 1/2`");
    }
    if (std::isinf(number.value)) return in_.fault(number.begin, number.end, "a number too large to read", {});
    return std::nullopt;
  }

  Parsed<double> no_number(std::size_t begin) const {
    const std::string written = in_.between(begin, in_.size());
    if (written.empty()) return {{}, in_.fault(0, in_.size(), "a length is missing", std::string(examples))};
    return {{}, in_.fault(begin, in_.size(), fmt::format("`{}` is not a length", written), std::string(examples))};
  }

  TextFault trailing(std::size_t begin) const {
    return in_.fault(begin, in_.size(), fmt::format("`{}` cannot follow the length", in_.between(begin, in_.size())),
                     std::string(examples));
  }

  /// What is wrong when something follows a number without a unit.
  TextFault after_plain_number(const Scanner::Number& first) const {
    const std::size_t begin = first.begin;
    const std::string whole = in_.between(begin, in_.size());
    const char32_t next = in_.peek();
    if (next == U',') {
      return in_.fault(begin, in_.size(), fmt::format("`{}` has a comma", whole),
                       "a point for decimals and nothing between thousands: `1500.25`");
    }
    if (next == U'-' || in_.peek_digit()) {
      return in_.fault(begin, in_.size(), fmt::format("`{}` can be read in more than one way", whole),
                       "marks or units, as in `5'6\"` or `5 ft 6 in`");
    }
    return trailing(in_.at());
  }

  Scanner& in_;
  LengthUnit unit_;
  double foot_;
  TextFault unit_fault_;
};

/// Feet, inches and a fraction to the nearest 1/`parts` inch.
std::string feet_and_inches(double feet, long long parts) {
  const bool negative = feet < 0;
  const long long total = std::llround(std::abs(feet) * 12 * static_cast<double>(parts));
  const long long per_foot = 12 * parts;
  const long long inches = total % per_foot / parts;
  long long above = total % parts, below = parts;
  while (above != 0 && above % 2 == 0) {
    above /= 2;
    below /= 2;
  }
  std::string text = negative && total != 0 ? "-" : "";
  text += fmt::format("{}'{}", total / per_foot, inches);
  if (above != 0) text += fmt::format(" {}/{}", above, below);
  return text + "\"";
}

/// Fixed decimals without a minus sign on a zero.
std::string fixed(double value, int decimals) {
  std::string text = fmt::format("{:.{}f}", value, decimals);
  if (text.front() == '-' && text.find_first_not_of("-0.") == std::string::npos) text.erase(0, 1);
  return text;
}

}  // namespace

Parsed<double> parse_length(std::string_view text, LengthUnit unit) {
  Scanner scanner(text);
  return LengthReader(scanner, unit).read();
}

std::string format_length(double metres, LengthUnit unit, LengthStyle style, int decimals) {
  const double value = metres / metres_per(unit);
  const bool feet = is_feet(unit);
  const char* suffix = feet ? " ft" : " m";
  switch (style) {
    case LengthStyle::decimal:
      return fixed(value, decimals) + suffix;
    case LengthStyle::tape:
      return feet ? feet_and_inches(value, 1) : fixed(value, 2) + suffix;
    case LengthStyle::fine_tape:
      return feet ? feet_and_inches(value, 4) : fixed(value, 3) + suffix;
  }
  return {};
}

}  // namespace swingtie
