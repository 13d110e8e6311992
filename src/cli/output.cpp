#include "cli/output.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <climits>
#include <cstdlib>
#include <cstring>
#include <filesystem>
#include <system_error>
#include <utility>

namespace swingtie {
namespace {

/// What the errno of a failed write means to a person, in words that say what to do.
std::string reason(int error) {
  switch (error) {
    case ENOSPC:
      return "the disk is full";
    case EDQUOT:
      return "the disk quota is used up";
    case EFBIG:
      return "the file would be larger than the limit allows";
    case EROFS:
      return "the disk is read-only";
    case EACCES:
      return "no permission to write there";
    case ENOENT:
      return "the folder does not exist";
    case ENOTDIR:
      return "part of the path is not a folder";
    case EISDIR:
      return "that is a folder";
    case ENAMETOOLONG:
      return "the name is too long";
    default:
      return std::strerror(error);
  }
}

[[noreturn]] void fail(const std::string& path, int error) {
  throw CannotWrite(fmt::format("cannot write `{}`: {}", path, reason(error)));
}

/// Writes all bytes; returns 0 or the errno.
int write_all(int file, std::string_view bytes) {
  while (!bytes.empty()) {
    const ssize_t written = ::write(file, bytes.data(), bytes.size());
    if (written < 0) {
      if (errno == EINTR) continue;
      return errno;
    }
    bytes.remove_prefix(static_cast<std::size_t>(written));
  }
  return 0;
}

/// A new file beside a target, removed again unless it was put in the target's place.
class Temporary {
 public:
  explicit Temporary(const std::string& target) : target_(target) {
    const std::filesystem::path full(target);
    path_ = (full.parent_path() / fmt::format(".{}.XXXXXX", full.filename().string().substr(0, 200))).string();
    file_ = ::mkostemp(path_.data(), O_CLOEXEC);
    if (file_ < 0) {
      const int error = errno;
      path_.clear();
      fail(target, error);
    }
  }
  Temporary(const Temporary&) = delete;
  Temporary& operator=(const Temporary&) = delete;
  ~Temporary() {
    if (file_ >= 0) ::close(file_);
    if (!path_.empty()) ::unlink(path_.c_str());
  }

  void fill(std::string_view bytes, mode_t mode) {
    if (const int error = write_all(file_, bytes)) fail(target_, error);
    if (::fchmod(file_, mode) != 0) fail(target_, errno);
    if (::fsync(file_) != 0) fail(target_, errno);
    const int file = std::exchange(file_, -1);
    if (::close(file) != 0) fail(target_, errno);
  }

  void replace_target() {
    if (::rename(path_.c_str(), target_.c_str()) != 0) fail(target_, errno);
    path_.clear();
    // The new name itself must survive a power cut; a file system that cannot say so is not a reason to fail.
    std::string folder = std::filesystem::path(target_).parent_path().string();
    if (folder.empty()) folder = ".";
    const int handle = ::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (handle < 0) return;
    ::fsync(handle);
    ::close(handle);
  }

 private:
  std::string target_, path_;
  int file_ = -1;
};

mode_t mode_for_new_files() {
  const mode_t mask = ::umask(0);
  ::umask(mask);
  return static_cast<mode_t>(0666) & ~mask;
}

void write_directly(const std::string& path, std::string_view bytes) {
  const int file = ::open(path.c_str(), O_WRONLY | O_CLOEXEC);
  if (file < 0) fail(path, errno);
  const int error = write_all(file, bytes);
  ::close(file);
  if (error && error != EPIPE) fail(path, error);
}

}  // namespace

void print(std::string_view bytes) {
  const int error = write_all(STDOUT_FILENO, bytes);
  if (error == EPIPE) ::_exit(0);
  if (error) fail("standard output", error);
}

void complain(std::string_view message) {
  write_all(STDERR_FILENO, message);
}

void write_output(const std::string& path, std::string_view bytes) {
  if (path == "-") return print(bytes);
  std::string target = path;
  mode_t mode = mode_for_new_files();
  struct stat there {};
  if (::stat(path.c_str(), &there) == 0) {
    if (S_ISDIR(there.st_mode)) fail(path, EISDIR);
    if (!S_ISREG(there.st_mode)) return write_directly(path, bytes);
    // A file that its owner made read-only is not ours to replace, though the folder would let us.
    if (::access(path.c_str(), W_OK) != 0) fail(path, errno);
    mode = there.st_mode & 07777;
    char resolved[PATH_MAX];
    if (::realpath(path.c_str(), resolved)) target = resolved;
  }
  Temporary temporary(target);
  temporary.fill(bytes, mode);
  temporary.replace_target();
}

void make_folder(const std::string& path) {
  std::error_code error;
  std::filesystem::create_directories(path, error);
  if (error || !std::filesystem::is_directory(path, error))
    throw CannotWrite(fmt::format("cannot make the folder `{}`: {}", path,
                                  error ? reason(error.value()) : std::string("a file has that name")));
}

}  // namespace swingtie
