#pragma once

#include <initializer_list>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "job/form.hpp"
#include "job/job.hpp"
#include "measure/bearing.hpp"

namespace swingtie::form {

/// The forms that single values of the job file take. Each reports what is wrong in the terms of its own kind.

/// Any text, not empty.
Form<std::string> text();
/// The name of a feature, line, run or clean-out: letters, digits, `_` and `-`.
Form<std::string> id();
/// The name of a corner: as an id, without `-`, which stands between the two corners of an edge.
Form<std::string> corner_name();
/// A calendar date, ISO 8601. @return as written
Form<std::string> date();
Form<double> number(double least, double most, std::string what);
Form<bool> yes_no();

/// Which lengths make sense for a key, metres. Small things are measured in inches or centimetres: a plain number
/// above `most_plain` has most likely lost its unit.
struct LengthRange {
  double least = -1e9, most = 1e9;
  double most_plain = 1e9;
};
Form<double> length(LengthRange range = {});
Form<CounterReading> counter_reading();
Form<Azimuth> bearing();
Form<double> angle();

/// A point of the compass, `toward F` or `away from F`.
Form<SideWord> side_word();
/// A feature or a point of the compass, as the side something lies toward.
Form<SideWord> toward_form();
/// `sw-se`: an edge of the feature it is said of.
Form<std::string> edge_corners();
/// `house.sw`, `hydrant`.
Form<PointName> point_name();
/// Offset in code points of the first one that a name cannot hold, or nothing. Letters of any script are fine.
std::optional<std::size_t> bad_name_character(std::string_view text, bool hyphen_allowed);
/// Splits a scalar's text into a feature and a corner. @param at  the place of the name's text
std::optional<PointName> parse_point_name(Reader& reader, std::string_view text, Span at);
/// `house.sw-se`. Nothing, and no error, when the text has no `.` with a `-` behind it.
std::optional<EdgeName> parse_edge_name(std::string_view text, Span at);

/// Reports that a node is not a scalar, or returns its text.
std::optional<std::string_view> scalar_text(Reader& reader, const YamlNode& node, std::string_view expected);

/// The shape of a scalar with its examples; `name` where it is used in many places.
ShapeRef scalar_shape(Shape::Kind kind, std::string name, std::string doc, std::vector<std::string> examples = {});

/// A word that is refused, and the one to offer for it.
struct Meant {
  std::string_view wrong, right;
};

/// Reads one of a few words. `also` are further spellings that are read and not advertised.
template <class T>
Form<T> words(std::vector<std::pair<std::string_view, T>> known,
              std::vector<std::pair<std::string_view, T>> also = {}, std::vector<Meant> meant = {});

/// Reads one of some terms by their spelling in `terms.hpp`.
template <class T>
Form<T> terms(std::initializer_list<T> known) {
  std::vector<std::pair<std::string_view, T>> spellings;
  for (const T term : known) spellings.emplace_back(spelled(term), term);
  return words<T>(std::move(spellings));
}

namespace detail {
/// Index into `known` of the word a scalar holds, or nothing after reporting.
std::optional<std::size_t> which_word(Reader& reader, const YamlNode& node, const std::vector<std::string>& known,
                                      std::size_t advertised, const std::vector<Meant>& meant = {});
}  // namespace detail

template <class T>
Form<T> words(std::vector<std::pair<std::string_view, T>> known, std::vector<std::pair<std::string_view, T>> also,
              std::vector<Meant> meant) {
  auto shape = std::make_shared<Shape>();
  shape->kind = Shape::Kind::words;
  std::vector<std::string> names;
  std::vector<T> values;
  for (const auto& [word, value] : known) {
    names.emplace_back(word);
    values.push_back(value);
  }
  shape->words = names;
  for (const auto& [word, value] : also) {
    shape->also.emplace_back(word);
    names.emplace_back(word);
    values.push_back(value);
  }
  const std::size_t advertised = known.size();
  return {[names = std::move(names), values = std::move(values), advertised, meant = std::move(meant)](
              Reader& reader, const YamlNode& node) -> std::optional<T> {
            const auto which = detail::which_word(reader, node, names, advertised, meant);
            if (!which) return std::nullopt;
            return values[*which];
          },
          std::move(shape)};
}

/// A position by any recipe.
Form<Position> position();
/// A call of a deed, straight or an arc, as text or as a map.
Form<DeedCall> deed_call();
Form<FeatureEntry> feature();
Form<Ground> ground();
Form<LineEntry> line_entry();
Form<RunEntry> run_entry();
Form<LengthUnit> unit();
Form<SiteEntry> site();
Form<OwnershipRule> ownership();
Form<DigPlan> dig_plan();

}  // namespace swingtie::form
