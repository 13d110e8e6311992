#pragma once

#include "sheet/drafting.hpp"

namespace swingtie {

/// The line seen from the side, stations from left to right.
/// @param box  on the paper; stations are at the largest standard scale that fits its width
/// @param labelled  off for a trial that only finds out what is shown
void draw_profile(SheetBuilder& out, const Drafting& d, const PaperBox& box, std::size_t line, bool labelled = true);

/// Width in mm of the profile of a line of this length at a horizontal scale.
double profile_width(double metres, double denominator);

/// What the profile of a line must show between, whatever box it stands in: heights, or negative depths, in metres.
struct ProfileRange {
  double high = 0, low = 0;
};
ProfileRange profile_range(const Drafting& d, std::size_t line);

/// A fall of one in a hundred is to be seen; more would make every sag a pit.
constexpr double most_exaggerated = 5;

/// How the profile of a line stands in a box of this width and at most this height, mm.
struct ProfileFit {
  double height = 0;        ///< mm that it takes
  double denominator = 1;   ///< of its scale along the line, before the sheet is enlarged
  double exaggeration = 1;  ///< of its heights, 1 to most_exaggerated
};
ProfileFit profile_fit(const Drafting& d, std::size_t line, const ProfileRange& range, double width, double most);

/// Hatching that stands for a pipe material, the same wherever it is shown: `material-a` to `material-d`.
std::string material_look(Material material);

}  // namespace swingtie
