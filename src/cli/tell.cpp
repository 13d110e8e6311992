#include "cli/output.hpp"
#include "cli/source.hpp"
#include "findings/words.hpp"

namespace swingtie {

Exit run_tell(const Arguments& arguments) {
  const Audience audience = audience_of(arguments.value("--for").value_or("excavator")).value();
  const Worked worked = work_operand(arguments);
  print(tell(worked.placed, worked.findings, audience));
  return Exit::done;
}

}  // namespace swingtie
