#pragma once

#include <span>
#include <stdexcept>
#include <string>
#include <string_view>
#include <vector>

#include "exchange/table.hpp"

namespace swingtie {

/// Why a plan cannot be written in a format, for the person who asked: what is missing, and what to add.
class CannotExport : public std::runtime_error {
 public:
  CannotExport(const std::string& message, std::string hint_text)
      : std::runtime_error(message), hint(std::move(hint_text)) {}
  std::string hint;
};

struct Format {
  std::string_view extension;  ///< with its dot, lower case
  std::string_view name;
  std::string_view frame;  ///< which coordinates it holds, for the table of formats
  /// The whole file. Throws CannotExport for a job the format cannot hold, std::runtime_error for the machine's
  /// failures. The same jobs give the same bytes.
  std::string (*write)(std::span<const JobFindings> jobs);
};

/// Every format, in the order people ask for them.
const std::vector<Format>& formats();

/// The format of a file name, by the longest extension that fits; null for none.
const Format* format_of(std::string_view file_name);

}  // namespace swingtie
