#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <string_view>

#include "job/job.hpp"
#include "measure/utf8.hpp"

// Any bytes as a job file: no crash, a value exactly when there is no error, and every message can be shown.
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace swingtie;
  const std::string_view text(reinterpret_cast<const char*>(data), size);
  const auto checked = read_job(text);
  bool error = false;
  for (const Diagnostic& diagnostic : checked.diagnostics) {
    error = error || diagnostic.severity == Severity::error;
    if (find_bad_utf8(diagnostic.message) != std::string_view::npos) std::abort();
  }
  if (checked.value.has_value() == error) std::abort();
  const std::string shown = render_all(checked.diagnostics, "job.yaml", text, true);
  if (find_bad_utf8(shown) != std::string_view::npos) std::abort();
  return 0;
}
