#include <fmt/format.h>
#include <unistd.h>

#include "cli/command.hpp"
#include "cli/output.hpp"
#include "cli/template.hpp"

namespace swingtie {

Exit run_new(const Arguments& arguments) {
  std::string folder = arguments.operands.front();
  while (folder.size() > 1 && folder.back() == '/') folder.pop_back();
  const std::string path = folder + "/job.yaml";
  if (::access(path.c_str(), F_OK) == 0)
    throw Usage{fmt::format("`{}` is already there, and is left as it is", path), "name another folder"};
  make_folder(folder);
  write_output(path, job_template);
  complain(fmt::format("wrote {0}\nnow: swingtie draw {0} -o plan.pdf\n", path));
  return Exit::done;
}

}  // namespace swingtie
