#pragma once

#include <vector>

namespace swingtie {

/// Probability of each pair of two lists in which every entry has at most one partner.
struct Matching {
  std::vector<std::vector<double>> pair;  ///< pair[i][j]: the i-th of the first is the j-th of the second
};

/// Sums over all matchings, a matching weighing the product of its pairs' odds; entries without a partner weigh 1.
/// @param odds  odds[i][j] >= 0 that i and j are one against their being two, each row as long as the others
/// Exact while the entries that could be one another (odds over 1e-3) hang together in groups with at most 14 of the
/// second list; in larger groups the best pair is fixed first, and the rest again.
Matching weigh_matchings(const std::vector<std::vector<double>>& odds);

}  // namespace swingtie
