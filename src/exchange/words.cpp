#include "exchange/words.hpp"

namespace swingtie {

std::string_view word(FeatureKind kind) {
  switch (kind) {
    case FeatureKind::lot:
      return "lot";
    case FeatureKind::house:
      return "house";
    case FeatureKind::curb:
      return "curb";
    case FeatureKind::right_of_way:
      return "right-of-way";
    case FeatureKind::centerline:
      return "centerline";
    case FeatureKind::driveway:
      return "driveway";
    case FeatureKind::walk:
      return "walk";
    case FeatureKind::fence:
      return "fence";
    case FeatureKind::wall:
      return "wall";
    case FeatureKind::tree:
      return "tree";
    case FeatureKind::rock:
      return "rock";
    case FeatureKind::hydrant:
      return "hydrant";
    case FeatureKind::pole:
      return "pole";
    case FeatureKind::meter:
      return "meter";
    case FeatureKind::valve:
      return "valve";
    case FeatureKind::manhole:
      return "manhole";
    case FeatureKind::main:
      return "main";
    case FeatureKind::water:
      return "water";
    case FeatureKind::gas:
      return "gas";
    case FeatureKind::electric:
      return "electric";
    case FeatureKind::comms:
      return "comms";
    case FeatureKind::mark:
      break;
  }
  return "mark";
}

std::string_view word(Act act) {
  switch (act) {
    case Act::watch:
      return "watch";
    case Act::dig:
      return "dig";
    case Act::none:
      break;
  }
  return "none";
}

std::string_view word(LocateMethod method) {
  switch (method) {
    case LocateMethod::nulls:
      return "nulls";
    case LocateMethod::line:
      return "line";
    case LocateMethod::peak:
      break;
  }
  return "peak";
}

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

std::string_view word(PrivateUntil until) {
  switch (until) {
    case PrivateUntil::right_of_way:
      return "right-of-way";
    case PrivateUntil::lot_line:
      return "lot-line";
    case PrivateUntil::curb:
      return "curb";
    case PrivateUntil::main:
      return "main";
    case PrivateUntil::clean_out:
      return "clean-out";
    case PrivateUntil::station:
      return "station";
    case PrivateUntil::unsaid:
      break;
  }
  return "unsaid";
}

}  // namespace swingtie
