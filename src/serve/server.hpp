#pragma once

#include <filesystem>
#include <functional>
#include <string>

namespace swingtie {

struct ServeOptions {
  std::filesystem::path folder = ".";  ///< jobs are read and written inside this folder only
  std::string address = "127.0.0.1";   ///< any other than a loopback address lets others on the network in
  int port = 8470;                     ///< 0: any free port
};

/// Serves the page for the field and its local API (page/openapi.yaml) until `stop` is called or the process is
/// interrupted.
/// @param ready  called once with the address to open in a browser, token included, and with a function that stops
///               the server; may be called from another thread than the caller's
/// Throws std::system_error when the folder or the port cannot be had.
void serve(const ServeOptions& options,
           const std::function<void(const std::string& url, const std::function<void()>& stop)>& ready);

}  // namespace swingtie
