#include "job/forms.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>

#include "measure/scanner.hpp"
#include "measure/utf8.hpp"
#include "measure/words.hpp"

namespace swingtie::form {
namespace {

bool is_digit(char c) {
  return c >= '0' && c <= '9';
}

Form<std::string> name_form(bool hyphen_allowed, std::string what, ShapeRef shape) {
  return {
      [hyphen_allowed, what = std::move(what)](Reader& reader, const YamlNode& node) -> std::optional<std::string> {
        const auto text = scalar_text(reader, node, what);
        if (!text) return std::nullopt;
        const auto bad = bad_name_character(*text, hyphen_allowed);
        if (bad || text->empty()) {
          reader.error(node.part(bad.value_or(0), 1), fmt::format("`{}` cannot be a name", *text),
                       hyphen_allowed ? "letters, digits, `_` and `-`" : "letters, digits and `_`",
                       "use `label:` for the words to print");
          return std::nullopt;
        }
        return std::string(*text);
      },
      std::move(shape)};
}

bool is_calendar_date(std::string_view text) {
  if (text.size() != 10 || text[4] != '-' || text[7] != '-') return false;
  for (const std::size_t i : {0, 1, 2, 3, 5, 6, 8, 9}) {
    if (!is_digit(text[i])) return false;
  }
  const auto part = [&](std::size_t begin, std::size_t count) {
    int value = 0;
    for (std::size_t i = begin; i < begin + count; ++i) value = value * 10 + (text[i] - '0');
    return value;
  };
  const int year = part(0, 4), month = part(5, 2), day = part(8, 2);
  const bool leap = (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
  const int days[] = {31, leap ? 29 : 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
  return month >= 1 && month <= 12 && day >= 1 && day <= days[month - 1];
}

std::string_view unit_name(LengthUnit unit) {
  return is_feet(unit) ? "ft" : "m";
}

std::string rounded(double metres, LengthUnit unit) {
  return format_length(metres, unit, LengthStyle::decimal, std::abs(metres) < 10 ? 1 : 0);
}

/// The small unit that a plain number too large for its key was meant in, if it fits in one.
std::string small_unit_hint(std::string_view written, double metres, const LengthRange& range, LengthUnit unit) {
  struct Small {
    std::string_view name;
    double metres;
  };
  const std::array<Small, 2> units = is_feet(unit)
                                         ? std::array<Small, 2>{{{"in", metres_per_inch}, {"in", metres_per_inch}}}
                                         : std::array<Small, 2>{{{"cm", 0.01}, {"mm", 0.001}}};
  for (const Small& small : units) {
    const double value = metres / metres_per(unit) * small.metres;
    if (value <= range.most_plain) return fmt::format("did you mean `{} {}`?", written, small.name);
  }
  return {};
}

bool is_plain_number(std::string_view text) {
  return text.find_first_not_of("+-.0123456789") == std::string_view::npos;
}

std::optional<std::string> checked_name(Reader& reader, std::string_view name, Span at, bool hyphen_allowed) {
  const auto bad = bad_name_character(name, hyphen_allowed);
  if (!bad && !name.empty()) return std::string(name);
  reader.error(at, fmt::format("`{}` cannot be the name of a point", name),
               "a feature and its corner, such as `house.sw`, or a feature alone");
  return std::nullopt;
}

}  // namespace

std::optional<std::size_t> bad_name_character(std::string_view text, bool hyphen_allowed) {
  const std::u32string letters = decode_utf8(text);
  for (std::size_t i = 0; i < letters.size(); ++i) {
    const char32_t c = letters[i];
    const bool plain = (c >= U'a' && c <= U'z') || (c >= U'A' && c <= U'Z') || (c >= U'0' && c <= U'9') || c == U'_';
    const bool foreign = c >= 0xC0 && c != 0xD7 && c != 0xF7 && !(c >= 0x2000 && c <= 0x206F);
    if (!plain && !foreign && !(c == U'-' && hyphen_allowed)) return i;
  }
  return std::nullopt;
}

std::optional<std::string_view> scalar_text(Reader& reader, const YamlNode& node, std::string_view expected) {
  if (node.kind == YamlNode::Kind::scalar) return node.text;
  const bool list = node.kind == YamlNode::Kind::list;
  reader.error(node.at,
               node.kind == YamlNode::Kind::null ? "a value is missing here"
               : list                            ? "a list cannot stand here"
                                                 : "keys cannot stand here",
               std::string(expected));
  return std::nullopt;
}

ShapeRef scalar_shape(Shape::Kind kind, std::string name, std::string doc, std::vector<std::string> examples) {
  auto shape = std::make_shared<Shape>();
  shape->kind = kind;
  shape->name = std::move(name);
  shape->doc = std::move(doc);
  shape->examples = std::move(examples);
  return shape;
}

Form<std::string> text() {
  return {[](Reader& reader, const YamlNode& node) -> std::optional<std::string> {
            const auto value = scalar_text(reader, node, "text");
            if (!value) return std::nullopt;
            return std::string(*value);
          },
          scalar_shape(Shape::Kind::text, {}, {})};
}

Form<std::string> id() {
  return name_form(true, "a name such as `house`",
                   scalar_shape(Shape::Kind::text, "name", "A name: letters, digits, `_` and `-`.", {"house", "R1"}));
}

Form<std::string> corner_name() {
  return name_form(
      false, "the name of a corner such as `sw`",
      scalar_shape(Shape::Kind::text, "corner", "The name of a corner: letters, digits and `_`.", {"sw", "porch_1"}));
}

Form<std::string> date() {
  return {[](Reader& reader, const YamlNode& node) -> std::optional<std::string> {
            const auto value = scalar_text(reader, node, "a date such as `2026-04-18`");
            if (!value) return std::nullopt;
            if (!is_calendar_date(*value)) {
              reader.error(node.at, fmt::format("`{}` is not a date", *value),
                           "year-month-day, such as `2026-04-18`");
              return std::nullopt;
            }
            return std::string(*value);
          },
          scalar_shape(Shape::Kind::text, "date", "A date, year-month-day.", {"2026-04-18"})};
}

Form<double> number(double least, double most, std::string what) {
  auto shape = std::make_shared<Shape>();
  shape->kind = Shape::Kind::number;
  shape->least = least;
  shape->most = most;
  return {[least, most, what = std::move(what)](Reader& reader, const YamlNode& node) -> std::optional<double> {
            const std::string expected = fmt::format("{} from {:g} to {:g}", what, least, most);
            const auto written = scalar_text(reader, node, expected);
            if (!written) return std::nullopt;
            std::string_view digits = *written;
            if (!digits.empty() && digits.front() == '+') digits.remove_prefix(1);
            double value = 0;
            const auto result = std::from_chars(digits.data(), digits.data() + digits.size(), value);
            const bool whole = result.ec == std::errc() && result.ptr == digits.data() + digits.size();
            if (!whole || !(value >= least && value <= most)) {
              reader.error(node.at, fmt::format("`{}` is {}", *written, whole ? "out of range" : "not a number"),
                           expected);
              return std::nullopt;
            }
            return value;
          },
          std::move(shape)};
}

Form<bool> yes_no() {
  auto form = words<bool>({{"true", true}, {"false", false}}, {{"yes", true}, {"no", false}});
  auto shape = std::make_shared<Shape>(*form.shape);
  shape->kind = Shape::Kind::yes_no;
  form.shape = std::move(shape);
  return form;
}

Form<double> length(LengthRange range) {
  static const ShapeRef shape =
      scalar_shape(Shape::Kind::measure, "length",
                   "A length. A plain number is in the site's unit; any other length carries its own unit.",
                   {"40.25", "40'3\"", "5 ft 6 in", "66 in", "1.7 m"});
  return {[range](Reader& reader, const YamlNode& node) -> std::optional<double> {
            const auto written = scalar_text(reader, node, "a length such as `40.25` or `40'3\"`");
            if (!written) return std::nullopt;
            const auto parsed = parse_length(*written, reader.unit);
            if (!parsed.value) {
              reader.error(node, parsed.fault);
              return std::nullopt;
            }
            const double value = *parsed.value;
            const bool plain = is_plain_number(*written);
            const double most = plain ? std::min(range.most, range.most_plain) : range.most;
            if (value >= range.least && value <= most) return value;
            const std::string shown =
                plain ? fmt::format("{} {}", *written, unit_name(reader.unit)) : std::string(*written);
            if (value < range.least) {
              const bool negative = value < 0 && range.least >= 0;
              reader.error(node.at, fmt::format("{} is {}", shown, negative ? "negative" : "too small here"),
                           range.least > 0    ? "more than 0"
                           : range.least == 0 ? "0 or more"
                                              : "at least " + rounded(range.least, reader.unit));
            } else if (value > range.most_plain && plain) {
              reader.error(node.at, fmt::format("`{}` without a unit is {}", *written, shown),
                           "a length with its unit", small_unit_hint(*written, value, range, reader.unit));
            } else {
              reader.error(node.at, fmt::format("{} is too large here", shown),
                           "at most " + rounded(range.most, reader.unit));
            }
            return std::nullopt;
          },
          shape};
}

Form<CounterReading> counter_reading() {
  // A push camera's cable is some 100 m long and its counter may run backwards past zero by a little.
  auto metres = length({-30, 1000});
  return {[read = metres.read](Reader& reader, const YamlNode& node) -> std::optional<CounterReading> {
            const auto value = read(reader, node);
            if (!value) return std::nullopt;
            return CounterReading{*value};
          },
          metres.shape};
}

Form<Azimuth> bearing() {
  return {[](Reader& reader, const YamlNode& node) -> std::optional<Azimuth> {
            const auto written = scalar_text(reader, node, "a bearing such as `N 12-30-15 E` or `347.5`");
            if (!written) return std::nullopt;
            const auto parsed = parse_bearing(*written);
            if (!parsed.value) reader.error(node, parsed.fault);
            return parsed.value;
          },
          scalar_shape(Shape::Kind::measure, "bearing",
                       "A bearing in a quadrant, or an azimuth clockwise from grid north in degrees.",
                       {"N 12°30'15\" E", "N 12-30-15 E", "N 12.5 E", "347.5"})};
}

Form<double> angle() {
  return {[](Reader& reader, const YamlNode& node) -> std::optional<double> {
            const auto written = scalar_text(reader, node, "an angle in degrees such as `22.5` or `28-49-34`");
            if (!written) return std::nullopt;
            const auto parsed = parse_angle(*written);
            if (!parsed.value) reader.error(node, parsed.fault);
            return parsed.value;
          },
          scalar_shape(Shape::Kind::measure, "angle", "An angle in degrees.", {"22.5", "28-49-34"})};
}

namespace detail {

std::optional<std::size_t> which_word(Reader& reader, const YamlNode& node, const std::vector<std::string>& known,
                                      std::size_t advertised, const std::vector<Meant>& meant) {
  const std::vector<std::string> shown(known.begin(), known.begin() + static_cast<std::ptrdiff_t>(advertised));
  const std::string expected = fmt::format("one of: {}", fmt::join(shown, ", "));
  const auto word = scalar_text(reader, node, expected);
  if (!word) return std::nullopt;
  for (std::size_t i = 0; i < known.size(); ++i) {
    if (known[i] == *word) return i;
  }
  auto near = nearest_name(*word, shown);
  for (const Meant& other : meant) {
    if (other.wrong == *word) near = other.right;
  }
  reader.error(node.at, fmt::format("`{}` is not known here", *word), expected,
               near ? fmt::format("did you mean `{}`?", *near) : "");
  return std::nullopt;
}

}  // namespace detail

Form<SideWord> side_word() {
  static const ShapeRef shape =
      scalar_shape(Shape::Kind::text, "side", "A point of the compass, or toward or away from a feature.",
                   {"north", "sw", "toward curb", "away from house"});
  return {[](Reader& reader, const YamlNode& node) -> std::optional<SideWord> {
            constexpr std::string_view expected = "a point of the compass, `toward curb` or `away from house`";
            const auto written = scalar_text(reader, node, expected);
            if (!written) return std::nullopt;
            SideWord side;
            side.at = node.at;
            for (const auto& [start, kind] :
                 {std::pair<std::string_view, SideWord::Kind>{"toward ", SideWord::Kind::toward},
                  {"towards ", SideWord::Kind::toward},
                  {"away from ", SideWord::Kind::away_from}}) {
              if (written->substr(0, start.size()) != start) continue;
              std::string_view name = written->substr(start.size());
              name.remove_prefix(std::min(name.find_first_not_of(' '), name.size()));
              const std::size_t offset = written->size() - name.size();
              side.kind = kind;
              side.at = node.part(offset, code_point_count(name));
              const auto feature = checked_name(reader, name, side.at, true);
              if (!feature) return std::nullopt;
              side.feature = *feature;
              return side;
            }
            if (const auto compass = parse_compass_point(*written)) {
              side.compass = *compass;
              return side;
            }
            reader.error(node.at, fmt::format("`{}` does not name a side", *written), std::string(expected));
            return std::nullopt;
          },
          shape};
}

std::optional<PointName> parse_point_name(Reader& reader, std::string_view text, Span at) {
  const std::size_t dot = text.find('.');
  PointName name;
  name.at = at;
  name.corner_at = at;
  const auto feature = checked_name(reader, text.substr(0, dot), at, true);
  if (!feature) return std::nullopt;
  name.feature = *feature;
  if (dot == std::string_view::npos) return name;
  if (parse_edge_name(text, at)) {
    reader.error(at, fmt::format("`{}` is an edge, not a point", text), "one corner, such as `house.sw`",
                 "a point on an edge is `{along: house.sw-se, from: house.sw, go: 9}`");
    return std::nullopt;
  }
  const auto corner = checked_name(reader, text.substr(dot + 1), at, false);
  if (!corner) return std::nullopt;
  name.corner = *corner;
  if (at.length == code_point_count(text)) {
    const std::size_t letters = code_point_count(*corner);
    name.corner_at = {at.line, at.column + at.length - letters, letters};
  }
  return name;
}

std::optional<EdgeName> parse_edge_name(std::string_view text, Span at) {
  const std::size_t dot = text.find('.');
  if (dot == std::string_view::npos) return std::nullopt;
  const std::size_t hyphen = text.find('-', dot);
  if (hyphen == std::string_view::npos) return std::nullopt;
  EdgeName edge{std::string(text.substr(0, dot)), std::string(text.substr(dot + 1, hyphen - dot - 1)),
                std::string(text.substr(hyphen + 1)), at};
  const bool bad = edge.feature.empty() || edge.from.empty() || edge.to.empty() ||
                   bad_name_character(edge.feature, true) || bad_name_character(edge.from, false) ||
                   bad_name_character(edge.to, false);
  if (bad) return std::nullopt;
  return edge;
}

Form<PointName> point_name() {
  return {[](Reader& reader, const YamlNode& node) -> std::optional<PointName> {
            const auto written = scalar_text(reader, node, "a point such as `house.sw` or `hydrant`");
            if (!written) return std::nullopt;
            return parse_point_name(reader, *written, node.at);
          },
          scalar_shape(Shape::Kind::text, "point", "A corner of a feature, or a feature that is a point.",
                       {"house.sw", "curb.1", "hydrant"})};
}

}  // namespace swingtie::form
