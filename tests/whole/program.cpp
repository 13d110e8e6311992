#include "whole/program.hpp"

#include <stdlib.h>
#include <sys/wait.h>

#include <catch2/catch.hpp>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>
#include <stdexcept>

namespace swingtie {
namespace {

std::string quoted(const std::string& word) {
  std::string result = "'";
  for (const char c : word) {
    if (c == '\'') {
      result += "'\\''";
    } else {
      result += c;
    }
  }
  return result + "'";
}

}  // namespace

std::string read_file(const std::string& path) {
  std::ifstream file(path, std::ios::binary);
  if (!file) {
    throw std::runtime_error("cannot read " + path);
  }
  std::ostringstream text;
  text << file.rdbuf();
  return text.str();
}

Outcome run_command(const std::string& command) {
  const ScratchFolder scratch;
  const std::string out = scratch.path("out");
  const std::string err = scratch.path("err");
  const std::string whole = "{ " + command + "\n} </dev/null >" + quoted(out) + " 2>" + quoted(err);
  const int status = std::system(whole.c_str());
  return {WIFEXITED(status) ? WEXITSTATUS(status) : -1, read_file(out), read_file(err)};
}

Outcome run_swingtie(const std::vector<std::string>& arguments) {
  std::string command = quoted(SWINGTIE_PROGRAM);
  for (const auto& argument : arguments) {
    command += " " + quoted(argument);
  }
  return run_command(command);
}

bool has_program(const std::string& name) {
  return run_command("command -v " + quoted(name)).exit_code == 0;
}

nlohmann::json solve_json(const std::string& job_path) {
  const Outcome outcome = run_swingtie({"solve", job_path, "--json"});
  INFO(outcome.err);
  REQUIRE((outcome.exit_code == 0 || outcome.exit_code == 1));
  return nlohmann::json::parse(outcome.out);
}

}  // namespace swingtie
