#pragma once

#include <array>
#include <string_view>

namespace swingtie {

/// The files of rules/, as they stand in the source.
extern const std::array<std::string_view, 3> built_in_rule_texts;

}  // namespace swingtie
