#include "sheet/system_fonts.hpp"

namespace swingtie {

SystemShaping shape_with_system_fonts(std::string_view utf8) {
  SystemShaping out;
  out.remark = "no font for `" + std::string(utf8) + "`";
  return out;
}

}  // namespace swingtie
