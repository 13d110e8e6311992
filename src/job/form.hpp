#pragma once

#include <algorithm>
#include <concepts>
#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <type_traits>
#include <unordered_map>
#include <utility>
#include <vector>

#include "job/shape.hpp"
#include "job/yaml_tree.hpp"
#include "measure/diagnostic.hpp"
#include "measure/length.hpp"

namespace swingtie {

/// What a reader of values carries along: the site's unit, and the mistakes found so far.
class Reader {
 public:
  LengthUnit unit = LengthUnit::foot;

  void error(Span at, std::string message, std::string expected = {}, std::string hint = {});
  void warning(Span at, std::string message, std::string expected = {}, std::string hint = {});
  /// A fault in the text of a scalar, at its place in the file.
  void error(const YamlNode& scalar, const TextFault& fault, std::string hint = {});
  void add(std::vector<Diagnostic> more);

  /// Everything reported, by place in the file, each once; past some hundreds the rest is only counted.
  std::vector<Diagnostic> take();

  /// Errors so far, less those in entries that were left out: what is wrong with the value being read.
  std::size_t open_errors() const { return open_errors_; }
  /// The entry read since `open_errors()` was `before` is left out, and its errors with it.
  void leave_out(std::size_t before) {
    open_errors_ = before;
    ++left_out_;
  }
  std::size_t left_out() const { return left_out_; }

 private:
  std::vector<Diagnostic> diagnostics_;
  std::size_t open_errors_ = 0;
  std::size_t left_out_ = 0;
};

/// How one kind of value is read, and what it may look like. `read` returns nothing after it has reported an error.
template <class T>
struct Form {
  std::function<std::optional<T>(Reader&, const YamlNode&)> read;
  ShapeRef shape;
};

namespace detail {

/// Stores a value in a member: as it is, or in an optional or a Written around it.
template <class Member, class Value>
void store(Member& member, Value&& value, Span at) {
  member = std::forward<Value>(value);
  (void)at;
}
template <class T, class Value>
void store(Written<T>& member, Value&& value, Span at) {
  member.value = std::forward<Value>(value);
  member.at = at;
}
template <class T, class Value>
void store(std::optional<T>& member, Value&& value, Span at) {
  store(member.emplace(), std::forward<Value>(value), at);
}

/// The parts of Fields::read that do not depend on the owner.
class MapCheck {
 public:
  /// Reports and returns false when the node is not a map.
  static bool is_map(Reader& reader, const YamlNode& node, const Shape& shape);
  static void unknown_key(Reader& reader, const YamlNode::Entry& entry, const YamlNode& node, const Shape& shape);
  static bool has_value(Reader& reader, const YamlNode::Entry& entry, const KeyShape& key);
  /// Required keys and groups.
  static void completeness(Reader& reader, const YamlNode& node, const Shape& shape);
};

/// The keys of one map that were seen already.
class TwofoldKeys {
 public:
  /// True for the first entry of its key; reports any further one.
  bool is_first(Reader& reader, const YamlNode::Entry& entry);

 private:
  std::unordered_map<std::string_view, std::size_t> lines_;
};

}  // namespace detail

/// One key of a map and what becomes of its value.
template <class Owner>
struct Key {
  KeyShape shape;
  std::function<void(Reader&, const YamlNode& value, Owner&)> read;

  Key required() && {
    shape.required = true;
    return std::move(*this);
  }
};

/// A key whose value, read by `form`, goes into a member.
template <class Owner, class Member, class Value>
Key<Owner> key(std::string name, Member Owner::*member, Form<Value> form, std::string doc) {
  KeyShape shape{std::move(name), std::move(doc), false, form.shape};
  return {std::move(shape),
          [member, read = std::move(form.read)](Reader& reader, const YamlNode& node, Owner& owner) {
            if (auto value = read(reader, node)) detail::store(owner.*member, std::move(*value), node.at);
          }};
}

/// A key whose value, read by `form`, is given to a function: `put(owner, value, where it stands)`.
template <class Owner, class Value, class Put>
Key<Owner> key_with(std::string name, Form<Value> form, Put put, std::string doc) {
  KeyShape shape{std::move(name), std::move(doc), false, form.shape};
  return {std::move(shape),
          [put = std::move(put), read = std::move(form.read)](Reader& reader, const YamlNode& node, Owner& owner) {
            if (auto value = read(reader, node)) put(owner, std::move(*value), node.at);
          }};
}

/// The keys of a map, read into the members of an Owner.
template <class Owner>
class Fields {
 public:
  /// @param what  how a message calls such a map: `a feature`
  Fields(std::string what, std::string doc, std::vector<Key<Owner>> keys) : keys_(std::move(keys)) {
    shape_.kind = Shape::Kind::map;
    shape_.what = std::move(what);
    shape_.doc = std::move(doc);
    for (const Key<Owner>& key : keys_) shape_.keys.push_back(key.shape);
  }

