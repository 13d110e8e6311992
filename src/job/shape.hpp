#pragma once

#include <cstddef>
#include <memory>
#include <string>
#include <vector>

namespace swingtie {

struct Shape;
using ShapeRef = std::shared_ptr<const Shape>;

/// A key of a map, as far as it can be told without reading.
struct KeyShape {
  std::string name;
  std::string doc;  ///< one or two sentences for the reference and the schema
  bool required = false;
  ShapeRef value;
};

/// What a value of the job file may look like, as data. Every reader carries one; the JSON Schema, the printed
/// reference and the lists of what was expected are made from it, so that none of them can forget a key.
struct Shape {
  enum class Kind {
    text,     ///< any text
    measure,  ///< a number, or text such as `5'6"`
    number,   ///< a plain number
    yes_no,   ///< true or false
    words,    ///< one of `words`
    list,     ///< of `item`
    named,    ///< a map with free names and values like `item`
    map,      ///< of `keys`
    choice,   ///< one of `choices`
  };
  Kind kind = Kind::text;
  std::string name;  ///< of its definition, where it is used in many places; else empty
  std::string what;  ///< how a message calls such a value: `a feature`
  std::string doc;   ///< what such a value is
  std::vector<std::string> examples;
  std::vector<std::string> words;
  std::vector<std::string> also;        ///< further words that are read and not advertised
  double least = -1e300, most = 1e300;  ///< Kind::number
  ShapeRef item;
  std::size_t min_items = 0, max_items = static_cast<std::size_t>(-1);
  std::vector<KeyShape> keys;
  /// Sets of keys of which exactly one must be there, or at most one.
  struct Group {
    std::vector<std::string> keys;
    bool required = false;
  };
  std::vector<Group> groups;
  std::vector<ShapeRef> choices;
};

/// The shape of the whole job file.
const Shape& job_shape();

}  // namespace swingtie
