#include "findings/words.hpp"
#include "findings/words/audiences.hpp"

namespace swingtie {

std::optional<Audience> audience_of(std::string_view word) {
  if (word == "excavator") return Audience::excavator;
  if (word == "buyer") return Audience::buyer;
  if (word == "city") return Audience::city;
  return std::nullopt;
}

std::string tell(const Placed& placed, const Findings& findings, Audience audience) {
  switch (audience) {
    case Audience::excavator:
      return words::for_excavator(placed, findings);
    case Audience::buyer:
      return words::for_buyer(placed, findings);
    case Audience::city:
      break;
  }
  return words::for_city(placed, findings);
}

}  // namespace swingtie
