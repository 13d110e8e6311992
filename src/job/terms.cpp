#include "job/terms.hpp"

namespace swingtie {

Hand opposite(Hand hand) {
  switch (hand) {
    case Hand::left:
      return Hand::right;
    case Hand::right:
      return Hand::left;
    case Hand::up:
      return Hand::down;
    case Hand::down:
      break;
  }
  return Hand::up;
}

std::string_view spelled(FeatureKind kind) {
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

std::string_view spelled(Act act) {
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

std::string_view spelled(LocateMethod method) {
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

std::string_view spelled(Hand hand) {
  switch (hand) {
    case Hand::left:
      return "left";
    case Hand::right:
      return "right";
    case Hand::up:
      return "up";
    case Hand::down:
      break;
  }
  return "down";
}

std::string_view spelled(PrivateUntil until) {
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
