#pragma once

#include <string>
#include <vector>

#include "cli/command.hpp"
#include "exchange/table.hpp"
#include "findings/findings.hpp"
#include "measure/diagnostic.hpp"
#include "place/placed.hpp"
#include "route/posterior.hpp"

namespace swingtie {

/// The text of a job and where it came from.
struct Source {
  std::string shown;   ///< the path as typed (with `/job.yaml` where a folder was typed), `-` for standard input
  std::string name;    ///< short name of the job: the file's stem, the folder's name for a `job.yaml`
  std::string folder;  ///< that paths in the job are relative to
  std::string text;
};

/// A job that cannot be used: what to tell the person who wrote it.
struct JobWrong {
  std::string message;  ///< complete, rendered, ends with a newline
};

/// A job through all stages.
struct Worked {
  Source source;
  Placed placed;
  Posterior posterior;
  Findings findings;
  std::vector<Diagnostic> warnings;

  JobFindings result() const { return {&placed, &findings, source.name}; }
};

/// Reads a job's text. Throws JobWrong when there is none at that path.
Source read_source(const std::string& operand);

/// A job up to its placed form. Throws JobWrong with every error of the first stage that found one.
/// @param warnings  gets what is no error
Placed place_source(const Source& source, std::vector<Diagnostic>& warnings, bool colour);

/// Takes a job through all stages. Throws JobWrong with every error of the first stage that found one.
Worked work(Source source, const FindingsOptions& options, bool colour);

/// The flags --sure and --rules, as the table of flags has them, and what they ask for.
std::vector<Flag> findings_flags();
/// Throws Usage for a probability outside [0.5, 0.999] and for a rule file that cannot be read.
FindingsOptions findings_options(const Arguments&);

/// Reads and works the one job of a command line and prints its warnings to standard error.
Worked work_operand(const Arguments&);

/// All messages as a person reads them, in the order of the file.
std::string rendered(const std::vector<Diagnostic>&, const Source&, bool colour);

/// `R1 at 41 ft` for a counter reading of a run; the run is left out where there is only one.
std::string place_on_run(const Placed&, std::size_t run, CounterReading at);

}  // namespace swingtie
