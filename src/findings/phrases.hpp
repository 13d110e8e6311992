#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "findings/findings.hpp"

namespace swingtie {

/// Small pieces of wording that several findings and texts share.

/// What a log entry says, in the job's own words where it has any: `joint offset 1 in`, `bend left 45°`,
/// `6 in clay begins`.
std::string words_of(const LogItem& item, bool first, LengthUnit unit);

std::string kind_name(FeatureKind kind);  ///< as people say it: `water line`, `right-of-way line`

/// A feature for print: its label, and its kind where the label does not say it: `linden (tree)`.
std::string name_of(const Feature& feature);

/// The same in a sentence: `the linden (tree)`, but `Parcel 7` and `12 Elm Court` without an article.
std::string the_name(const Feature& feature);
/// A tree in a sentence that says already that it is one: `the root zone of` `the linden`.
std::string the_tree(const Feature& feature);

/// A pipe for print: `6 in clay`, `150 mm clay`, `clay`; empty when nothing of it is known.
std::string pipe_name(const Pipe& pipe, LengthUnit unit);

/// `the line`, or `line studio` where the job has several.
std::string line_name(const Placed& placed, std::size_t line);

/// A length on tape in the site's unit, `22'4"` or `6.81 m`.
std::string tape(double metres, LengthUnit unit);
/// A length to a tenth of a foot or to the centimetre: `22.3 ft`, `6.81 m`.
std::string decimal(double metres, LengthUnit unit);
/// `4.7 to 5.9 ft`
std::string between(Interval interval, LengthUnit unit);
/// `5.3 ft deep (4.7 to 5.9)` without the word deep: value, unit, interval.
std::string with_interval(double value, Interval interval, LengthUnit unit);

/// Where something lies along the line: `4.3 ft (3.9 to 4.8) from this point along the pipe, toward the main`.
/// @param away  metres, positive toward the main
std::string along_pipe(double away, Interval away95, LengthUnit unit);

/// A probability for print, never 0 % or 100 %: `97 %`, `more than 99 %`, `less than 1 %`.
std::string percent(double probability);

/// `a, b and c`
std::string list_of(const std::vector<std::string>& parts);

std::string plural(int count, std::string_view word);  ///< `1 locate`, `2 locates`

}  // namespace swingtie
