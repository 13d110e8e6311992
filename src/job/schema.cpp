#include <nlohmann/json.hpp>

#include "job/job.hpp"
#include "job/shape.hpp"

namespace swingtie {
namespace {

using Json = nlohmann::ordered_json;

/// Prints shapes as JSON Schema. A shape with a name is printed once, under $defs, and referred to.
class SchemaPrinter {
 public:
  Json document(const Shape& shape) {
    Json out{{"$schema", "https://json-schema.org/draft/2020-12/schema"},
             {"title", "swingtie job file"},
             {"description", shape.doc}};
    out.update(in_place(shape));
    Json definitions = Json::object();
    for (auto& [name, definition] : definitions_) definitions[name] = std::move(definition);
    out["$defs"] = std::move(definitions);
    return out;
  }

 private:
  Json print(const Shape& shape) {
    if (shape.name.empty()) return in_place(shape);
    if (definitions_.find(shape.name) == definitions_.end()) {
      definitions_[shape.name] = nullptr;  // known from here on, should it contain itself
      definitions_[shape.name] = in_place(shape);
    }
    return {{"$ref", "#/$defs/" + shape.name}};
  }

  Json in_place(const Shape& shape) {
    Json out = Json::object();
    switch (shape.kind) {
      // A reader of YAML 1.2 takes `id: 7` for a number; as text it is good.
      case Shape::Kind::text:
      case Shape::Kind::measure:
        out["type"] = Json::array({"string", "number"});
        break;
      case Shape::Kind::number:
        out = number(shape);
        break;
      case Shape::Kind::yes_no:
        out["enum"] = Json::array({true, false});
        for (const std::string& word : shape.also) out["enum"].push_back(word);
        break;
      case Shape::Kind::words:
        out["enum"] = shape.words;
        for (const std::string& word : shape.also) out["enum"].push_back(word);
        break;
      case Shape::Kind::list:
        out = list(shape);
        break;
      case Shape::Kind::named:
        out["type"] = "object";
        out["additionalProperties"] = print(*shape.item);
        if (shape.min_items > 0) out["minProperties"] = shape.min_items;
        break;
      case Shape::Kind::map:
        out = map(shape);
        break;
      case Shape::Kind::choice:
        out["anyOf"] = Json::array();
        for (const ShapeRef& choice : shape.choices) out["anyOf"].push_back(print(*choice));
        break;
    }
    if (!shape.doc.empty() && !out.contains("description")) out["description"] = shape.doc;
    // Examples of maps are YAML, not JSON.
    if (!shape.examples.empty() && shape.kind != Shape::Kind::named) out["examples"] = shape.examples;
    return out;
  }

  static Json number(const Shape& shape) {
    if (shape.least == shape.most) return {{"const", static_cast<long long>(shape.least)}};
    return {{"type", "number"}, {"minimum", shape.least}, {"maximum", shape.most}};
  }

  Json list(const Shape& shape) {
    Json out{{"type", "array"}, {"items", print(*shape.item)}};
    if (shape.min_items > 0) out["minItems"] = shape.min_items;
    if (shape.max_items != static_cast<std::size_t>(-1)) out["maxItems"] = shape.max_items;
    return out;
  }

  Json map(const Shape& shape) {
    Json out{{"type", "object"}};
    Json properties = Json::object(), required = Json::array();
    for (const KeyShape& key : shape.keys) {
      Json value = print(*key.value);
      value["description"] = key.doc;
      properties[key.name] = std::move(value);
      if (key.required) required.push_back(key.name);
    }
    out["properties"] = std::move(properties);
    if (!required.empty()) out["required"] = std::move(required);
    out["additionalProperties"] = false;
    Json groups = Json::array();
    for (const Shape::Group& group : shape.groups) groups.push_back(this->group(group));
    if (!groups.empty()) out["allOf"] = std::move(groups);
    return out;
  }

  /// Exactly one of the keys, or none too where the group is not required.
  static Json group(const Shape::Group& group) {
    Json any = Json::array();
    for (const std::string& key : group.keys) any.push_back({{"required", Json::array({key})}});
    Json out{{"oneOf", any}};
    if (!group.required) out["oneOf"].push_back({{"not", {{"anyOf", any}}}});
    return out;
  }

  std::map<std::string, Json> definitions_;
};

}  // namespace

std::string job_schema() {
  return SchemaPrinter().document(job_shape()).dump(2) + "\n";
}

}  // namespace swingtie
