#pragma once

#include <cstddef>
#include <deque>
#include <string>
#include <string_view>
#include <vector>

#include "measure/diagnostic.hpp"

namespace swingtie {

/// A value of the YAML text, with its place. Scalars stay text: what they mean is up to the key they belong to.
struct YamlNode {
  enum class Kind { null, scalar, list, map };
  struct Entry {
    const YamlNode* key = nullptr;
    const YamlNode* value = nullptr;
  };

  Kind kind = Kind::null;
  std::string text;                    ///< of a scalar
  std::vector<const YamlNode*> items;  ///< of a list
  std::vector<Entry> entries;          ///< of a map, in the order written, twofold keys included
  bool in_braces = false;              ///< a list or map in flow style, `[…]` or `{…}`
  Span at;                             ///< the scalar with its quotes; the first character of anything else
  std::size_t text_column = 0;         ///< where `text` begins, if it stands in the file letter by letter; else 0

  /// The place of some code points of `text`, or of the whole scalar where it is not written letter by letter.
  Span part(std::size_t offset, std::size_t length) const;
  /// The value of the first entry with this key, or null.
  const YamlNode* find(std::string_view key) const;
};

/// The nodes of one YAML document. An alias is the node of its anchor again.
struct YamlDocument {
  std::deque<YamlNode> nodes;
  const YamlNode* root = nullptr;
};

inline constexpr std::size_t largest_job_bytes = 1u << 20;
inline constexpr std::size_t deepest_job_levels = 64;
inline constexpr std::size_t most_job_values = 200'000;  ///< counting an aliased value each time it is used

/// Parses one YAML document. UTF-8 with or without a byte order mark, lines ending with LF, CRLF or CR.
/// The diagnostics say in the terms of somebody who writes a job file what is wrong: tabs, quotes, colons in plain
/// text, brackets left open, text that is not text, limits.
Checked<YamlDocument> parse_yaml(std::string_view bytes);

}  // namespace swingtie
