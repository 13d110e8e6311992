#pragma once

#include <string>
#include <vector>

#include "sheet/sheet.hpp"

namespace swingtie {

/// Draws sheets. Each function returns the bytes of the file; the same sheets give the same bytes.
/// They throw std::runtime_error when a font or picture cannot be used or the drawing library fails.

/// All sheets as pages of one PDF 1.7: text is text, fonts are embedded subsets, layers can be switched, the map is
/// georeferenced where the job is.
std::string write_pdf(const std::vector<Sheet>& sheets);

/// One sheet as SVG at its real size: a group per layer, an id, class and title per object, text as text.
std::string write_svg(const Sheet& sheet);

/// One sheet as PNG. @param dpi  pixels per inch, 36 to 1200
std::string write_png(const Sheet& sheet, double dpi);

/// All sheets in one HTML file that needs no network: pan, zoom, tap an object for its words.
std::string write_html(const std::vector<Sheet>& sheets);

}  // namespace swingtie
