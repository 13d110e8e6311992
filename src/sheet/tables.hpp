#pragma once

#include <set>
#include <string>
#include <vector>

#include "sheet/block.hpp"

namespace swingtie {

// The blocks that stand beside the plan. Each is set to a width when the layout knows it.

/// Everything one needs at one dig point: depth, window, tapes, rules, what is in the way.
BlockMaker dig_card(const Drafting& d, std::size_t index);
BlockMaker items_block(const Drafting& d, bool sides, bool advice);
BlockMaker pipes_block(const Drafting& d);
BlockMaker locates_block(const Drafting& d);
BlockMaker grades_block(const Drafting& d);
BlockMaker crossings_block(const Drafting& d);
BlockMaker sides_block(const Drafting& d);
BlockMaker crossing_ties_block(const Drafting& d);
BlockMaker trees_block(const Drafting& d);
/// A section of the words for the buyer, by its heading: `WHERE IT RUNS`.
BlockMaker words_block(const Drafting& d, std::string_view section);
BlockMaker verdict_block(const Drafting& d);
BlockMaker ownership_block(const Drafting& d);
BlockMaker separations_block(const Drafting& d);
BlockMaker cautions_block(const Drafting& d);
/// @param tight  in more and narrower columns
BlockMaker legend_block(const Drafting& d, const std::set<std::string, std::less<>>& shown, bool tight);
BlockMaker photos_block(const Drafting& d, const FileFence& files, std::vector<std::string>& remarks);

/// `geo:` URI (RFC 5870) of a point, to 7 decimals (a centimetre), or empty without a georeference.
std::string geo_uri(const Placed& placed, PlanPoint at, double radius95);

}  // namespace swingtie
