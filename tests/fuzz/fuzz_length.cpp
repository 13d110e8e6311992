#include <cmath>
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <string_view>

#include "measure/length.hpp"
#include "measure/utf8.hpp"

// Any bytes as a length: a finite value of sane size or a fault inside the text, and what is read prints and reads
// back.
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace swingtie;
  const std::string_view text(reinterpret_cast<const char*>(data), size);
  for (const LengthUnit unit : {LengthUnit::foot, LengthUnit::us_survey_foot, LengthUnit::metre}) {
    const auto parsed = parse_length(text, unit);
    if (!parsed.value) {
      if (parsed.fault.message.empty() || parsed.fault.length == 0) std::abort();
      if (parsed.fault.offset > code_point_count(text)) std::abort();
      continue;
    }
    if (!(std::abs(*parsed.value) <= 1e9)) std::abort();
    const std::string printed = format_length(*parsed.value, unit, LengthStyle::fine_tape);
    const auto again = parse_length(printed, unit);
    if (!again.value || format_length(*again.value, unit, LengthStyle::fine_tape) != printed) std::abort();
  }
  return 0;
}
