#include <fmt/format.h>

#include <charconv>
#include <filesystem>

#include "cli/command.hpp"
#include "cli/output.hpp"
#include "cli/source.hpp"
#include "cli/terminal.hpp"
#include "load/module.hpp"
#include "serve/address.hpp"
#include "serve/module.hpp"

namespace swingtie {
namespace {

int port_of(const std::string& text) {
  int port = -1;
  const auto [end, fault] = std::from_chars(text.data(), text.data() + text.size(), port);
  if (fault != std::errc() || end != text.data() + text.size() || port < 0 || port > 65535)
    throw Usage{fmt::format("`{}` is no port", text), "a port is a whole number from 0 (any free one) to 65535"};
  return port;
}

}  // namespace

Exit run_serve(const Arguments& arguments) {
  ServeOptions options;
  if (!arguments.operands.empty()) options.folder = arguments.operands.front();
  if (!std::filesystem::is_directory(options.folder))
    throw Usage{fmt::format("there is no folder `{}`", options.folder.string()),
                "name the folder that holds the jobs"};
  if (const auto port = arguments.value("--port")) options.port = port_of(*port);
  if (const auto address = arguments.value("--address")) options.address = *address;
  if (is_wildcard(options.address))
    throw Usage{fmt::format("`{}` is every address of this machine at once", options.address),
                "name the one address that the tablet reaches, as `ip address` or `hostname -I` lists it"};
  auto& server = open_module<ServeModule>();
  server.serve(options, [&](const std::string& url, const std::function<void()>&) {
    if (!is_loopback(options.address))
      complain(
          "warning: anybody on this network who has the address below can read and change the jobs in this folder\n"
          "  = hint: the connection is not encrypted; use it on a network you trust, and stop it when you are "
          "done\n");
    print(fmt::format("{}\n", url));
    if (!is_loopback(options.address) && errors_are_a_terminal()) {
      complain(server.scan_code(url));
      complain("open this address in a browser, or point a telephone's camera at the code; Ctrl-C stops it\n");
    } else {
      complain("open this address in a browser; Ctrl-C stops it\n");
    }
  });
  return Exit::done;
}

}  // namespace swingtie
