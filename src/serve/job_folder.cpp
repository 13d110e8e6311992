#include "serve/job_folder.hpp"

#include <dirent.h>
#include <fcntl.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <atomic>
#include <cerrno>
#include <cstdio>
#include <memory>
#include <system_error>
#include <utility>

#include "measure/utf8.hpp"

namespace swingtie {
namespace {

constexpr std::size_t largest_job = std::size_t{1} << 20;
constexpr std::size_t largest_photo = std::size_t{20} << 20;
constexpr std::size_t most_jobs = 2000;
constexpr int deepest_folder = 3;

[[noreturn]] void fail(const std::string& what) {
  throw std::system_error(errno, std::generic_category(), what);
}

/// A descriptor that closes itself.
class Descriptor {
 public:
  explicit Descriptor(int fd = -1) : fd_(fd) {}
  ~Descriptor() {
    if (fd_ >= 0) ::close(fd_);
  }
  Descriptor(Descriptor&& other) noexcept : fd_(std::exchange(other.fd_, -1)) {}
  Descriptor& operator=(Descriptor&& other) noexcept {
    std::swap(fd_, other.fd_);
    return *this;
  }
  int get() const { return fd_; }
  explicit operator bool() const { return fd_ >= 0; }

 private:
  int fd_;
};

bool ends_with_one_of(std::string_view name, std::initializer_list<std::string_view> endings) {
  return std::any_of(endings.begin(), endings.end(), [&](std::string_view e) { return name.ends_with(e); });
}

/// Relative, no empty, hidden or parent part, no deeper than jobs are listed, nothing that a shell, a header or a
/// terminal could trip over.
bool is_plain_name(std::string_view name) {
  if (name.empty() || name.size() > 200) return false;
  if (decode_utf8(name).find(U'\uFFFD') != std::u32string::npos) return false;
  if (std::count(name.begin(), name.end(), '/') > deepest_folder + 1) return false;
  std::size_t begin = 0;
  for (std::size_t i = 0; i <= name.size(); ++i) {
    if (i < name.size() && name[i] != '/') {
      const auto c = static_cast<unsigned char>(name[i]);
      if (c < 0x20 || c == 0x7f || c == '\\') return false;
      continue;
    }
    if (i == begin || name[begin] == '.') return false;
    begin = i + 1;
  }
  return true;
}

struct Place {
  Descriptor folder;
  std::string leaf;
};

/// Opens the folder that holds `name`, one part at a time and never through a link. Without `make`, a missing folder
/// gives an empty descriptor.
Place open_parent(int root, std::string_view name, bool make) {
  Descriptor here(::openat(root, ".", O_RDONLY | O_DIRECTORY | O_CLOEXEC));
  if (!here) fail("the folder of jobs");
  std::string_view rest = name;
  for (auto slash = rest.find('/'); slash != std::string_view::npos; slash = rest.find('/')) {
    const std::string part(rest.substr(0, slash));
    rest.remove_prefix(slash + 1);
    if (make && ::mkdirat(here.get(), part.c_str(), 0777) != 0 && errno != EEXIST) fail(part);
    Descriptor next(::openat(here.get(), part.c_str(), O_RDONLY | O_DIRECTORY | O_NOFOLLOW | O_CLOEXEC));
    if (!next) {
      if (!make && (errno == ENOENT || errno == ENOTDIR || errno == ELOOP)) return {Descriptor(), {}};
      fail(part);
    }
    here = std::move(next);
  }
  return {std::move(here), std::string(rest)};
}

std::optional<std::string> read_file(int folder, const std::string& leaf, std::size_t largest) {
  // Without O_NONBLOCK a named pipe in the folder would hold the server until somebody writes to it.
  Descriptor file(::openat(folder, leaf.c_str(), O_RDONLY | O_NOFOLLOW | O_NONBLOCK | O_CLOEXEC));
  if (!file) {
    if (errno == ENOENT || errno == ELOOP) return std::nullopt;
    fail(leaf);
  }
  struct stat status {};
  if (::fstat(file.get(), &status) != 0) fail(leaf);
  if (!S_ISREG(status.st_mode)) return std::nullopt;
  if (static_cast<std::size_t>(status.st_size) > largest) {
    errno = EFBIG;
    fail(leaf);
  }
  std::string text;
  std::array<char, 1 << 16> block;
  for (;;) {
    const auto got = ::read(file.get(), block.data(), block.size());
    if (got < 0 && errno == EINTR) continue;
    if (got < 0) fail(leaf);
    if (got == 0) return text;
    text.append(block.data(), static_cast<std::size_t>(got));
    if (text.size() > largest) {
      errno = EFBIG;
      fail(leaf);
    }
  }
}

void write_whole(int fd, std::string_view text, const std::string& name) {
  while (!text.empty()) {
    const auto put = ::write(fd, text.data(), text.size());
    if (put < 0 && errno == EINTR) continue;
    if (put < 0) fail(name);
    text.remove_prefix(static_cast<std::size_t>(put));
  }
}

/// Puts the text in place of the leaf: written beside it, on the disk, then renamed over it.
void replace_file(int folder, const std::string& leaf, std::string_view text) {
  static std::atomic<unsigned> counter{0};
  const std::string beside = "." + leaf + "." + std::to_string(::getpid()) + "." + std::to_string(counter++) + ".tmp";
  try {
    Descriptor file(::openat(folder, beside.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_NOFOLLOW | O_CLOEXEC, 0666));
    if (!file) fail(leaf);
    struct stat old {};
    if (::fstatat(folder, leaf.c_str(), &old, AT_SYMLINK_NOFOLLOW) == 0) ::fchmod(file.get(), old.st_mode & 0777);
    write_whole(file.get(), text, leaf);
    if (::fsync(file.get()) != 0) fail(leaf);
    if (::renameat(folder, beside.c_str(), folder, leaf.c_str()) != 0) fail(leaf);
  } catch (...) {
    ::unlinkat(folder, beside.c_str(), 0);
    throw;
  }
  ::fsync(folder);
}

void list_into(int folder, const std::string& prefix, int depth, std::vector<std::string>& names) {
  Descriptor copy(::openat(folder, ".", O_RDONLY | O_DIRECTORY | O_CLOEXEC));
  if (!copy) return;
  const std::unique_ptr<DIR, int (*)(DIR*)> entries(::fdopendir(::dup(copy.get())), ::closedir);
  if (!entries) return;
  while (const dirent* entry = ::readdir(entries.get())) {
    const std::string leaf = entry->d_name;
    if (leaf.empty() || leaf[0] == '.' || names.size() >= most_jobs) continue;
    struct stat status {};
    if (::fstatat(copy.get(), leaf.c_str(), &status, AT_SYMLINK_NOFOLLOW) != 0) continue;
    const std::string name = prefix + leaf;
    if (S_ISREG(status.st_mode) && JobFolder::is_job_name(name)) names.push_back(name);
    if (S_ISDIR(status.st_mode) && depth < deepest_folder) {
      const Descriptor inner(::openat(copy.get(), leaf.c_str(), O_RDONLY | O_DIRECTORY | O_NOFOLLOW | O_CLOEXEC));
      if (inner) list_into(inner.get(), name + "/", depth + 1, names);
    }
  }
}

}  // namespace

JobFolder::JobFolder(const std::filesystem::path& folder)
    : path_(folder), root_(::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC)) {
  if (root_ < 0) fail(folder.string());
}

