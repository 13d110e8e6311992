#pragma once

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace swingtie {

/// A job file as it lies on the disk, with what tells two states of it apart.
struct StoredJob {
  std::string text;
  std::string version;  ///< changes whenever the text does
};

/// The folder of jobs that the page may read and write.
///
/// Names are relative, with `/` between folders. Nothing outside the folder can be reached: `..`, absolute names and
/// symbolic links anywhere on the way are refused, and each folder on the way is opened by descriptor, so that a
/// folder swapped for a link between the check and the use gains nothing.
/// Failures of the machine (no such folder, no permission, disk full) are std::system_error with the name in it.
class JobFolder {
 public:
  explicit JobFolder(const std::filesystem::path& folder);
  ~JobFolder();
  JobFolder(const JobFolder&) = delete;
  JobFolder& operator=(const JobFolder&) = delete;

  /// Names of all job files (`*.yaml`, `*.yml`) up to three folders deep, sorted; at most 2,000.
  std::vector<std::string> list() const;

  /// True for a name that could be a job of this folder: relative, without `..`, hidden parts or odd characters,
  /// ending in `.yaml` or `.yml`, at most 200 bytes.
  static bool is_job_name(std::string_view name);

  /// The job of this name; empty when there is none. @pre is_job_name(name). Files over 1 MiB are refused.
  std::optional<StoredJob> read(std::string_view name) const;

  struct Saved {
    bool done = false;
    std::string version;              ///< of what is on the disk now
    std::optional<std::string> text;  ///< when not done: what somebody else wrote meanwhile
  };
  /// Writes the job if the file on the disk still has the version that the writer began from (an empty version: the
  /// file must not exist yet). The old file or the new one is there at every moment. Two writers, in this process or
  /// another, are taken one after the other. Folders on the way are made. @pre is_job_name(name)
  Saved save(std::string_view name, std::string_view text, std::string_view base_version);

  /// True for a name that could be a photo of this folder, as is_job_name but ending in .jpg, .jpeg or .png.
  static bool is_photo_name(std::string_view name);
  /// True for bytes that begin as a JPEG or PNG file does.
  static bool is_picture(std::string_view bytes);
  /// A photo beside a job; empty when there is none. At most 20 MiB. @pre is_photo_name(name)
  std::optional<std::string> read_photo(std::string_view name) const;
  /// Puts a photo there; false, and nothing is changed, when something of that name is there. @pre
  /// is_photo_name(name)
  bool add_photo(std::string_view name, std::string_view bytes);

  const std::filesystem::path& path() const { return path_; }

 private:
  std::filesystem::path path_;
  int root_ = -1;
};

/// A short name for a text's content: 64-bit FNV-1a and the length, in hexadecimal. Tells versions apart; no defence
/// against somebody who makes collisions on purpose.
std::string content_version(std::string_view text);

}  // namespace swingtie
