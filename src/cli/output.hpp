#pragma once

#include <stdexcept>
#include <string>
#include <string_view>

namespace swingtie {

/// The machine would not take what we had to write: the path and the reason.
class CannotWrite : public std::runtime_error {
  using std::runtime_error::runtime_error;
};

/// Writes all bytes to standard output. A reader that has gone away (a closed pipe) is not an error: the process
/// ends at once and quietly. Throws CannotWrite for anything else.
void print(std::string_view bytes);

/// Writes a message to standard error; failures are ignored, there is nobody left to tell.
void complain(std::string_view message);

/// Puts the bytes in a file, wholly or not at all: a temporary file beside it is filled, flushed to the disk and
/// renamed over it, so that after a full disk, a kill or a crash there is the old file or the new one. `-` is
/// standard output. What is not a plain file (a pipe, /dev/null) is written directly; a symbolic link keeps being
/// one and its target is replaced. The mode of a file that was there is kept. Throws CannotWrite.
void write_output(const std::string& path, std::string_view bytes);

/// Makes a folder and those above it; an existing one is fine. Throws CannotWrite.
void make_folder(const std::string& path);

}  // namespace swingtie