JobFolder::~JobFolder() {
  ::close(root_);
}

std::vector<std::string> JobFolder::list() const {
  std::vector<std::string> names;
  list_into(root_, "", 0, names);
  std::sort(names.begin(), names.end());
  return names;
}

bool JobFolder::is_job_name(std::string_view name) {
  return is_plain_name(name) && ends_with_one_of(name, {".yaml", ".yml"});
}

std::optional<StoredJob> JobFolder::read(std::string_view name) const {
  const auto place = open_parent(root_, name, false);
  if (!place.folder) return std::nullopt;
  auto text = read_file(place.folder.get(), place.leaf, largest_job);
  if (!text) return std::nullopt;
  auto version = content_version(*text);
  return StoredJob{std::move(*text), std::move(version)};
}

JobFolder::Saved JobFolder::save(std::string_view name, std::string_view text, std::string_view base_version) {
  const auto place = open_parent(root_, name, true);
  // The lock goes with the descriptor, so it also holds off another thread of this process.
  if (::flock(place.folder.get(), LOCK_EX) != 0) fail(std::string(name));
  const auto now = read_file(place.folder.get(), place.leaf, largest_job);
  const auto version_now = now ? content_version(*now) : std::string();
  if (version_now != base_version) return {false, version_now, now};
  replace_file(place.folder.get(), place.leaf, text);
  return {true, content_version(text), std::nullopt};
}

bool JobFolder::is_photo_name(std::string_view name) {
  return is_plain_name(name) && ends_with_one_of(name, {".jpg", ".jpeg", ".png", ".JPG", ".JPEG", ".PNG"});
}

bool JobFolder::is_picture(std::string_view bytes) {
  return bytes.starts_with("\xff\xd8\xff") || bytes.starts_with("\x89PNG\r\n\x1a\n");
}

bool JobFolder::add_photo(std::string_view name, std::string_view bytes) {
  const auto place = open_parent(root_, name, true);
  if (::flock(place.folder.get(), LOCK_EX) != 0) fail(std::string(name));
  struct stat there {};
  if (::fstatat(place.folder.get(), place.leaf.c_str(), &there, AT_SYMLINK_NOFOLLOW) == 0) return false;
  replace_file(place.folder.get(), place.leaf, bytes);
  return true;
}

std::optional<std::string> JobFolder::read_photo(std::string_view name) const {
  const auto place = open_parent(root_, name, false);
  if (!place.folder) return std::nullopt;
  return read_file(place.folder.get(), place.leaf, largest_photo);
}

std::string content_version(std::string_view text) {
  std::uint64_t hash = 14695981039346656037ull;
  for (const char c : text) hash = (hash ^ static_cast<unsigned char>(c)) * 1099511628211ull;
  std::array<char, 40> digits{};
  std::snprintf(digits.data(), digits.size(), "%016llx-%zx", static_cast<unsigned long long>(hash), text.size());
  return digits.data();
}

}  // namespace swingtie
