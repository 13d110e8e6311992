#pragma once

#include <string>
#include <vector>

#include "sheet/sheet.hpp"

namespace swingtie {

/// The Cairo tag that stands around each layer while drawing.
inline constexpr const char* pdf_layer_tag = "Sect";

/// Adds to a PDF by Cairo what Cairo cannot write: layers as optional-content groups (ISO 32000-1, 8.11) and
/// georeferenced viewports (ISO 32000-2, 12.10). The result has a deterministic id.
std::string add_pdf_extras(const std::string& pdf, const std::vector<Sheet>& sheets);

}  // namespace swingtie
