#pragma once

#include <cstdio>
#include <cstdlib>
#include <string>

namespace swingtie::outside {

/// What a command of another program prints on standard output; empty if it cannot be run.
inline std::string output_of(const std::string& command) {
  std::string text;
  FILE* pipe = popen((command + " 2>/dev/null").c_str(), "r");
  if (pipe == nullptr) return text;
  char buffer[4096];
  for (std::size_t n = 0; (n = std::fread(buffer, 1, sizeof buffer, pipe)) > 0;) text.append(buffer, n);
  pclose(pipe);
  return text;
}

inline bool has_program(const std::string& name) {
  return !output_of("command -v " + name).empty();
}

}  // namespace swingtie::outside
