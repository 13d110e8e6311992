#pragma once

#include "serve/server.hpp"

namespace swingtie {

/// The page's server as a module opened on demand (load/module.hpp): its HTTP library brings TLS and compression
/// libraries that no other command should wait for.
class ServeModule {
 public:
  static constexpr const char* module_name = "serve";
  static constexpr const char* interface_name = "serve/2";
  virtual ~ServeModule() = default;
  /// As swingtie::serve.
  virtual void serve(const ServeOptions& options,
                     const std::function<void(const std::string& url, const std::function<void()>& stop)>& ready) = 0;
  /// As swingtie::scan_code.
  virtual std::string scan_code(const std::string& text) = 0;
};

}  // namespace swingtie
