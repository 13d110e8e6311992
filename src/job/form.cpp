#include "job/form.hpp"

#include <fmt/format.h>

#include <tuple>

#include "measure/words.hpp"

namespace swingtie {
namespace {

/// More than anybody would read through; a file with as many is most likely no job file at all.
constexpr std::size_t most_diagnostics = 200;

std::vector<std::string> names_of(const Shape& shape) {
  std::vector<std::string> names;
  for (const KeyShape& key : shape.keys) names.push_back(key.name);
  return names;
}

std::vector<std::string> quoted(const std::vector<std::string>& names) {
  std::vector<std::string> out;
  for (const std::string& name : names) out.push_back("`" + name + "`");
  return out;
}

/// Whether the key is there, or was meant to be: `at:0` without its space is one odd key to YAML.
bool has_key(const YamlNode& node, const std::string& name) {
  return std::any_of(node.entries.begin(), node.entries.end(), [&](const YamlNode::Entry& entry) {
    const std::string& key = entry.key->text;
    return key == name || (entry.value->kind == YamlNode::Kind::null && key.rfind(name + ":", 0) == 0);
  });
}

/// The first sentence of a doc as a clause: lower case, no full stop.
std::string clause(const std::string& doc) {
  std::string text = doc.substr(0, doc.find(". "));
  if (!text.empty() && text.back() == '.') text.pop_back();
  const bool word = text.size() > 1 && text[1] >= 'a' && text[1] <= 'z';
  if (word && text[0] >= 'A' && text[0] <= 'Z') text[0] = static_cast<char>(text[0] + 32);
  return text;
}

void add_maps_with_key(const Shape& shape, const std::string& name, std::vector<std::string>& found) {
  for (const KeyShape& key : shape.keys) {
    if (key.name == name && std::find(found.begin(), found.end(), shape.what) == found.end()) {
      found.push_back(shape.what);
    }
    add_maps_with_key(*key.value, name, found);
  }
  if (shape.item) add_maps_with_key(*shape.item, name, found);
  for (const ShapeRef& choice : shape.choices) add_maps_with_key(*choice, name, found);
}

/// The maps of the job file that have this key; none where they are too many to be of help.
std::vector<std::string> maps_with_key(const std::string& name) {
  std::vector<std::string> found;
  add_maps_with_key(job_shape(), name, found);
  if (found.size() > 3) found.clear();
  return found;
}

/// Where a message about the map as a whole points: its bracket, or its first key.
Span place_of(const YamlNode& node) {
  return node.in_braces || node.entries.empty() ? node.at : node.entries.front().key->at;
}

}  // namespace

void Reader::error(Span at, std::string message, std::string expected, std::string hint) {
  ++open_errors_;
  diagnostics_.push_back({Severity::error, at, std::move(message), std::move(expected), std::move(hint)});
}

void Reader::warning(Span at, std::string message, std::string expected, std::string hint) {
  diagnostics_.push_back({Severity::warning, at, std::move(message), std::move(expected), std::move(hint)});
}

void Reader::error(const YamlNode& scalar, const TextFault& fault, std::string hint) {
  error(scalar.part(fault.offset, fault.length), fault.message, fault.expected, std::move(hint));
}

void Reader::add(std::vector<Diagnostic> more) {
  for (Diagnostic& diagnostic : more) diagnostics_.push_back(std::move(diagnostic));
}

std::vector<Diagnostic> Reader::take() {
  const auto order = [](const Diagnostic& d) { return std::tie(d.at.line, d.at.column, d.message); };
  std::stable_sort(diagnostics_.begin(), diagnostics_.end(),
                   [&](const Diagnostic& a, const Diagnostic& b) { return order(a) < order(b); });
  // An alias is read once for each use, and would report its mistakes as often.
  const auto last = std::unique(diagnostics_.begin(), diagnostics_.end(),
                                [&](const Diagnostic& a, const Diagnostic& b) { return order(a) == order(b); });
  diagnostics_.erase(last, diagnostics_.end());
  if (diagnostics_.size() > most_diagnostics) {
    const std::size_t more = diagnostics_.size() - most_diagnostics;
    diagnostics_.resize(most_diagnostics);
    error({}, fmt::format("{} like these", counted(more, "more mistake")));
  }
  return std::move(diagnostics_);
}

namespace detail {

bool MapCheck::is_map(Reader& reader, const YamlNode& node, const Shape& shape) {
  if (node.kind == YamlNode::Kind::map) return true;
  std::vector<std::string> some = names_of(shape);
  const std::string example = some.empty() ? "key" : some.front();
  reader.error(node.at, fmt::format("{} is written with keys", shape.what), fmt::format("`{}: …`", example),
               fmt::format("keys of {}: {}", shape.what, listed(some, "and")));
  return false;
}

void MapCheck::unknown_key(Reader& reader, const YamlNode::Entry& entry, const YamlNode& node, const Shape& shape) {
  const YamlNode& key = *entry.key;
  if (key.kind != YamlNode::Kind::scalar) {
    reader.error(key.at, "a key must be a word");
    return;
  }
  const bool bare = entry.value->kind == YamlNode::Kind::null;
  const std::size_t colon = key.text.find(':');
  if (bare && node.in_braces && colon != std::string::npos && colon + 1 < key.text.size()) {
    reader.error(key.at, fmt::format("`{}` has no space after the colon", key.text), {},
                 fmt::format("write `{}: {}`", key.text.substr(0, colon), key.text.substr(colon + 1)));
    return;
  }
  const std::vector<std::string> names = names_of(shape);
  const auto near = nearest_name(key.text, names);
  if (bare && node.in_braces && !near) {
    reader.error(key.at, fmt::format("`{}` is no key of {}", key.text, shape.what), {},
                 "text with a comma in it needs quotes around the whole");
    return;
  }
  std::string hint;
  if (near) {
    hint = fmt::format("did you mean `{}`?", *near);
  } else if (const auto others = maps_with_key(key.text); !others.empty()) {
    hint = fmt::format("`{}` is a key of {}", key.text, listed(others, "and"));
  }
  reader.error(key.at, fmt::format("`{}` is no key of {}", key.text, shape.what),
               "one of: " + fmt::format("{}", fmt::join(names, ", ")), std::move(hint));
}

bool MapCheck::has_value(Reader& reader, const YamlNode::Entry& entry, const KeyShape& key) {
  if (entry.value->kind != YamlNode::Kind::null) return true;
  reader.error(entry.key->at, fmt::format("`{}` has no value", key.name), {}, "give one, or delete the line");
  return false;
}

bool TwofoldKeys::is_first(Reader& reader, const YamlNode::Entry& entry) {
  const auto [earlier, first] = lines_.emplace(entry.key->text, entry.key->at.line);
  if (first) return true;
  reader.error(entry.key->at, fmt::format("`{}` is given twice", entry.key->text), {},
               fmt::format("it is on line {} already", earlier->second));
  return false;
}

void MapCheck::completeness(Reader& reader, const YamlNode& node, const Shape& shape) {
  for (const KeyShape& key : shape.keys) {
    if (key.required && !has_key(node, key.name)) {
      const Shape& value = *key.value;
      const std::string example = !value.examples.empty() ? value.examples.front()
                                  : !value.words.empty()  ? value.words.front()
                                                          : "";
      reader.error(place_of(node), fmt::format("{} needs `{}`", shape.what, key.name), {},
                   clause(key.doc) + (example.empty() ? "" : fmt::format(", such as `{}: {}`", key.name, example)));
    }
  }
  for (const Shape::Group& group : shape.groups) {
    std::vector<const YamlNode*> given;
    for (const YamlNode::Entry& entry : node.entries) {
      if (entry.key->kind == YamlNode::Kind::scalar &&
          std::find(group.keys.begin(), group.keys.end(), entry.key->text) != group.keys.end()) {
        given.push_back(entry.key);
      }
    }
    if (given.empty() && group.required) {
      reader.error(place_of(node), fmt::format("{} needs one of {}", shape.what, listed(quoted(group.keys), "or")));
    }
    for (std::size_t i = 1; i < given.size(); ++i) {
      if (given[i]->text == given[0]->text) continue;
      reader.error(given[i]->at, fmt::format("`{}` cannot stand beside `{}`", given[i]->text, given[0]->text), {},
                   fmt::format("{} takes one of {}", shape.what, listed(quoted(group.keys), "or")));
    }
  }
}

}  // namespace detail
}  // namespace swingtie
