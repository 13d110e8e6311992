#include "findings/phrases.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "measure/bearing.hpp"
#include "measure/length.hpp"

namespace swingtie {

std::string words_of(const LogItem& item, bool first, LengthUnit unit) {
  std::vector<std::string> parts;
  if (!item.what.empty()) parts.push_back(item.what);
  if (item.bend) {
    std::string bend = "bend";
    if (item.bend->hand) bend += fmt::format(" {}", spelled(*item.bend->hand));
    if (item.bend->angle) bend += fmt::format(" {:.3g}°", *item.bend->angle / degree);
    parts.push_back(bend);
  }
  if (item.pipe) {
    const std::string named = pipe_name(*item.pipe, unit);
    const std::string pipe = named.empty() ? "other pipe" : named;
    parts.push_back(first ? pipe : pipe + " begins");
  }
  if (item.wye) parts.push_back(*item.wye == Hand::left ? "wye from the left" : "wye from the right");
  if (!item.end.empty()) parts.push_back("end: " + item.end);
  if (parts.empty()) return item.note;
  std::string out = parts.front();
  for (std::size_t i = 1; i < parts.size(); ++i) out += "; " + parts[i];
  return out;
}

std::string kind_name(FeatureKind kind) {
  switch (kind) {
    case FeatureKind::right_of_way:
      return "right-of-way line";
    case FeatureKind::centerline:
      return "street centerline";
    case FeatureKind::main:
      return "city main";
    case FeatureKind::water:
    case FeatureKind::gas:
    case FeatureKind::electric:
      return fmt::format("{} line", spelled(kind));
    case FeatureKind::comms:
      return "communication line";
    default:
      return std::string(spelled(kind));
  }
}

std::string name_of(const Feature& feature) {
  const std::string kind = kind_name(feature.kind);
  const std::string& label = feature.label.empty() ? feature.id : feature.label;
  const auto lower = [](std::string s) {
    std::transform(s.begin(), s.end(), s.begin(), [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
    return s;
  };
  // An id such as `row` is the job's own short hand, not a name.
  if (feature.kind == FeatureKind::right_of_way && label == feature.id) return kind;
  if (feature.kind == FeatureKind::lot) return label == "lot" ? "lot line" : "lot line of " + label;
  // `water` is a water line, `drive` a driveway, and beyond the `right-of-way` would be across the street.
  if (kind.rfind(lower(label), 0) == 0) return kind;
  const std::string first = kind.substr(0, kind.find(' '));
  return lower(label).find(first) != std::string::npos ? label : label + " (" + kind + ")";
}

namespace {

std::string with_article(const std::string& name) {
  const auto first = static_cast<unsigned char>(name.empty() ? 'x' : name.front());
  if (std::isupper(first) != 0 || std::isdigit(first) != 0 || name.rfind("the ", 0) == 0) return name;
  return "the " + name;
}

}  // namespace

std::string the_name(const Feature& feature) {
  return with_article(name_of(feature));
}

std::string the_tree(const Feature& feature) {
  return with_article(feature.label.empty() ? feature.id : feature.label);
}

std::string pipe_name(const Pipe& pipe, LengthUnit unit) {
  const bool says_size =
      std::any_of(pipe.words.begin(), pipe.words.end(), [](unsigned char c) { return std::isdigit(c) != 0; });
  if (says_size || !(pipe.size > 0)) return pipe.words;
  const std::string size = is_feet(unit) ? fmt::format("{:.3g} in", pipe.size / metres_per_inch)
                                         : fmt::format("{:.0f} mm", 1000 * pipe.size);
  return pipe.words.empty() ? size + " pipe" : size + " " + pipe.words;
}

std::string line_name(const Placed& placed, std::size_t line) {
  return placed.lines.size() > 1 ? "line " + placed.lines[line].id : "the line";
}

std::string tape(double metres, LengthUnit unit) {
  return format_length(metres, unit, LengthStyle::tape);
}

namespace {

/// Digits after the point: a tenth of a foot is three centimetres, a tenth of a metre would be coarser than the tape.
int places(LengthUnit unit) {
  return is_feet(unit) ? 1 : 2;
}

}  // namespace

std::string decimal(double metres, LengthUnit unit) {
  return format_length(metres, unit, LengthStyle::decimal, places(unit));
}

std::string between(Interval interval, LengthUnit unit) {
  return fmt::format("{:.{}f} to {}", interval.low / metres_per(unit), places(unit), decimal(interval.high, unit));
}

std::string with_interval(double value, Interval interval, LengthUnit unit) {
  const int digits = places(unit);
  return fmt::format("{} ({:.{}f} to {:.{}f})", decimal(value, unit), interval.low / metres_per(unit), digits,
                     interval.high / metres_per(unit), digits);
}

std::string along_pipe(double away, Interval away95, LengthUnit unit) {
  const bool to_main = away > 0;
  return fmt::format("{} from this point along the pipe, toward the {}",
                     with_interval(std::abs(away), to_main ? away95 : Interval{-away95.high, -away95.low}, unit),
                     to_main ? "main" : "house");
}

std::string percent(double probability) {
  if (probability > 0.99) return "more than 99 %";
  if (probability < 0.01) return "less than 1 %";
  return fmt::format("{:.0f} %", 100 * probability);
}

std::string list_of(const std::vector<std::string>& parts) {
  std::string out;
  for (std::size_t i = 0; i < parts.size(); ++i) {
    if (i > 0) out += i + 1 == parts.size() ? " and " : ", ";
    out += parts[i];
  }
  return out;
}

std::string plural(int count, std::string_view word) {
  return fmt::format("{} {}{}", count, word, count == 1 ? "" : "s");
}

}  // namespace swingtie
