#include "load/module.hpp"

#include <dlfcn.h>

#include <cstdlib>
#include <filesystem>
#include <map>
#include <mutex>
#include <stdexcept>
#include <vector>

namespace swingtie {
namespace {

std::vector<std::filesystem::path> module_folders() {
  std::vector<std::filesystem::path> folders;
  if (const char* listed = std::getenv("SWINGTIE_MODULES"); listed != nullptr) {
    std::string_view rest(listed);
    while (!rest.empty()) {
      const std::size_t colon = std::min(rest.find(':'), rest.size());
      if (colon > 0) folders.emplace_back(rest.substr(0, colon));
      rest.remove_prefix(std::min(colon + 1, rest.size()));
    }
  }
  std::error_code failed;
  const std::filesystem::path program = std::filesystem::read_symlink("/proc/self/exe", failed);
  if (!failed) {
    const std::filesystem::path prefix = program.parent_path().parent_path();
    for (const char* lib : {"lib/swingtie", "lib/" SWINGTIE_ARCHITECTURE "/swingtie", "lib64/swingtie"}) {
      folders.push_back(prefix / lib);
    }
  }
  // For programs of others that link the library: where `cmake --install` and where the Debian package puts them.
  folders.emplace_back(SWINGTIE_MODULE_FOLDER);
  folders.emplace_back("/usr/lib/swingtie");
  return folders;
}

template <class Function>
Function* symbol(void* library, const char* name) {
  return reinterpret_cast<Function*>(dlsym(library, name));
}

void* object_of(std::string_view name, std::string_view interface) {
  const std::string file = "swingtie-" + std::string(name) + ".so";
  std::string searched, fault;
  std::vector<std::string> paths;
  for (const std::filesystem::path& folder : module_folders()) {
    searched += "\n  " + folder.string();
    std::error_code failed;
    if (std::filesystem::exists(folder / file, failed)) paths.push_back(folder / file);
  }
  // By its name alone: where the loader looks, which the CMake package tells the programs that link the library.
  paths.push_back(file);
  for (const std::string& path : paths) {
    // Its libraries' symbols stay its own: two modules may carry different copies of one.
    void* library = dlopen(path.c_str(), RTLD_NOW | RTLD_LOCAL);
    if (library == nullptr) {
      // Of one that is simply not there the list of folders says enough.
      if (path != file) fault = "\n" + std::string(dlerror());
      continue;
    }
    auto* version = symbol<const char*()>(library, "swingtie_module_version");
    auto* exported = symbol<const char*()>(library, "swingtie_module_interface");
    auto* object = symbol<void*()>(library, "swingtie_module_object");
    if (version != nullptr && exported != nullptr && object != nullptr &&
        std::string_view(version()) == SWINGTIE_VERSION && exported() == interface) {
      return object();
    }
    fault = "\n" + path + " belongs to another version of swingtie";
    dlclose(library);
  }
  throw std::runtime_error("the module " + file + " cannot be opened; it was looked for in" + searched + fault);
}

}  // namespace

void* open_module(std::string_view name, std::string_view interface) {
  static std::mutex mutex;
  static std::map<std::string, void*, std::less<>> opened;
  const std::lock_guard lock(mutex);
  const auto found = opened.find(name);
  if (found != opened.end()) return found->second;
  void* object = object_of(name, interface);
  opened.emplace(name, object);
  return object;
}

}  // namespace swingtie
