#pragma once

#include <optional>
#include <string>

namespace swingtie {

/// Where the files are that a job names.
struct FileFence {
  std::string folder;  ///< that relative names start from; empty: the working directory
  /// A folder that no file may lie outside of, links followed; empty: any file on this machine may be named. For jobs
  /// that come from somebody who could not read those files otherwise.
  std::string within;

  /// The path to open for a name in a job; nothing when the file, or one that is read along with it (the parts of a
  /// shapefile, the entries of a folder), lies outside the fence. A file that does not exist has its path. The files
  /// are looked at when this is called: nobody who could put links into the fence afterwards is kept out.
  std::optional<std::string> path(const std::string& name) const;
};

}  // namespace swingtie
