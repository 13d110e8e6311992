#include <fmt/format.h>
#include <unistd.h>

#include <cstdlib>
#include <fstream>
#include <sstream>

#include "cli/command.hpp"
#include "cli/output.hpp"
#include "cli/source.hpp"
#include "cli/template.hpp"
#include "place/new_job.hpp"

namespace swingtie {
namespace {

/// `41.2034,-81.4012`. Throws Usage for anything else.
LonLat place_of(const std::string& text) {
  char* end = nullptr;
  const double lat = std::strtod(text.c_str(), &end);
  if (end != text.c_str() && *end == ',') {
    const char* rest = end + 1;
    const double lon = std::strtod(rest, &end);
    if (end != rest && *end == '\0' && std::abs(lat) <= 90 && std::abs(lon) <= 180) return {lon, lat};
  }
  throw Usage{fmt::format("`--at {}` is no place", text), "latitude and longitude in degrees: --at 41.2034,-81.4012"};
}

std::string text_of(const std::optional<std::string>& path) {
  if (!path) return {};
  std::ifstream file(*path, std::ios::binary);
  std::stringstream text;
  text << file.rdbuf();
  if (!file) throw JobWrong{fmt::format("error: `{}` cannot be read\n", *path)};
  return text.str();
}

/// The job of a real lot, and what there is to say about it.
NewJob job_of_lot(const Arguments& arguments, const std::string& folder) {
  if (!arguments.has("--at")) throw Usage{"`--lot` needs a place on the lot", "--at 41.2034,-81.4012"};
  NewJobRequest request;
  request.lot_file = *arguments.value("--lot");
  request.layer = arguments.value("--layer").value_or("");
  request.folder = folder;
  request.at = place_of(*arguments.value("--at"));
  request.log_csv = text_of(arguments.value("--log"));
  request.locates_csv = text_of(arguments.value("--locates"));
  try {
    return new_job_from_parcel(request);
  } catch (const CannotBegin& fault) {
    throw JobWrong{fmt::format("error: {}\n", fault.what())};
  }
}

}  // namespace

Exit run_new(const Arguments& arguments) {
  std::string folder = arguments.operands.front();
  while (folder.size() > 1 && folder.back() == '/') folder.pop_back();
  const std::string path = folder + "/job.yaml";
  if (::access(path.c_str(), F_OK) == 0)
    throw Usage{fmt::format("`{}` is already there, and is left as it is", path), "name another folder"};
  NewJob job{std::string(job_template), {}};
  if (arguments.has("--lot")) {
    job = job_of_lot(arguments, folder);
  } else {
    for (const char* flag : {"--at", "--layer", "--log", "--locates"}) {
      if (arguments.has(flag)) throw Usage{fmt::format("`{}` goes with `--lot`", flag), "--lot FILE --at LAT,LON"};
    }
  }
  make_folder(folder);
  write_output(path, job.text);
  for (const std::string& line : job.found) complain(line + "\n");
  complain(fmt::format("wrote {0}\nnow: swingtie draw {0} -o plan.pdf\n", path));
  return Exit::done;
}

}  // namespace swingtie
