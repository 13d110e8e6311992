#include "sheet/system_fonts.hpp"

#include <fmt/format.h>

#include <stdexcept>

#include "load/module.hpp"
#include "sheet/fonts_module.hpp"

namespace swingtie {

SystemShaping shape_with_system_fonts(std::string_view utf8) {
  try {
    return open_module<SystemFonts>().shape(utf8);
  } catch (const std::runtime_error& e) {
    // A sheet with question marks in a name is better than none.
    return {{}, fmt::format("`{}` needs the system's fonts: {}", utf8, e.what())};
  }
}

}  // namespace swingtie
