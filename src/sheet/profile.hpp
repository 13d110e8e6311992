#pragma once

#include "sheet/drafting.hpp"

namespace swingtie {

/// The line seen from the side, stations from left to right.
/// @param box  on the paper; the profile fills its width as far as the scale allows
/// @param denominator  of the plan: stations are at the plan's scale where that fits, else at the next standard one
void draw_profile(SheetBuilder& out, const Drafting& d, const PaperBox& box, std::size_t line, double denominator);

/// Hatching that stands for a pipe material, the same wherever it is shown: `material-a` to `material-d`.
std::string material_look(Material material);

}  // namespace swingtie
