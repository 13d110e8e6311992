#include "serve/module.hpp"

#include "load/module.hpp"
#include "serve/scan_code.hpp"

namespace swingtie {
namespace {

class Server final : public ServeModule {
 public:
  void serve(const ServeOptions& options,
             const std::function<void(const std::string& url, const std::function<void()>& stop)>& ready) override {
    swingtie::serve(options, ready);
  }
  std::string scan_code(const std::string& text) override { return swingtie::scan_code(text); }
};

}  // namespace
}  // namespace swingtie

SWINGTIE_MODULE(swingtie::ServeModule, swingtie::Server)
