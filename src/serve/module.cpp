#include "serve/module.hpp"

#include "load/module.hpp"

namespace swingtie {
namespace {

class Server final : public ServeModule {
 public:
  void serve(const ServeOptions& options,
             const std::function<void(const std::string& url, const std::function<void()>& stop)>& ready) override {
    swingtie::serve(options, ready);
  }
};

}  // namespace
}  // namespace swingtie

SWINGTIE_MODULE(swingtie::ServeModule, swingtie::Server)
