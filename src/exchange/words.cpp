#include "exchange/words.hpp"

namespace swingtie {

std::string_view word(Knowledge knowledge) {
  return knowledge == Knowledge::located ? "located" : "inferred";
}

std::string_view word(Verdict::Kind kind) {
  switch (kind) {
    case Verdict::Kind::explained:
      return "explained";
    case Verdict::Kind::contradiction:
      return "contradiction";
    case Verdict::Kind::agree:
      break;
  }
  return "agree";
}

}  // namespace swingtie
