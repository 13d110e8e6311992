#include <fmt/format.h>

#include <algorithm>
#include <deque>

#include "cli/batch/batch.hpp"
#include "cli/output.hpp"
#include "cli/source.hpp"
#include "cli/terminal.hpp"
#include "exchange/formats.hpp"
#include "exchange/gdal_formats.hpp"
#include "measure/words.hpp"

namespace swingtie {
namespace {

std::string list_of_formats() {
  std::string text;
  for (const Format& format : formats())
    text += fmt::format("  {:<10} {:<28} {}\n", format.extension, format.name, format.frame);
  return text;
}

std::vector<std::string> endings() {
  std::vector<std::string> all;
  for (const Format& format : formats()) all.emplace_back(format.extension);
  return all;
}

const Format& wanted_format(const std::string& output, const Arguments& arguments) {
  if (const auto as = arguments.value("--as")) {
    if (const Format* format = format_of(fmt::format("x.{}", *as))) return *format;
    throw Usage{fmt::format("there is no format `{}`: expected one of {}", *as, fmt::join(endings(), ", ")), {}};
  }
  if (output == "-") throw Usage{"standard output has no ending to say the format", "add --as geojson"};
  if (const Format* format = format_of(output)) return *format;
  throw Usage{
      fmt::format("`{}` does not end like a data file: expected one of {}", output, fmt::join(endings(), ", ")),
      "drawings are written by `swingtie draw`"};
}

/// The jobs of the command line, a folder's jobs one by one; each is named after where it lies.
std::deque<Worked> work_operands(const Arguments& arguments) {
  std::deque<Worked> all;
  if (arguments.operands.size() == 1 &&
      (arguments.operands.front() == "-" || is_one_job(arguments.operands.front()))) {
    all.push_back(work_operand(arguments));
    return all;
  }
  const FindingsOptions options = findings_options(arguments);
  const bool colour = colour_on_errors();
  std::string wrong;
  for (const BatchJob& job : list_jobs(arguments.operands).jobs) {
    try {
      Source source = read_source(job.path);
      source.name = job.name;
      all.push_back(work(std::move(source), options, colour));
      complain(rendered(all.back().warnings, all.back().source, colour));
    } catch (const JobWrong& one) {
      wrong += wrong.empty() ? one.message : "\n" + one.message;
    }
  }
  if (!wrong.empty()) throw JobWrong{wrong};
  return all;
}

}  // namespace

Exit run_export(const Arguments& arguments) {
  if (arguments.has("--list")) {
    print(list_of_formats());
    return Exit::done;
  }
  if (arguments.operands.empty()) throw Usage{"`export` needs a job", "`swingtie export -h` shows what it takes"};
  const auto output = arguments.value("--output");
  const auto database = arguments.value("--to");
  if (output && database) throw Usage{"`--output` and `--to` are two places to write to", "give one of them"};
  if (!output && !database)
    throw Usage{"`export` needs a file to write", "add -o lateral.geojson; --list shows the formats"};
  if (database && database->rfind("PG:", 0) != 0)
    throw Usage{fmt::format("`{}` is not a PostGIS database", *database), "write --to \"PG:host=… dbname=…\""};
  if (arguments.has("--schema") && !database) throw Usage{"`--schema` belongs to a database", "add --to \"PG:…\""};
  const Format* format = output ? &wanted_format(*output, arguments) : nullptr;
  const std::deque<Worked> worked = work_operands(arguments);
  std::vector<JobFindings> jobs;
  for (const Worked& one : worked) jobs.push_back(one.result());
  if (format) {
    write_output(*output, format->write(jobs));
    return Exit::done;
  }
  const std::string schema = arguments.value("--schema").value_or("swingtie");
  try {
    const std::size_t rows = append_to_database(*database, schema, jobs);
    complain(fmt::format("wrote {} of {} into the schema {}\n", counted(rows, "row"), counted(jobs.size(), "job"),
                         schema));
  } catch (const CannotExport&) {
    throw;
  } catch (const std::runtime_error& failure) {
    throw CannotWrite(failure.what());
  }
  return Exit::done;
}

}  // namespace swingtie
