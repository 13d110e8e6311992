#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <string_view>

#include "findings/rules.hpp"
#include "sheet/style.hpp"

// Any bytes as a style file and as a rule set: a value exactly when there is no error.
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace swingtie;
  const std::string_view text(reinterpret_cast<const char*>(data), size);
  const auto consistent = [](const auto& checked) {
    bool error = false;
    for (const Diagnostic& diagnostic : checked.diagnostics) error = error || diagnostic.severity == Severity::error;
    if (checked.value.has_value() == error) std::abort();
  };
  consistent(read_style(text));
  consistent(read_rules(text));
  return 0;
}
