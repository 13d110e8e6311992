#include "findings/compare.hpp"

#include <fmt/format.h>

#include "cli/output.hpp"
#include "cli/source.hpp"
#include "cli/terminal.hpp"
#include "exchange/comparison.hpp"

namespace swingtie {

Exit run_compare(const Arguments& arguments) {
  const bool colour = colour_on_errors();
  const auto placed_of = [&](const std::string& operand, Source& source) {
    source = read_source(operand);
    std::vector<Diagnostic> warnings;
    Placed placed = place_source(source, warnings, colour);
    complain(rendered(warnings, source, colour));
    return placed;
  };
  Source old_source, new_source;
  const Placed earlier = placed_of(arguments.operands[0], old_source);
  const Placed later = placed_of(arguments.operands[1], new_source);
  const Comparison comparison = compare(earlier, later);
  complain(rendered(comparison.remarks, new_source, colour));
  print(arguments.has("--json") ? write_json(later, comparison) : tell(later, comparison));
  return Exit::done;
}

}  // namespace swingtie
