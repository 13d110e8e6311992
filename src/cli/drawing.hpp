#pragma once

#include <string>
#include <vector>

#include "cli/command.hpp"
#include "cli/source.hpp"
#include "sheet/make_sheets.hpp"

namespace swingtie {

/// How a plan is to be drawn, from the flags that `draw` and `batch` share.
struct DrawingWish {
  SheetOptions options;
  double dpi = 150;
};

/// Every value of a style in one string: equal exactly when the styles draw alike.
std::string described(const Style& style);

/// Flags --sheet, --scale, --paper, --style and --dpi, as the table of flags has them.
std::vector<Flag> drawing_flags();
/// Throws Usage or JobWrong (for a style file) for values that cannot be.
DrawingWish drawing_wish(const Arguments&);

/// Endings of the drawing formats, without the dot.
const std::vector<std::string>& drawing_endings();

/// The files of one format: one for `pdf` and `html`, one per sheet for `svg` and `png`.
/// @param remarks  gets what could not be set as wished
std::vector<std::string> drawn(const std::string& format, const Worked&, DrawingWish,
                               std::vector<std::string>& remarks);

/// `plan.svg` for the first of several files, `plan-2.svg` for the second.
std::string numbered_path(const std::string& path, std::size_t number);

}  // namespace swingtie
