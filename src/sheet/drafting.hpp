#pragma once

#include <map>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "findings/findings.hpp"
#include "place/placed.hpp"
#include "sheet/make_sheets.hpp"
#include "sheet/paper_geometry.hpp"
#include "sheet/type.hpp"

namespace swingtie {

/// What every part of a sheet is drawn from and with.
struct Drafting {
  const Placed& placed;
  const Findings& findings;
  const Style& style;
  Typesetter& type;
  SheetKind kind = SheetKind::dig;
  std::vector<std::size_t> item_order;    ///< what was seen: indices of Findings::items, house to main, line by line
  std::vector<std::size_t> log_order;     ///< the same of every entry of the logs, bends and pipe changes too
  std::vector<std::size_t> item_numbers;  ///< number printed for an item, from 1, by its index; 0: none
  /// A large sheet is read from farther off: it is laid out this much smaller, at scales that are as much smaller,
  /// and the whole display list is enlarged at the end, lettering and pens with it.
  double enlarged = 1;

  const Look& look(std::string_view of) const { return style.look(of); }
  const TypeLook& type_look(std::string_view of) const { return style.type(of); }
  Text text(std::string_view words, std::string_view of) const { return type.set(words, style.type(of)); }
  double em(std::string_view of) const { return style.type(of).size_pt * mm_per_point; }
};

Drafting start_drafting(const Placed& placed, const Findings& findings, const Style& style, Typesetter& type);

/// Gathers the objects of one sheet in its layers.
class SheetBuilder {
 public:
  SheetBuilder(double width, double height);

  /// Adds an object under a unique id: a second `house` becomes `house-2`.
  Object& add(std::string_view layer, Object object);
  void add(std::string_view layer, std::string_view id, std::string_view kind, std::string_view title, Role role,
           std::vector<Mark> marks, std::string_view link = {});

  /// Notes that a kind of thing is on this sheet, for its legend.
  void note(std::string_view legend_key) { legend_.emplace(legend_key); }
  const std::set<std::string, std::less<>>& legend() const { return legend_; }

  Sheet sheet;

 private:
  std::map<std::string, int, std::less<>> used_ids_;
  std::set<std::string, std::less<>> legend_;
};

/// A valid XML name made of any text.
std::string name_of(std::string_view text);

Pen pen_of(const Look& look);
/// The path in the look's pen and fill.
Path drawn(Path path, const Look& look);
/// The rings' fill and hatching, without outline, inside a box.
std::vector<Mark> area_marks(const std::vector<Polyline>& rings, const Look& look, const PaperBox& clip);
/// The line in the look's pen inside a box; empty when nothing is inside.
std::vector<Mark> line_marks(const Polyline& line, const Look& look, const PaperBox& clip, bool closed = false);

/// The colour, darkened until small letters in it can be read on white paper: a contrast of 4.5 to 1, by the relative
/// luminance of WCAG 2.1 (success criterion 1.4.3).
Colour legible(Colour colour);

/// The text moved so that its baseline starts, centres or ends at a point. @param align  0 left, 0.5 centre, 1 right
Text set_at(Text text, PaperPoint baseline, double align = 0);

// Words for numbers, in the site's unit. Nothing is computed: a figure of the findings is rounded and named.
std::string feet_or_metres(const Drafting& d, double metres);           ///< `5.2 ft`, `1.58 m`
std::string bare(const Drafting& d, double metres);                     ///< `5.2`, `1.58`
std::string taped(const Drafting& d, double metres);                    ///< `40'8"`, `12.40 m`
std::string range(const Drafting& d, const Interval& interval);         ///< `4.6–5.9 ft`
std::string bare_range(const Drafting& d, const Interval& interval);    ///< `4.6–5.9`
std::string give_or_take(const Drafting& d, const Interval& interval);  ///< `± 5"`, `± 0.12 m`: half the interval
std::string plus_minus(const Drafting& d, double metres);               ///< the same of a half-width
std::string percentage(double probability);                             ///< `97 %`, `99.6 %`, `over 99.9 %`
std::string short_percentage(double probability);                       ///< the same for a table: `> 99.9 %`
std::string hundredths_of(double ratio);                         ///< a grade in per cent, without the sign: `2.1`
std::string station_text(const Drafting& d, Station station);    ///< `0+40.6`, `0+012.40`
std::string counter_text(const Drafting& d, CounterReading at);  ///< `41 ft`, `12.5 m`
std::string unit_name(const Drafting& d);                        ///< `ft`, `m`
std::string feature_name(const Placed& placed,
                         std::size_t feature);                      ///< its label, its id, or the words for its kind
std::string limit_name(const Placed& placed, std::size_t feature);  ///< `lot line` where `lot` would be its name
std::string kind_words(FeatureKind kind);                           ///< `right-of-way`, `hydrant`

}  // namespace swingtie
