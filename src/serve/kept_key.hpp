#pragma once

#include <filesystem>
#include <string>

namespace swingtie {

/// The key for the page of a folder of jobs: the one it had before, or a new one that is kept for the next time, so
/// that a page left open goes on working when the server is started again. Kept outside the folder, in the user's
/// state folder ($XDG_STATE_HOME/swingtie, else ~/.local/state/swingtie), readable by nobody else; where nothing can
/// be kept, a new key each time.
std::string kept_key(const std::filesystem::path& folder);

}  // namespace swingtie
