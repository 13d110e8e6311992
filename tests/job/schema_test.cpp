#include <catch2/catch.hpp>
#include <cstdlib>
#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>

#include "job/job.hpp"
#include "job/shape.hpp"

using namespace swingtie;
using Json = nlohmann::json;

namespace {

/// Every key of every map below a shape.
void collect_keys(const Shape& shape, std::vector<std::string>& keys) {
  for (const KeyShape& key : shape.keys) {
    keys.push_back(key.name);
    collect_keys(*key.value, keys);
  }
  if (shape.item) collect_keys(*shape.item, keys);
  for (const ShapeRef& choice : shape.choices) collect_keys(*choice, keys);
}

void every_map_is_closed(const Json& schema) {
  if (schema.is_object()) {
    if (schema.contains("properties")) CHECK(schema["additionalProperties"] == false);
    for (const auto& [key, value] : schema.items()) every_map_is_closed(value);
  } else if (schema.is_array()) {
    for (const Json& value : schema) every_map_is_closed(value);
  }
}

}  // namespace

TEST_CASE("the schema names every key that is read, and closes every map") {
  const Json schema = Json::parse(job_schema());
  CHECK(schema["$schema"] == "https://json-schema.org/draft/2020-12/schema");
  std::vector<std::string> keys;
  collect_keys(job_shape(), keys);
  CHECK(keys.size() > 100);
  const std::string text = job_schema();
  for (const std::string& key : keys) CHECK(text.find("\"" + key + "\": {") != std::string::npos);
  every_map_is_closed(schema);
}

TEST_CASE("every key has a sentence that ends") {
  const std::string reference = job_reference();
  std::vector<const Shape*> open{&job_shape()};
  while (!open.empty()) {
    const Shape* shape = open.back();
    open.pop_back();
    for (const KeyShape& key : shape->keys) {
      INFO(key.name);
      REQUIRE_FALSE(key.doc.empty());
      CHECK(key.doc.back() == '.');
      CHECK(reference.find("`" + key.name + "`") != std::string::npos);
      open.push_back(key.value.get());
    }
    if (shape->item) open.push_back(shape->item.get());
    for (const ShapeRef& choice : shape->choices) open.push_back(choice.get());
  }
}

// To accept the page as it is printed now, run this binary with SWINGTIE_ACCEPT=1.
TEST_CASE("samples/job-file.md is the reference that the reader prints") {
  const std::string path = std::string(SWINGTIE_SOURCE_DIR) + "/samples/job-file.md";
  if (std::getenv("SWINGTIE_ACCEPT")) std::ofstream(path, std::ios::binary) << job_reference();
  std::ifstream in(path, std::ios::binary);
  std::stringstream committed;
  committed << in.rdbuf();
  CHECK(committed.str() == job_reference());
}
