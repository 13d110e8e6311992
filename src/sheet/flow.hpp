#pragma once

#include <string>
#include <vector>

#include "sheet/block.hpp"

namespace swingtie {

/// Fills columns with blocks, from the first column's top to the last one's foot.

struct PlacedRow {
  const Row* row = nullptr;  ///< null: a heading
  std::string heading_id, heading;
  double x = 0, y = 0, width = 0;
};

/// Where a flow stands: the next row of the next block.
struct FlowPlace {
  std::size_t block = 0, row = 0;
};

struct Flow {
  std::vector<PlacedRow> rows;
  FlowPlace end;        ///< where the next sheet goes on
  double fullness = 0;  ///< share of the columns' height that is used
};

/// @param begin  where to start in the blocks
/// @param whole_sheet  the columns are as tall as columns get: what is too tall for them is placed all the same
Flow flow(const Drafting& d, const std::vector<Block>& blocks, FlowPlace begin, const std::vector<PaperBox>& columns,
          bool whole_sheet);

/// The rest of the blocks in columns of about equal height, on a sheet of its own that has room for them.
Flow balanced_flow(const Drafting& d, const std::vector<Block>& blocks, FlowPlace begin,
                   const std::vector<PaperBox>& columns);

/// Draws what a flow placed.
void draw_flow(SheetBuilder& out, const Drafting& d, const Flow& flow);

/// Height of a block set in one piece, heading included.
double height_of(const Drafting& d, const Block& block);

}  // namespace swingtie
