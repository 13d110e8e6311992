#include "job/yaml_tree.hpp"

#include <fmt/format.h>
#include <yaml-cpp/eventhandler.h>
#include <yaml-cpp/exceptions.h>
#include <yaml-cpp/mark.h>
#include <yaml-cpp/parser.h>

#include <algorithm>
#include <sstream>
#include <unordered_map>
#include <utility>

#include "job/yaml_mistakes.hpp"
#include "job/yaml_text.hpp"
#include "measure/utf8.hpp"

namespace swingtie {
namespace {

/// Thrown out of the parser to stop it at a limit.
struct Stop {
  Diagnostic why;
};

/// Builds the tree from the parser's events.
class Builder : public YAML::EventHandler {
 public:
  explicit Builder(const YamlText& text) : text_(text) {}

  YamlDocument take() { return std::move(document_); }
  std::vector<Diagnostic> warnings;

  const ParserState& state() const { return state_; }

  void OnDocumentStart(const YAML::Mark& mark) override {
    if (!document_.root) return;
    const std::size_t at = position(mark);
    throw Stop{{Severity::error, text_.span(at, 3), "a second document begins here", "one job in a file",
                "delete the `---`, or keep each job in a file of its own"}};
  }
  void OnDocumentEnd() override {}

  void OnNull(const YAML::Mark& mark, YAML::anchor_t anchor) override {
    YamlNode& node = make(YamlNode::Kind::null, mark, anchor);
    finish(&node, 1);
  }

  void OnAlias(const YAML::Mark& mark, YAML::anchor_t anchor) override {
    const auto known = anchors_.find(anchor);
    if (known == anchors_.end()) {
      throw Stop{{Severity::error,
                  text_.span(position(mark), 1),
                  "this alias stands inside the value it stands for",
                  {},
                  "write the value out"}};
    }
    finish(known->second.node, known->second.values);
  }

  void OnScalar(const YAML::Mark& mark, const std::string& tag, YAML::anchor_t anchor,
                const std::string& value) override {
    YamlNode& node = make(YamlNode::Kind::scalar, mark, anchor);
    node.text = value;
    locate_scalar(node, position(mark));
    if (!tag.empty() && tag != "?" && tag != "!") refuse_tag(mark);
    finish(&node, 1);
  }

  void OnSequenceStart(const YAML::Mark& mark, const std::string& tag, YAML::anchor_t anchor,
                       YAML::EmitterStyle::value style) override {
    open(YamlNode::Kind::list, mark, tag, anchor, style);
  }
  void OnMapStart(const YAML::Mark& mark, const std::string& tag, YAML::anchor_t anchor,
                  YAML::EmitterStyle::value style) override {
    open(YamlNode::Kind::map, mark, tag, anchor, style);
  }
  void OnSequenceEnd() override { close(); }
  void OnMapEnd() override { close(); }

 private:
  struct Open {
    YamlNode* node;
    YAML::anchor_t anchor;
    const YamlNode* key = nullptr;  ///< of a map: waits for its value
    std::size_t values = 1;
  };
  struct Anchored {
    const YamlNode* node;
    std::size_t values;
  };

  static std::size_t position(const YAML::Mark& mark) {
    return mark.pos < 0 ? 0 : static_cast<std::size_t>(mark.pos);
  }

  YamlNode& make(YamlNode::Kind kind, const YAML::Mark& mark, YAML::anchor_t anchor) {
    YamlNode& node = document_.nodes.emplace_back();
    node.kind = kind;
    node.at = text_.span(position(mark), 1);
    pending_anchor_ = anchor;
    return node;
  }

  void open(YamlNode::Kind kind, const YAML::Mark& mark, const std::string& tag, YAML::anchor_t anchor,
            YAML::EmitterStyle::value style) {
    if (open_.size() >= deepest_job_levels) {
      throw Stop{{Severity::error,
                  text_.span(position(mark), 1),
                  fmt::format("values are nested more than {} deep here", deepest_job_levels),
                  {},
                  "a job file never needs more than a dozen levels"}};
    }
    YamlNode& node = make(kind, mark, anchor);
    const std::size_t at = behind_anchor(position(mark));
    // The lone pair of `[a: b]` is a map in flow style without braces.
    node.in_braces = style == YAML::EmitterStyle::Flow && at < text_.bytes().size() &&
                     (text_.bytes()[at] == '[' || text_.bytes()[at] == '{');
    if (!tag.empty() && tag != "?" && tag != "!") refuse_tag(mark);
    open_.push_back({&node, anchor});
    state_.brackets.push_back({at, node.in_braces});
  }

  void close() {
    const Open done = open_.back();
    const std::size_t begin = state_.brackets.back().at;
    open_.pop_back();
    state_.brackets.pop_back();
    if (done.node->in_braces) {
      // Between the last thing inside and the bracket stand at most blanks, commas and a comment.
      const char bracket = done.node->kind == YamlNode::Kind::list ? ']' : '}';
      const std::size_t end = text_.bytes().find(bracket, std::max(last_end_, state_.last_scalar.end));
      if (end != std::string::npos) {
        last_end_ = end + 1;
        done.node->at.length = text_.span_length(begin, last_end_);
      }
    }
    pending_anchor_ = done.anchor;
    finish(done.node, done.values);
  }

