#include "serve/kept_key.hpp"

#include <sys/stat.h>

#include <catch2/catch.hpp>
#include <cstdlib>

#include "scratch_folder.hpp"

using namespace swingtie;
namespace fs = std::filesystem;

namespace {

/// The user's state folder for the time of a test.
class StateAt {
 public:
  explicit StateAt(const fs::path& folder) { ::setenv("XDG_STATE_HOME", folder.c_str(), 1); }
  ~StateAt() { ::unsetenv("XDG_STATE_HOME"); }
  StateAt(const StateAt&) = delete;
  StateAt& operator=(const StateAt&) = delete;
};

fs::path only_file(const fs::path& folder) {
  fs::path found;
  for (const auto& entry : fs::directory_iterator(folder)) {
    REQUIRE(found.empty());
    found = entry.path();
  }
  return found;
}

}  // namespace

TEST_CASE("a folder of jobs keeps its key, and another folder has another") {
  const ScratchFolder state, jobs, others;
  const StateAt at(state.path());
  const auto key = kept_key(jobs.path());
  CHECK(kept_key(jobs.path()) == key);
  CHECK(kept_key(jobs.path("..") + "/" + fs::path(jobs.path()).filename().string()) == key);
  CHECK(kept_key(others.path()) != key);
}

TEST_CASE("a key that somebody else could have read or put there is not used again") {
  const ScratchFolder state, jobs;
  const StateAt at(state.path());
  const auto key = kept_key(jobs.path());
  const auto file = only_file(state.path("swingtie"));
  SECTION("readable by others") {
    ::chmod(file.c_str(), 0644);
  }
  SECTION("no key at all") {
    std::ofstream(file) << "short";
  }
  SECTION("a link to a key") {
    fs::copy(file, state.path("elsewhere"));
    ::chmod(state.path("elsewhere").c_str(), 0600);
    fs::remove(file);
    fs::create_symlink(state.path("elsewhere"), file);
  }
  const auto next = kept_key(jobs.path());
  CHECK(next != key);
  CHECK(kept_key(jobs.path()) == next);
}

TEST_CASE("where no key can be kept there is a new one each time") {
  const ScratchFolder jobs;
  const StateAt at("/proc/nowhere");
  CHECK(kept_key(jobs.path()) != kept_key(jobs.path()));
}
