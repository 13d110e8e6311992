#pragma once

#include <string_view>

namespace swingtie {

/// True for 127.0.0.0/8, ::1 and `localhost`: nobody outside this machine reaches it.
constexpr bool is_loopback(std::string_view address) {
  return address.starts_with("127.") || address == "::1" || address == "[::1]" || address == "localhost";
}

/// True for the addresses that stand for all of a machine's addresses; a Host header could not be checked for them.
constexpr bool is_wildcard(std::string_view address) {
  return address == "0.0.0.0" || address == "::" || address == "[::]" || address == "*" || address.empty();
}

}  // namespace swingtie
