#pragma once

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <string>

namespace swingtie {

/// A fresh folder that goes away with the test.
class Scratch {
 public:
  Scratch() {
    std::string pattern = (std::filesystem::temp_directory_path() / "swingtie-serve-XXXXXX").string();
    path = ::mkdtemp(pattern.data());
  }
  ~Scratch() { std::filesystem::remove_all(path); }
  Scratch(const Scratch&) = delete;
  Scratch& operator=(const Scratch&) = delete;
  void write(const std::string& name, const std::string& text) const {
    std::filesystem::create_directories((path / name).parent_path());
    std::ofstream(path / name) << text;
  }
  std::filesystem::path path;
};

}  // namespace swingtie
