#pragma once

#include <string>

#include "sheet/sheet.hpp"

namespace swingtie {

/// What lies over what on a sheet, by its display list.
struct Overlaps {
  double words = 0;   ///< mm² of text over text
  int route = 0;      ///< labels over a piece of the route
  int symbols = 0;    ///< labels over a piece of a symbol
  int leaders = 0;    ///< labels over another's leader, and leaders that cross
  std::string first;  ///< the first pair found, for the failure message
  bool none() const { return words == 0 && route + symbols + leaders == 0; }
};

Overlaps overlaps(const Sheet& sheet);

}  // namespace swingtie
