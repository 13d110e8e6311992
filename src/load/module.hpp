#pragma once

#include <string>
#include <string_view>

namespace swingtie {

/// Opens one of our own shared modules on demand and gives the object behind it. Linking GDAL costs every run 76 ms
/// before main, PROJ 20 ms, and most jobs need neither; so what uses them sits in `swingtie-<name>.so`.
///
/// A module exports three C functions by SWINGTIE_MODULE below: its version, which must be this program's own, the
/// name of its interface, and the object. It stays open until the process ends. May be called from any thread;
/// later calls cost a look-up.
///
/// Looked for in this order: the folders of the environment variable SWINGTIE_MODULES (separated by colons), then,
/// beside the program, `../lib/swingtie`, `../lib/<architecture>/swingtie` and `../lib64/swingtie`, then where
/// `cmake --install` and the Debian package put them, then wherever the loader looks: a program linked through the
/// CMake package has the folder of its modules in its run path.
/// @throws std::runtime_error naming the module, the folders searched and the loader's own words
void* open_module(std::string_view name, std::string_view interface);

/// The same with the type: `Interface::module_name` and `Interface::interface_name` are its names.
template <class Interface>
Interface& open_module() {
  return *static_cast<Interface*>(open_module(Interface::module_name, Interface::interface_name));
}

}  // namespace swingtie

/// Written once in a module's source: exports `object_type`, a default-constructible class derived from `interface`.
// Both are names of types, which take no parentheses.
// NOLINTBEGIN(bugprone-macro-parentheses)
#define SWINGTIE_MODULE(interface, object_type)                                               \
  extern "C" __attribute__((visibility("default"))) const char* swingtie_module_version() {   \
    return SWINGTIE_VERSION;                                                                  \
  }                                                                                           \
  extern "C" __attribute__((visibility("default"))) const char* swingtie_module_interface() { \
    return interface::interface_name;                                                         \
  }                                                                                           \
  extern "C" __attribute__((visibility("default"))) void* swingtie_module_object() {          \
    static object_type object;                                                                \
    return static_cast<interface*>(&object);                                                  \
  }
// NOLINTEND(bugprone-macro-parentheses)
