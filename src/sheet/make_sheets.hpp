#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "findings/findings.hpp"
#include "place/placed.hpp"
#include "sheet/sheet.hpp"
#include "sheet/style.hpp"

namespace swingtie {

/// Whom the sheet is for: the excavator, the buyer, the city; `full` is the three of them in this order.
enum class SheetKind { dig, route, boundary, full };

enum class Paper { letter, tabloid, ansi_c, ansi_d, a4, a3, a2 };

std::optional<SheetKind> sheet_kind(std::string_view name);
std::string_view sheet_kind_name(SheetKind kind);
/// `letter`, `tabloid`, `ansi-c`, `ansi-d`, `a4`, `a3`, `a2`; case does not matter.
std::optional<Paper> paper(std::string_view name);
std::string_view paper_name(Paper paper);
std::vector<std::string> sheet_kind_names();
std::vector<std::string> paper_names();

struct SheetOptions {
  SheetKind kind = SheetKind::dig;
  /// Wanted scale, 240 for 1:240; empty: the largest standard scale that fits. A wanted scale that does not fit shows
  /// the part of the plan around the route.
  std::optional<double> scale_denominator;
  /// Empty: letter or A4 by the site's unit, the next larger sheet when the plan would be too small to read.
  std::optional<Paper> paper;
  Style style = built_in_style("colour").value();
  std::string folder;  ///< photos are named relative to it; empty: the working directory
  std::string within;  ///< photos outside this folder are left out; empty: any may be shown
};

/// Reads a scale as people write it: `1:240`, `240`, `1"=20'`, `1 in = 20 ft`. @return the denominator
Parsed<double> parse_scale(std::string_view text);
/// `1" = 20'` in feet, `1:250` in metres.
std::string format_scale(double denominator, LengthUnit unit);

/// Lays out the sheets. Formats findings and computes none of them.
std::vector<Sheet> make_sheets(const Placed& placed, const Findings& findings, const SheetOptions& options);

}  // namespace swingtie
