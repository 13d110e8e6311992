#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <string_view>

#include "measure/bearing.hpp"
#include "measure/utf8.hpp"

// Any bytes as a bearing, an angle, a point of the compass or a course.
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace swingtie;
  const std::string_view text(reinterpret_cast<const char*>(data), size);
  const auto inside = [&](const TextFault& fault) {
    if (fault.message.empty() || fault.length == 0 || fault.offset > code_point_count(text)) std::abort();
  };
  const auto bearing = parse_bearing(text);
  if (bearing.value) {
    if (!(bearing.value->radians >= 0 && bearing.value->radians < 2 * pi)) std::abort();
    for (const BearingStyle style : {BearingStyle::quadrant, BearingStyle::azimuth}) {
      const std::string printed = format_bearing(*bearing.value, style);
      const auto again = parse_bearing(printed);
      if (!again.value || format_bearing(*again.value, style) != printed) std::abort();
    }
  } else {
    inside(bearing.fault);
  }
  const auto angle = parse_angle(text);
  if (!angle.value) inside(angle.fault);
  const auto course = parse_course(text, LengthUnit::foot);
  if (!course.value) inside(course.fault);
  parse_compass_point(text);
  return 0;
}
