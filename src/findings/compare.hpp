#pragma once

#include <optional>
#include <string>
#include <vector>

#include "findings/findings.hpp"
#include "findings/severity.hpp"

namespace swingtie {

enum class Change {
  same,  ///< seen both times, and nothing in the words says that it grew
  grown,
  lessened,
  appeared,  ///< seen only the second time
  gone,      ///< seen only the first time, though the camera passed there again
  unseen,    ///< seen only the first time, and the camera did not come there again
};

/// One item of a line over two visits.
struct ItemChange {
  Change change = Change::same;
  std::size_t line = 0;                                ///< index into the later job's Placed::lines
  std::optional<CounterReading> earlier_at, later_at;  ///< as the counters showed it
  std::string earlier_what, later_what;
  Station station;  ///< on the common route
  Interval station95;
  double probability = 1;        ///< of the pairing; of having no partner for `appeared` and `gone`
  bool counter_shifted = false;  ///< one spot, though the two counters differ by more than a foot (0.3 m)
  std::string says;
};

/// Two inspections of one lateral on one route.
struct Comparison {
  std::string earlier_inspected, later_inspected;
  std::vector<ItemChange> changes;  ///< by line and station
  double counter_shift = 0;         ///< metres, later minus earlier reading, mean of the paired items
  bool moved = false;               ///< the earlier job's grid was laid onto the later one's by their common points
  double fit = 0;                   ///< metres, root mean square of what remained at those points
  std::vector<Diagnostic> remarks;
};

/// Solves both inspections together on one route and pairs their items.
///
/// Different clean-outs, directions, zeros and operators are what the joint solve is for. The features, the ownership
/// and the ground are the later job's. Local grids that differ are laid onto each other by the corners and points of
/// the same name (at least two, by a rotation and a shift). Pairing weighs, for every possible matching, how near the
/// stations of two items lie in the joint draws, whether the words speak of the same kind of thing, and that an item
/// may have appeared or gone; what is printed is the sum over matchings.
Comparison compare(const Placed& earlier, const Placed& later, const SolveOptions& options = {});

/// The comparison in plain words, ending with a newline.
std::string tell(const Placed& later, const Comparison& comparison);

}  // namespace swingtie
