#include "serve/kept_key.hpp"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cstdlib>
#include <optional>
#include <system_error>

#include "serve/guard.hpp"
#include "serve/job_folder.hpp"

namespace swingtie {
namespace {

namespace fs = std::filesystem;

constexpr std::size_t key_length = 32;

std::optional<fs::path> state_folder() {
  const char* state = std::getenv("XDG_STATE_HOME");
  if (state != nullptr && state[0] == '/') return fs::path(state) / "swingtie";
  const char* home = std::getenv("HOME");
  if (home != nullptr && home[0] == '/') return fs::path(home) / ".local/state/swingtie";
  return std::nullopt;
}

bool is_key(const std::string& text) {
  return text.size() == key_length && text.find_first_not_of("0123456789abcdef") == std::string::npos;
}

/// The key in a file that is this user's alone.
std::optional<std::string> read_key(const fs::path& path) {
  const int file = ::open(path.c_str(), O_RDONLY | O_NOFOLLOW | O_NONBLOCK | O_CLOEXEC);
  if (file < 0) return std::nullopt;
  struct stat status {};
  std::string text(key_length + 1, '\0');
  const bool ours = ::fstat(file, &status) == 0 && S_ISREG(status.st_mode) && status.st_uid == ::geteuid() &&
                    (status.st_mode & 077) == 0;
  const auto got = ours ? ::read(file, text.data(), text.size()) : -1;
  ::close(file);
  if (got < 0) return std::nullopt;
  text.resize(static_cast<std::size_t>(got));
  return is_key(text) ? std::optional(text) : std::nullopt;
}

void keep_key(const fs::path& path, const std::string& key) {
  const fs::path beside = path.string() + "." + std::to_string(::getpid());
  const int file = ::open(beside.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_NOFOLLOW | O_CLOEXEC, 0600);
  if (file < 0) return;
  const bool written = ::write(file, key.data(), key.size()) == static_cast<ssize_t>(key.size());
  ::close(file);
  if (!written || ::rename(beside.c_str(), path.c_str()) != 0) ::unlink(beside.c_str());
}

}  // namespace

std::string kept_key(const fs::path& folder) {
  const auto state = state_folder();
  std::error_code failed;
  const auto where = fs::canonical(folder, failed);
  if (!state || failed) return random_token();
  const fs::path path = *state / ("key-" + content_version(where.string()));
  if (auto key = read_key(path)) return *key;
  auto key = random_token();
  fs::create_directories(state->parent_path(), failed);
  ::mkdir(state->c_str(), 0700);
  keep_key(path, key);
  return key;
}

}  // namespace swingtie
