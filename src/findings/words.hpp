#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "findings/findings.hpp"

namespace swingtie {

/// Who is told.
enum class Audience { excavator, buyer, city };

/// The audience of this name (`excavator`), or nothing.
std::optional<Audience> audience_of(std::string_view word);

/// The findings in plain words for one reader, UTF-8, paragraphs and short lists, ending with a newline. Left and
/// right are those of somebody who faces the house from the street. Every figure is one of the findings', with its
/// uncertainty; the cautions close every text. The excavator's text is enough to find each spot again with a tape and
/// no drawing.
std::string tell(const Placed& placed, const Findings& findings, Audience audience);

}  // namespace swingtie