  /// Puts a complete node into the container that is open, or makes it the root.
  void finish(const YamlNode* node, std::size_t values) {
    if (pending_anchor_ != 0) anchors_[std::exchange(pending_anchor_, 0)] = {node, values};
    if (open_.empty()) {
      document_.root = node;
      return;
    }
    Open& parent = open_.back();
    parent.values += values;
    if (parent.values > most_job_values) {
      throw Stop{{Severity::error,
                  parent.node->at,
                  fmt::format("more than {} values, aliases written out", most_job_values),
                  {},
                  "repeat fewer aliases"}};
    }
    if (parent.node->kind == YamlNode::Kind::list) {
      parent.node->items.push_back(node);
    } else if (!parent.key) {
      parent.key = node;
    } else {
      parent.node->entries.push_back({std::exchange(parent.key, nullptr), node});
    }
  }

  /// The mark of a value with an anchor is the anchor's, which stands before it.
  std::size_t behind_anchor(std::size_t at) const {
    const std::string& bytes = text_.bytes();
    while (at < bytes.size() && bytes[at] == '&') {
      at = std::min(bytes.find_first_of(" \n", at), bytes.size());
      at = std::min(bytes.find_first_not_of(" \n", at), bytes.size());
    }
    return at;
  }

  void refuse_tag(const YAML::Mark& mark) const {
    throw Stop{{Severity::error,
                text_.span(position(mark), 1),
                "a job file has no tags",
                {},
                "text that begins with `!` needs quotes"}};
  }

  /// Finds the extent of a scalar in the file, and whether its text stands there letter by letter.
  void locate_scalar(YamlNode& node, std::size_t at) {
    const std::string& bytes = text_.bytes();
    at = behind_anchor(at);
    const char first = at < bytes.size() ? bytes[at] : '\0';
    const bool quoted = first == '"' || first == '\'';
    state_.last_scalar = {at, at, quoted};
    if (quoted) {
      const std::size_t end = text_.end_of_quoted(at);
      if (end == std::string::npos) throw Stop{unclosed_quote(text_, at)};
      node.at = text_.span(at, end - at);
      state_.last_scalar.end = end;
      if (bytes.compare(at + 1, end - at - 2, node.text) == 0 && node.text.size() == end - at - 2) {
        node.text_column = node.at.column + 1;
      }
      return;
    }
    const bool verbatim = bytes.compare(at, node.text.size(), node.text) == 0;
    const std::size_t length = verbatim ? node.text.size() : 1;
    node.at = text_.span(at, length);
    state_.last_scalar.end = at + length;
    if (!verbatim || node.text.find('\n') != std::string::npos) return;
    node.text_column = node.at.column;
    if (auto warning = swallowed_by_comment(text_, at + length)) warnings.push_back(std::move(*warning));
  }

  const YamlText& text_;
  YamlDocument document_;
  std::vector<Open> open_;
  std::unordered_map<YAML::anchor_t, Anchored> anchors_;
  YAML::anchor_t pending_anchor_ = 0;
  std::size_t last_end_ = 0;  ///< after the bracket that was closed last
  ParserState state_;
};

}  // namespace

Span YamlNode::part(std::size_t offset, std::size_t length) const {
  if (kind != Kind::scalar || text_column == 0) return at;
  return {at.line, text_column + offset, std::max<std::size_t>(length, 1)};
}

const YamlNode* YamlNode::find(std::string_view key) const {
  for (const Entry& entry : entries) {
    if (entry.key->kind == Kind::scalar && entry.key->text == key) return entry.value;
  }
  return nullptr;
}

Checked<YamlDocument> parse_yaml(std::string_view bytes) {
  const YamlText text(bytes);
  if (auto mistake = mistake_in_bytes(bytes, text)) return {{}, {std::move(*mistake)}};
  Builder builder(text);
  try {
    std::istringstream stream(text.bytes());
    YAML::Parser parser(stream);
    while (parser.HandleNextDocument(builder)) {}
  } catch (const Stop& stop) {
    return {{}, {stop.why}};
  } catch (const YAML::Exception& error) {
    const std::size_t at = error.mark.pos < 0 ? 0 : static_cast<std::size_t>(error.mark.pos);
    return {{}, {explain_parser(error.msg, at, builder.state(), text)}};
  }
  YamlDocument document = builder.take();
  if (!document.root || document.root->kind == YamlNode::Kind::null) {
    return {{},
            {{Severity::error,
              {},
              "there is nothing but comments in the file",
              {},
              "`swingtie new DIR` writes a commented job to start from"}}};
  }
  return {std::move(document), std::move(builder.warnings)};
}

}  // namespace swingtie
