#include "exchange/json_text.hpp"

#include <nlohmann/json.hpp>

namespace swingtie {
namespace {

using Json = nlohmann::ordered_json;

std::string compact(const Json& json) {
  return json.dump(-1, ' ', false, Json::error_handler_t::replace);
}

}  // namespace

std::string json_text(const Json& object) {
  std::string text = "{";
  for (auto member = object.begin(); member != object.end(); ++member) {
    text += member == object.begin() ? "" : ",\n ";
    text += compact(Json(member.key())) + ": ";
    if (!member->is_array() || member->empty()) {
      text += compact(*member);
      continue;
    }
    text += "[";
    for (std::size_t i = 0; i < member->size(); ++i) text += (i ? ",\n  " : "\n  ") + compact((*member)[i]);
    text += "]";
  }
  return text + "}\n";
}

}  // namespace swingtie
