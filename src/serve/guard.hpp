#pragma once

#include <chrono>
#include <deque>
#include <map>
#include <mutex>
#include <string>
#include <string_view>
#include <vector>

#include "serve/address.hpp"

namespace swingtie {

/// What the guard needs to know of a request.
struct Caller {
  std::string address;  ///< of the peer
  std::string host;     ///< the Host header
  std::string origin;   ///< the Origin header, empty when absent
  std::string token;    ///< what the request carries, empty when it carries none
};

/// Decides who may speak to the page's server.
///
/// A web page from anywhere can make a browser send requests to the loopback address. What stops it: the Host header
/// must be one of ours (a foreign name that resolves to the loopback address is refused), an Origin must be the
/// server's own, and every request that is not for the page itself carries the token that the page was opened with.
class Guard {
 public:
  /// @param address  the address listened on; @param port  the port
  /// @param token  asked of every call; never empty
  Guard(const std::string& address, int port, std::string token);

  enum class Verdict { welcome, wrong_host, wrong_origin, wrong_token, too_fast };

  /// @param needs_token  false for the page's own files, which hold nothing of the jobs
  Verdict judge(const Caller& caller, bool needs_token, std::chrono::steady_clock::time_point now);

  /// At most this many requests from one address in any ten seconds: above what fifty people make who share one.
  static constexpr std::size_t most_in_ten_seconds = 3000;

 private:
  std::vector<std::string> hosts_;  ///< acceptable Host headers, lower case
  std::string token_;
  std::mutex mutex_;
  std::map<std::string, std::deque<std::chrono::steady_clock::time_point>> recent_;
};

/// 128 bits from the system's random source, as 32 hexadecimal digits.
std::string random_token();

}  // namespace swingtie
