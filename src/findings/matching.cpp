#include "findings/matching.hpp"

#include <algorithm>
#include <cstddef>
#include <cstdint>

namespace swingtie {
namespace {

constexpr std::size_t most_at_once = 14;
constexpr double worth_a_thought = 1e-3;

/// Marginals over all matchings of these rows and columns: forward and backward sums over the sets of columns used.
void weigh_group(const std::vector<std::vector<double>>& odds, const std::vector<std::size_t>& rows,
                 const std::vector<std::size_t>& columns, Matching& out) {
  const std::size_t sets = std::size_t{1} << columns.size();
  std::vector<std::vector<double>> before(rows.size() + 1, std::vector<double>(sets, 0)), after = before;
  before[0][0] = 1;
  for (std::size_t i = 0; i < rows.size(); ++i)
    for (std::size_t used = 0; used < sets; ++used) {
      if (before[i][used] == 0) continue;
      before[i + 1][used] += before[i][used];
      for (std::size_t j = 0; j < columns.size(); ++j)
        if ((used >> j & 1) == 0)
          before[i + 1][used | std::size_t{1} << j] += before[i][used] * odds[rows[i]][columns[j]];
    }
  std::fill(after[rows.size()].begin(), after[rows.size()].end(), 1.0);
  for (std::size_t i = rows.size(); i-- > 0;)
    for (std::size_t used = 0; used < sets; ++used) {
      after[i][used] = after[i + 1][used];
      for (std::size_t j = 0; j < columns.size(); ++j)
        if ((used >> j & 1) == 0)
          after[i][used] += odds[rows[i]][columns[j]] * after[i + 1][used | std::size_t{1} << j];
    }
  const double whole = after[0][0];
  for (std::size_t i = 0; i < rows.size(); ++i)
    for (std::size_t j = 0; j < columns.size(); ++j) {
      double sum = 0;
      for (std::size_t used = 0; used < sets; ++used)
        if ((used >> j & 1) == 0) sum += before[i][used] * after[i + 1][used | std::size_t{1} << j];
      out.pair[rows[i]][columns[j]] = sum * odds[rows[i]][columns[j]] / whole;
    }
}

}  // namespace

Matching weigh_matchings(const std::vector<std::vector<double>>& odds) {
  Matching out;
  const std::size_t rows = odds.size(), columns = rows == 0 ? 0 : odds[0].size();
  out.pair.assign(rows, std::vector<double>(columns, 0));
  std::vector<bool> row_done(rows, false), column_done(columns, false);
  for (std::size_t start = 0; start < rows; ++start) {
    if (row_done[start]) continue;
    // The group of everything that could be one another, however indirectly.
    std::vector<std::size_t> group{start}, partners;
    row_done[start] = true;
    for (bool grew = true; grew;) {
      grew = false;
      for (std::size_t j = 0; j < columns; ++j) {
        if (column_done[j]) continue;
        if (std::none_of(group.begin(), group.end(), [&](std::size_t i) { return odds[i][j] > worth_a_thought; }))
          continue;
        column_done[j] = grew = true;
        partners.push_back(j);
      }
      for (std::size_t i = 0; i < rows; ++i) {
        if (row_done[i]) continue;
        if (std::none_of(partners.begin(), partners.end(),
                         [&](std::size_t j) { return odds[i][j] > worth_a_thought; }))
          continue;
        row_done[i] = grew = true;
        group.push_back(i);
      }
    }
    std::sort(group.begin(), group.end());
    std::sort(partners.begin(), partners.end());
    while (partners.size() > most_at_once) {
      std::size_t best_i = 0, best_j = 0;
      for (std::size_t i = 0; i < group.size(); ++i)
        for (std::size_t j = 0; j < partners.size(); ++j)
          if (odds[group[i]][partners[j]] > odds[group[best_i]][partners[best_j]]) {
            best_i = i;
            best_j = j;
          }
      const double o = odds[group[best_i]][partners[best_j]];
      out.pair[group[best_i]][partners[best_j]] = o / (1 + o);
      group.erase(group.begin() + static_cast<std::ptrdiff_t>(best_i));
      partners.erase(partners.begin() + static_cast<std::ptrdiff_t>(best_j));
      if (group.empty()) break;
    }
    if (!group.empty() && !partners.empty()) weigh_group(odds, group, partners, out);
  }
  return out;
}

}  // namespace swingtie