  /// Exactly one of these keys must be given.
  Fields&& one_of(std::vector<std::string> keys) && {
    shape_.groups.push_back({std::move(keys), true});
    return std::move(*this);
  }
  /// At most one of these keys may be given.
  Fields&& at_most_one_of(std::vector<std::string> keys) && {
    shape_.groups.push_back({std::move(keys), false});
    return std::move(*this);
  }

  const Shape& shape() const { return shape_; }

  /// Reads a map into `owner`; false when it was not even a map. Every mistake is reported.
  bool read(Reader& reader, const YamlNode& node, Owner& owner) const {
    if (!detail::MapCheck::is_map(reader, node, shape_)) return false;
    detail::TwofoldKeys twofold;
    for (const YamlNode::Entry& entry : node.entries) {
      const auto known = entry.key->kind != YamlNode::Kind::scalar
                             ? keys_.end()
                             : std::find_if(keys_.begin(), keys_.end(),
                                            [&](const Key<Owner>& key) { return key.shape.name == entry.key->text; });
      if (known == keys_.end()) {
        detail::MapCheck::unknown_key(reader, entry, node, shape_);
      } else if (twofold.is_first(reader, entry) && detail::MapCheck::has_value(reader, entry, known->shape)) {
        known->read(reader, *entry.value, owner);
      }
    }
    detail::MapCheck::completeness(reader, node, shape_);
    return true;
  }

 private:
  std::vector<Key<Owner>> keys_;
  Shape shape_;
};

/// A map as a value. A member `Span at` or `Span span` of T, unless a key has set it, becomes the map's place.
template <class T>
Form<T> map_of(Fields<T> fields) {
  auto shape = std::make_shared<Shape>(fields.shape());
  return {[fields = std::move(fields)](Reader& reader, const YamlNode& node) -> std::optional<T> {
            T value{};
            if (!fields.read(reader, node, value)) return std::nullopt;
            if constexpr (requires {
                            { value.at } -> std::same_as<Span&>;
                          })
              if (value.at.line == 0) value.at = node.at;
            if constexpr (requires {
                            { value.span } -> std::same_as<Span&>;
                          })
              if (value.span.line == 0) value.span = node.at;
            return value;
          },
          std::move(shape)};
}

/// A key whose map is read into members of the same owner.
template <class Owner>
Key<Owner> nested(std::string name, Fields<Owner> fields, std::string doc) {
  KeyShape shape{std::move(name), std::move(doc), false, std::make_shared<Shape>(fields.shape())};
  return {std::move(shape), [fields = std::move(fields)](Reader& reader, const YamlNode& node, Owner& owner) {
            fields.read(reader, node, owner);
          }};
}

/// A list of values. Every value is read, so that all mistakes are reported; those that fail are left out.
template <class T>
Form<std::vector<T>> list_of(Form<T> item, std::string what, std::size_t min_items = 0) {
  auto shape = std::make_shared<Shape>();
  shape->kind = Shape::Kind::list;
  shape->item = item.shape;
  shape->min_items = min_items;
  return {[read = std::move(item.read), what = std::move(what), min_items](
              Reader& reader, const YamlNode& node) -> std::optional<std::vector<T>> {
            if (node.kind != YamlNode::Kind::list) {
              reader.error(node.at, "this is not a list", "a list of " + what,
                           "a list is `[a, b]`, or lines that begin with `- `");
              return std::nullopt;
            }
            std::vector<T> values;
            for (const YamlNode* item_node : node.items) {
              if (auto value = read(reader, *item_node)) values.push_back(std::move(*value));
            }
            if (node.items.size() < min_items) {
              reader.error(node.at, "this list is too short", "at least " + std::to_string(min_items) + " " + what);
            }
            return values;
          },
          std::move(shape)};
}

/// A list of entries that stand for themselves, such as the locates of a run: one with a mistake in it is left out,
/// and the others are as good as before.
template <class T>
Form<std::vector<T>> list_of_entries(Form<T> item, std::string what, std::size_t min_items = 0) {
  Form<T> whole{[read = std::move(item.read)](Reader& reader, const YamlNode& node) -> std::optional<T> {
                  const std::size_t before = reader.open_errors();
                  auto value = read(reader, node);
                  if (reader.open_errors() == before) return value;
                  reader.leave_out(before);
                  return std::nullopt;
                },
                item.shape};
  return list_of(std::move(whole), std::move(what), min_items);
}

/// The value with its place, for use inside lists.
template <class T>
Form<Written<T>> written(Form<T> form) {
  return {[read = std::move(form.read)](Reader& reader, const YamlNode& node) -> std::optional<Written<T>> {
            auto value = read(reader, node);
            if (!value) return std::nullopt;
            return Written<T>{std::move(*value), node.at};
          },
          form.shape};
}

}  // namespace swingtie
