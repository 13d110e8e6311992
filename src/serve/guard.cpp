#include "serve/guard.hpp"

#include <sys/random.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <cerrno>
#include <cstdio>
#include <system_error>

namespace swingtie {
namespace {

std::string lower(std::string_view text) {
  std::string out(text);
  std::transform(out.begin(), out.end(), out.begin(), [](unsigned char c) { return std::tolower(c); });
  return out;
}

/// Takes the same time wherever the first difference is.
bool same_secret(std::string_view a, std::string_view b) {
  if (a.size() != b.size()) return false;
  unsigned difference = 0;
  for (std::size_t i = 0; i < a.size(); ++i)
    difference |= static_cast<unsigned char>(a[i]) ^ static_cast<unsigned char>(b[i]);
  return difference == 0;
}

}  // namespace

std::string random_token() {
  std::array<unsigned char, 16> bytes{};
  std::size_t have = 0;
  while (have < bytes.size()) {
    const auto got = ::getrandom(bytes.data() + have, bytes.size() - have, 0);
    if (got < 0 && errno == EINTR) continue;
    if (got < 0) throw std::system_error(errno, std::generic_category(), "the system's random source");
    have += static_cast<std::size_t>(got);
  }
  std::string text;
  for (const unsigned char b : bytes) {
    std::array<char, 3> two{};
    std::snprintf(two.data(), two.size(), "%02x", b);
    text += two.data();
  }
  return text;
}

Guard::Guard(const std::string& address, int port, std::string token) : token_(std::move(token)) {
  const std::string suffix = ":" + std::to_string(port);
  const auto add = [&](const std::string& host) {
    hosts_.push_back(lower(host) + suffix);
    if (port == 80) hosts_.push_back(lower(host));
  };
  add(address.find(':') != std::string::npos && address.front() != '[' ? "[" + address + "]" : address);
  if (is_loopback(address)) {
    add("localhost");
    add("127.0.0.1");
    add("[::1]");
  }
}

Guard::Verdict Guard::judge(const Caller& caller, bool needs_token, std::chrono::steady_clock::time_point now) {
  {
    const std::lock_guard lock(mutex_);
    if (recent_.size() > 1000) recent_.clear();
    auto& times = recent_[caller.address];
    while (!times.empty() && now - times.front() > std::chrono::seconds(10)) times.pop_front();
    if (times.size() >= most_in_ten_seconds) return Verdict::too_fast;
    times.push_back(now);
  }
  const auto host = lower(caller.host);
  if (std::find(hosts_.begin(), hosts_.end(), host) == hosts_.end()) return Verdict::wrong_host;
  if (!caller.origin.empty() && lower(caller.origin) != "http://" + host) return Verdict::wrong_origin;
  if (needs_token && !same_secret(caller.token, token_)) return Verdict::wrong_token;
  return Verdict::welcome;
}

}  // namespace swingtie
