#pragma once

#include <nlohmann/json_fwd.hpp>
#include <string>

namespace swingtie {

/// An object as text: a member per line, and of a list an element per line. Any bytes are taken for text, so that a
/// stray one in a name cannot stop an output. Ends with a newline.
std::string json_text(const nlohmann::ordered_json& object);

}  // namespace swingtie
