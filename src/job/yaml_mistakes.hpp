#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "job/yaml_text.hpp"
#include "measure/diagnostic.hpp"

namespace swingtie {

/// How far the YAML parser had come when it gave up. Offsets are bytes of YamlText.
struct ParserState {
  struct Bracket {
    std::size_t at;
    bool written;  ///< `[` or `{`, rather than by indentation
  };
  std::vector<Bracket> brackets;  ///< lists and maps still open, outermost first
  struct Scalar {
    std::size_t begin = 0, end = 0;
    bool quoted = false;
  } last_scalar;
};

/// What the parser's complaint means to somebody who writes a job file.
/// @param complaint  the parser's own words
/// @param at  where it noticed, which is often later than the mistake
Diagnostic explain_parser(const std::string& complaint, std::size_t at, const ParserState& state,
                          const YamlText& text);

/// A quote that is opened at this offset and never closed.
Diagnostic unclosed_quote(const YamlText& text, std::size_t at);

/// A warning when plain text that ends at this offset is followed by ` #2`: YAML takes that for a comment.
std::optional<Diagnostic> swallowed_by_comment(const YamlText& text, std::size_t end);

}  // namespace swingtie
