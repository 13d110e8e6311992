#include <cmath>
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <string_view>

#include "job/deed_text.hpp"
#include "measure/utf8.hpp"

// Any bytes as a call of a deed, a leg of walls or a chord: a value, or a fault that lies inside the text.
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace swingtie;
  const std::string_view text(reinterpret_cast<const char*>(data), size);
  const auto inside = [&](const auto& parsed) {
    if (parsed.value) return;
    const TextFault& fault = parsed.fault;
    if (fault.message.empty() || fault.length == 0 || fault.offset > code_point_count(text)) std::abort();
  };
  for (const LengthUnit unit : {LengthUnit::foot, LengthUnit::metre}) {
    inside(parse_deed_call(text, unit));
    inside(parse_chord(text, unit));
    const auto leg = parse_wall_leg(text, unit);
    inside(leg);
    if (leg.value && !std::isfinite(leg.value->distance)) std::abort();
  }
  return 0;
}
