#pragma once

#include <span>
#include <string_view>

namespace swingtie {

/// A file of the built page, held in the program so that nothing has to be found at run time.
struct PageFile {
  std::string_view path;  ///< `/index.html`
  std::string_view type;  ///< media type
  std::string_view bytes;
};

/// All files of the page, made by the bundler at build time from page/.
std::span<const PageFile> page_files();

}  // namespace swingtie
