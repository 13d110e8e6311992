#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace swingtie {

/// An ISO 8601 date (`2026-04-18`) moved by whole months; a day that the month has not becomes its last day.
/// Empty for anything that is no such date. Proleptic Gregorian, years 1 to 9999.
std::string months_later(std::string_view date, int months);

/// `18 April 2026`; the text itself for anything that is no ISO 8601 date.
std::string date_words(std::string_view date);

}  // namespace swingtie
