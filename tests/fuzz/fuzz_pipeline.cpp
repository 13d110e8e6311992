#include <cctype>
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <string>
#include <string_view>

#include "findings/findings.hpp"
#include "job/job.hpp"
#include "place/placed.hpp"
#include "route/posterior.hpp"
#include "sheet/make_sheets.hpp"

// Any bytes as a job, through every stage to the display list: no number that is not one on the paper.
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace swingtie;
  const Checked<Job> job = read_job({reinterpret_cast<const char*>(data), size});
  if (!job.value) return 0;
  const Checked<Placed> placed = place(*job.value, "/nonexistent");
  if (!placed.value) return 0;
  const Findings findings = find(*placed.value, solve(*placed.value));
  SheetOptions options;
  options.kind = SheetKind::full;
  for (const Sheet& sheet : make_sheets(*placed.value, findings, options)) {
    const std::string list = dump(sheet);
    for (const std::string_view word : {" nan", " -nan", " inf", " -inf"})
      for (std::size_t at = list.find(word); at != std::string::npos; at = list.find(word, at + 1))
        if (at + word.size() == list.size() || std::isalnum(static_cast<unsigned char>(list[at + word.size()])) == 0)
          std::abort();
  }
  return 0;
}
