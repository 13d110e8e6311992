#pragma once

#include <string>
#include <vector>

#include <nlohmann/json_fwd.hpp>

#include "scratch_folder.hpp"

namespace swingtie {

/// What a run of some program printed, and how it ended.
struct Outcome {
  int exit_code = -1;
  std::string out, err;
};

/// Runs a command of the shell, with nothing on its standard input.
Outcome run_command(const std::string& command);

/// Runs the swingtie program of this build with these arguments.
Outcome run_swingtie(const std::vector<std::string>& arguments);

/// True when the shell finds a program of this name.
bool has_program(const std::string& name);

std::string read_file(const std::string& path);

/// `swingtie solve --json` of a job file. Requires that it is read and solved: exit code 0 or 1.
nlohmann::json solve_json(const std::string& job_path);

}  // namespace swingtie
