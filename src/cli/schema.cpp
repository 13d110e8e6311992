#include "cli/command.hpp"
#include "cli/output.hpp"
#include "exchange/table.hpp"
#include "job/job.hpp"

namespace swingtie {

Exit run_schema(const Arguments& arguments) {
  if (arguments.has("--attributes"))
    print(attribute_tables());
  else
    print(arguments.has("--reference") ? job_reference() : job_schema());
  return Exit::done;
}

}  // namespace swingtie
