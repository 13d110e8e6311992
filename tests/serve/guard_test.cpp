#include "serve/guard.hpp"

#include <catch2/catch.hpp>
#include <chrono>
#include <set>

using namespace swingtie;
using Verdict = Guard::Verdict;

namespace {

const auto now = std::chrono::steady_clock::time_point{} + std::chrono::hours(1);
const Caller friendly{"127.0.0.1", "127.0.0.1:8470", "", "secret"};

}  // namespace

TEST_CASE("the page on the loopback with its key is let in") {
  Guard guard("127.0.0.1", 8470, "secret");
  CHECK(guard.judge(friendly, true, now) == Verdict::welcome);
  auto caller = friendly;
  caller.host = "LOCALHOST:8470";
  caller.origin = "http://localhost:8470";
  CHECK(guard.judge(caller, true, now) == Verdict::welcome);
}

TEST_CASE("a foreign name that resolves to the loopback is refused") {
  Guard guard("127.0.0.1", 8470, "secret");
  for (const char* host :
       {"", "evil.example", "evil.example:8470", "127.0.0.1", "127.0.0.1:80", "127.0.0.1.evil.example:8470"}) {
    auto caller = friendly;
    caller.host = host;
    INFO(host);
    CHECK(guard.judge(caller, false, now) == Verdict::wrong_host);
  }
}

TEST_CASE("another page in the same browser is refused by its origin") {
  Guard guard("127.0.0.1", 8470, "secret");
  for (const char* origin :
       {"null", "https://127.0.0.1:8470", "http://127.0.0.1:9000", "http://localhost:8470", "http://evil.example"}) {
    auto caller = friendly;
    caller.origin = origin;
    INFO(origin);
    CHECK(guard.judge(caller, true, now) == Verdict::wrong_origin);
  }
}

TEST_CASE("a call without the key gets the page's files and nothing else") {
  Guard guard("192.168.7.2", 80, "secret");
  for (const char* token : {"", "secre", "secret ", "SECRET"}) {
    const Caller caller{"192.168.7.9", "192.168.7.2", "http://192.168.7.2", token};
    CHECK(guard.judge(caller, true, now) == Verdict::wrong_token);
    CHECK(guard.judge(caller, false, now) == Verdict::welcome);
  }
}

TEST_CASE("a flood from one address is stopped, and forgotten after ten seconds") {
  Guard guard("127.0.0.1", 8470, "secret");
  for (std::size_t i = 0; i < Guard::most_in_ten_seconds; ++i)
    REQUIRE(guard.judge(friendly, true, now) == Verdict::welcome);
  CHECK(guard.judge(friendly, true, now) == Verdict::too_fast);
  auto other = friendly;
  other.address = "127.0.0.2";
  CHECK(guard.judge(other, true, now) == Verdict::welcome);
  CHECK(guard.judge(friendly, true, now + std::chrono::seconds(11)) == Verdict::welcome);
}

TEST_CASE("keys are long and never twice the same") {
  std::set<std::string> seen;
  for (int i = 0; i < 100; ++i) {
    const auto token = random_token();
    CHECK(token.size() == 32);
    seen.insert(token);
  }
  CHECK(seen.size() == 100);
}

TEST_CASE("which addresses stay on this machine") {
  for (const char* address : {"127.0.0.1", "127.9.9.9", "::1", "localhost"}) CHECK(is_loopback(address));
  for (const char* address : {"0.0.0.0", "192.168.0.1", "10.0.0.1", "::", "128.0.0.1"})
    CHECK_FALSE(is_loopback(address));
}

TEST_CASE("addresses that stand for many are known") {
  for (const char* address : {"0.0.0.0", "::", "[::]", "*", ""}) CHECK(is_wildcard(address));
  for (const char* address : {"127.0.0.1", "192.168.0.1", "::1"}) CHECK_FALSE(is_wildcard(address));
}
