#pragma once

#include "sheet/drafting.hpp"
#include "sheet/plan_view.hpp"

namespace swingtie {

/// Height of the title strip along the foot of every sheet.
inline constexpr double title_height = 16;

/// Border and title strip. @param denominator  of the plan; 0 on a sheet without one
void draw_title(SheetBuilder& out, const Drafting& d, const PaperBox& border, const PaperBox& strip,
                double denominator);

/// What the sheet of this kind is called.
std::string kind_title(SheetKind kind);

/// Where the view's box lies on the ground and, if the job is georeferenced, on the Earth.
MapFrame map_frame(const Drafting& d, const PlanView& view);

}  // namespace swingtie
