#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace swingtie {

/// International foot, exact: 0.3048 m (24 FR 5348, 1959).
inline constexpr double metres_per_foot = 0.3048;
/// International inch, exact: a twelfth of the foot.
inline constexpr double metres_per_inch = 0.0254;
/// U.S. survey foot, exact: 1200/3937 m. Retired after 2022 (85 FR 62698), alive in old deeds and state-plane data.
inline constexpr double metres_per_us_survey_foot = 1200.0 / 3937.0;

/// The unit in which a site is written and printed.
enum class LengthUnit { foot, us_survey_foot, metre };

constexpr double metres_per(LengthUnit unit) {
  switch (unit) {
    case LengthUnit::foot:
      return metres_per_foot;
    case LengthUnit::us_survey_foot:
      return metres_per_us_survey_foot;
    case LengthUnit::metre:
      break;
  }
  return 1.0;
}

/// True for the two feet, whose lengths are printed in feet and inches.
constexpr bool is_feet(LengthUnit unit) {
  return unit != LengthUnit::metre;
}

/// What was wrong with a piece of text that should have been a number, a length or a bearing.
struct TextFault {
  std::size_t offset = 0;  ///< code points from the start of the text to the fault
  std::size_t length = 1;  ///< code points
  std::string message;     ///< as Diagnostic::message
  std::string expected;    ///< as Diagnostic::expected
};

/// A value read from text, or what was wrong with it.
template <class T>
struct Parsed {
  std::optional<T> value;
  TextFault fault;  ///< meaningful only without a value
};

/// Reads a length in any written form: `5'6"`, `14'3 1/2"`, `5'-6½"`, `5 ft 6 in`, `66 in`, `1.7 m`, `170 cm`,
/// `2 ch 50 lk`, `40.25`, `-0.3`.
/// A plain number is in `unit`; feet, inches, yards, rods, chains and links are US survey ones if `unit` is, else
/// international; `us-ft` is always the survey foot. The sign precedes the whole. Infinite, NaN or absurd (over 1e9
/// m) values are faults, and so is what can be read in two ways: `5-6`, `1,500`, inches of 12 or more after feet.
/// @return metres
Parsed<double> parse_length(std::string_view text, LengthUnit unit);

/// How a length is printed.
enum class LengthStyle {
  decimal,    ///< `40.25 ft`, `12.27 m`
  tape,       ///< `40'3"` to the nearest inch, `12.27 m` to the nearest centimetre
  fine_tape,  ///< `40'3 1/4"` to the nearest quarter inch, `12.270 m`
};

/// A length as a person would read it off, in the site's unit.
/// @param decimals  digits after the point, for LengthStyle::decimal only
std::string format_length(double metres, LengthUnit unit, LengthStyle style, int decimals = 1);

}  // namespace swingtie
