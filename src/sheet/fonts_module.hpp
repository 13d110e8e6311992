#pragma once

#include <string_view>

#include "sheet/system_fonts.hpp"

namespace swingtie {

/// What swingtie-fonts.so does: everything that needs Pango and fontconfig, which cost 11 ms when they start.
class SystemFonts {
 public:
  static constexpr std::string_view module_name = "fonts";
  static constexpr const char* interface_name = "swingtie::SystemFonts 1";
  virtual ~SystemFonts() = default;
  virtual SystemShaping shape(std::string_view utf8) = 0;
};

}  // namespace swingtie
