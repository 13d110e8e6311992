#include <fmt/format.h>

#include "findings/dates.hpp"
#include "findings/questions.hpp"

namespace swingtie {

std::vector<FollowUp> find_follow_ups(const Placed& placed, const std::vector<ItemFinding>& items) {
  // Common practice, no source: a suspect spot that is left alone is looked at again 9 to 12 months later.
  constexpr int soonest = 9, latest = 12;
  std::vector<FollowUp> out;
  for (std::size_t i = 0; i < items.size(); ++i) {
    const ItemFinding& item = items[i];
    if (item.act == Act::none) continue;
    const std::string from = months_later(placed.inspected, soonest), to = months_later(placed.inspected, latest);
    if (item.act == Act::dig) {
      out.push_back({i, "dig", "", "", fmt::format("{}: dig and repair.", item.what)});
      out.push_back(
          {i, "look again after backfill", "", "",
           fmt::format("{}: after the repair look again with the camera, once the trench is backfilled and the "
                       "ground has settled, not before (common practice, no source).",
                       item.what)});
      out.push_back({i, "look again if left alone", from, to,
                     from.empty()
                         ? fmt::format("{}: if it is left alone, look again 9 to 12 months after moving "
                                       "in (common practice, no source).",
                                       item.what)
                         : fmt::format("{}: if it is left alone, look again 9 to 12 months after moving in, or, "
                                       "if that day is not known, between {} and {} (that long after this "
                                       "inspection; common practice, no source).",
                                       item.what, date_words(from), date_words(to))});
    } else {
      out.push_back(
          {i, "look again", from, to,
           from.empty()
               ? fmt::format("{}: look again 9 to 12 months after moving in (common practice, no source).", item.what)
               : fmt::format("{}: look again 9 to 12 months after moving in, or, if that day is not known, "
                             "between {} and {} (that long after this inspection; common practice, no source).",
                             item.what, date_words(from), date_words(to))});
    }
  }
  return out;
}

}  // namespace swingtie
