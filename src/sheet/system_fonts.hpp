#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "sheet/sheet.hpp"

namespace swingtie {

/// Glyphs of one system font, in ems from the start of the text.
struct SystemRun {
  std::string file, family;
  int face_index = 0;
  std::vector<Glyph> glyphs;  ///< x, y in ems
  double end = 0;             ///< ems, right end of the run
  std::size_t text_offset = 0, text_length = 0;
  bool right_to_left = false;
};

struct SystemShaping {
  std::vector<SystemRun> runs;  ///< in visual order; empty when no font could be used
  std::string remark;           ///< which font is missing, or empty
};

/// Shapes a line of any script with the system's fonts, through a module loaded at the first call.
SystemShaping shape_with_system_fonts(std::string_view utf8);

}  // namespace swingtie
