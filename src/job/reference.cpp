#include <fmt/format.h>

#include <algorithm>
#include <deque>
#include <map>

#include "job/job.hpp"
#include "job/shape.hpp"
#include "measure/words.hpp"

namespace swingtie {
namespace {

constexpr std::string_view introduction =
    "# The job file\n\n"
    "YAML, one file for one job. This page is printed from the description by which the file is read, and so is the\n"
    "JSON Schema that `swingtie schema` prints. A key in **bold** must be given.\n\n"
    "A plain number is in the unit of the site. Text needs quotes where it has `: `, ` #` or, between brackets, a "
    "comma\n"
    "in it. Lengths such as `40'4\"` need none.\n";

/// Prints shapes as Markdown: a section for each map, then one for each kind of single value.
class ReferencePrinter {
 public:
  std::string document(const Shape& root) {
    std::string out(introduction);
    sections_.push_back({title(root), &root});
    while (!sections_.empty()) {
      const auto [name, shape] = sections_.front();
      sections_.pop_front();
      out += section(name, *shape);
    }
    out += "\n## Values\n\n| value | written | |\n| --- | --- | --- |\n";
    for (const auto& [name, shape] : values_) {
      out += fmt::format("| <a id=\"{0}\"></a>{1} | {2} | {3} |\n", anchor(name), name, written(*shape),
                         cell(shape->doc));
    }
    return out;
  }

 private:
  struct Section {
    std::string name;
    const Shape* shape;
  };

  /// `a feature` as a heading: `Feature`.
  static std::string title(const Shape& map) {
    std::string text = map.what;
    for (const std::string_view article : {"a ", "an ", "the "}) {
      if (text.rfind(article, 0) == 0) text.erase(0, article.size());
    }
    if (!text.empty() && text[0] >= 'a' && text[0] <= 'z') text[0] = static_cast<char>(text[0] - 32);
    return text;
  }

  static std::string anchor(std::string text) {
    for (char& c : text) {
      if (c >= 'A' && c <= 'Z') c = static_cast<char>(c + 32);
      if (c == ' ') c = '-';
    }
    return text;
  }

  /// Text for a cell of a table, where a bar would end it.
  static std::string cell(std::string text) {
    for (std::size_t i = 0; (i = text.find('|', i)) != std::string::npos; i += 2) text.insert(i, "\\");
    return text;
  }

  static std::string code(const std::string& text) { return "`" + text + "`"; }

  static std::string written(const Shape& shape) {
    std::vector<std::string> all;
    for (const std::string& text : shape.kind == Shape::Kind::words ? shape.words : shape.examples) {
      all.push_back(code(cell(text)));
    }
    return fmt::format("{}", fmt::join(all, ", "));
  }

  std::string section(const std::string& name, const Shape& shape) {
    std::string out = fmt::format("\n## {}\n\n{}\n", name, shape.doc);
    if (shape.kind == Shape::Kind::choice) {
      out += "\n";
      for (const ShapeRef& choice : shape.choices) out += fmt::format("- {}: {}\n", value(*choice), choice->doc);
      return out;
    }
    for (const Shape::Group& group : shape.groups) {
      std::vector<std::string> keys;
      for (const std::string& key : group.keys) keys.push_back(code(key));
      out += fmt::format("\n{} of {}.\n", group.required ? "Exactly one" : "At most one", listed(keys, "and"));
    }
    out += "\n| key | value | |\n| --- | --- | --- |\n";
    for (const KeyShape& key : shape.keys) {
      const std::string mark = key.required ? "**" : "";
      out += fmt::format("| {}`{}`{} | {} | {} |\n", mark, key.name, mark, value(*key.value), cell(key.doc));
    }
    return out;
  }

  /// What may stand here, in a few words, with a link to where it is told in full.
  std::string value(const Shape& shape) {
    switch (shape.kind) {
      case Shape::Kind::map:
        return link(title(shape), shape);
      case Shape::Kind::list: {
        if (!shape.name.empty()) return named(shape);
        return "list: " + value(*shape.item);
      }
      case Shape::Kind::named:
        return shape.examples.empty() ? "map" : code(shape.examples.front());
      case Shape::Kind::choice: {
        if (!shape.name.empty()) return link(capital(shape.name), shape);
        std::vector<std::string> all;
        for (const ShapeRef& choice : shape.choices) all.push_back(value(*choice));
        return listed(all, "or");
      }
      case Shape::Kind::yes_no:
        return "`true` or `false`";
      case Shape::Kind::number:
        return shape.least == shape.most ? code(fmt::format("{:g}", shape.least)) : "number";
      case Shape::Kind::text:
      case Shape::Kind::measure:
      case Shape::Kind::words:
        break;
    }
    if (!shape.name.empty()) return named(shape);
    const std::string examples = written(shape);
    return examples.empty() ? "text" : examples;
  }

  static std::string capital(std::string text) {
    text[0] = static_cast<char>(text[0] - 32);
    return text;
  }

  std::string link(const std::string& name, const Shape& shape) {
    if (known_.emplace(name, &shape).second) sections_.push_back({name, &shape});
    return fmt::format("[{}](#{})", name, anchor(name));
  }

  std::string named(const Shape& shape) {
    values_.emplace(shape.name, &shape);
    return fmt::format("[{}](#{})", shape.name, anchor(shape.name));
  }

  std::deque<Section> sections_;
  std::map<std::string, const Shape*> known_, values_;
};

}  // namespace

std::string job_reference() {
  return ReferencePrinter().document(job_shape());
}

}  // namespace swingtie
