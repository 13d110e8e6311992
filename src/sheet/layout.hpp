#pragma once

#include <optional>
#include <vector>

#include "sheet/flow.hpp"
#include "sheet/plan.hpp"
#include "sheet/plan_view.hpp"

namespace swingtie {

/// What of the site a sheet must show and what it would like to show.
struct SiteExtent {
  TurnedExtent required, wanted;
};
SiteExtent site_extent(const Drafting& d, Azimuth up);

/// Width and height in mm of a paper in portrait.
struct PaperSize {
  double width = 0, height = 0;
};
PaperSize paper_size(Paper paper);

/// By how much lettering and pens are larger than on letter and A4 paper.
double lettering_of(Paper paper);

/// Where everything goes on the sheets of one kind.
struct Layout {
  PaperSize sheet;         ///< as laid, wide or high
  PaperBox border, strip;  ///< title strip along the foot
  PlanView view;
  std::optional<PaperBox> profile;
  std::size_t profile_line = 0;
  std::optional<PaperBox> cautions;
  std::vector<PaperBox> columns;          ///< beside or below the plan
  std::vector<PaperBox> further_columns;  ///< of each further sheet
  double column_width = 0;
  bool tight = false;  ///< blocks are set to take less height
  int further_sheets = 0;
  double cost = 0;  ///< the lower the better
};

constexpr double longest_line = 110;  ///< mm, of a block: the eye does not find back along a longer one

/// Columns that fill a further sheet, this many beside each other.
std::vector<PaperBox> columns_of_further_sheet(const Layout& layout, int count);

/// The blocks of a sheet set to a width, in the order of their weight; tight: so that they take less height.
using BlockSetter = std::function<std::vector<Block>(double width, bool tight)>;

/// A plan of about what the best layout's will show, for a guess before there is one.
PlanView first_view(const Drafting& d, const SiteExtent& extent, Azimuth up, Paper paper);

/// The best layout on this paper over orientations and arrangements: the largest scale first, then the fewest sheets,
/// then the largest plan.
/// @param profiled  the line in the profile; empty: there is no profile
/// @param smallest  denominator beyond which the plan is hard to read, and a further sheet is better
Layout best_layout(const Drafting& d, const SiteExtent& extent, Azimuth up, Paper paper,
                   std::optional<double> wanted_scale, const BlockSetter& blocks, const BlockMaker& cautions,
                   std::optional<std::size_t> profiled, double smallest);

}  // namespace swingtie
