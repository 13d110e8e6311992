#include "place/file_fence.hpp"

#include <algorithm>
#include <filesystem>
#include <system_error>

namespace swingtie {
namespace {

namespace fs = std::filesystem;

/// Whether a path, links followed, is the folder or lies inside it. Throws fs::filesystem_error.
bool lies_inside(const fs::path& path, const fs::path& folder) {
  const fs::path there = fs::weakly_canonical(path), fence = fs::canonical(folder);
  return std::mismatch(fence.begin(), fence.end(), there.begin(), there.end()).first == fence.end();
}

/// Whether everything that a reader of this file may open with it lies inside the folder.
bool companions_inside(const fs::path& path, const fs::path& folder) {
  const bool is_folder = fs::is_directory(path);
  const fs::path beside = is_folder ? path : fs::absolute(path).parent_path();
  if (!fs::is_directory(beside)) return true;
  const std::string stem = is_folder ? std::string() : path.stem().string();
  for (const auto& entry : fs::directory_iterator(beside)) {
    const bool goes_with_it = entry.path().filename().string().rfind(stem, 0) == 0;
    if (goes_with_it && entry.is_symlink() && !lies_inside(entry.path(), folder)) return false;
  }
  return true;
}

}  // namespace

std::optional<std::string> FileFence::path(const std::string& name) const {
  const fs::path whole = fs::path(folder) / name;
  if (within.empty()) return whole.string();
  try {
    if (name.find('\0') == std::string::npos && lies_inside(whole, within) && companions_inside(whole, within))
      return whole.string();
  } catch (const fs::filesystem_error&) {
    // What cannot be looked at is not let through.
  }
  return std::nullopt;
}

}  // namespace swingtie
