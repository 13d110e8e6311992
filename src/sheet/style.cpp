#include "sheet/style.hpp"

#include <fmt/format.h>
#include <yaml-cpp/yaml.h>

#include <algorithm>
#include <cassert>
#include <cmath>

#include "sheet/embedded.hpp"

namespace swingtie {
namespace {

constexpr std::size_t largest_style = 64UL * 1024;

Span span_of(const YAML::Node& node) {
  const YAML::Mark mark = node.Mark();
  const std::size_t length = node.IsScalar() ? std::max<std::size_t>(node.Scalar().size(), 1) : 1;
  return {static_cast<std::size_t>(mark.line) + 1, static_cast<std::size_t>(mark.column) + 1, length};
}

std::string joined(const std::vector<std::string>& names) {
  return fmt::format("{}", fmt::join(names, ", "));
}

/// Reads one style file over a base, gathering every fault.
class StyleReader {
 public:
  StyleReader(Style& style, std::vector<Diagnostic>& diagnostics, bool complete)
      : style_(style), diagnostics_(diagnostics), complete_(complete) {}

  void read(const YAML::Node& root) {
    if (root.IsNull()) return;
    if (!root.IsMap()) return fault(root, "a style is a set of keys", "based-on, looks, types");
    for (const auto& entry : root) {
      const std::string key = entry.first.Scalar();
      if (key == "based-on") continue;
      if (key == "looks") {
        read_looks(entry.second);
      } else if (key == "types") {
        read_types(entry.second);
      } else {
        unknown(entry.first, "key", {"based-on", "looks", "types"});
      }
    }
  }

  void fault(const YAML::Node& at, std::string message, std::string expected, std::string hint = {}) {
    diagnostics_.push_back({Severity::error, span_of(at), std::move(message), std::move(expected), std::move(hint)});
  }

  void unknown(const YAML::Node& at, std::string_view what, const std::vector<std::string>& known) {
    const auto near = nearest_name(at.Scalar(), known);
    fault(at, fmt::format("unknown {} `{}`", what, at.Scalar()),
          known.size() <= 12 ? "one of: " + joined(known) : std::string("a name that the built-in styles have"),
          near ? fmt::format("did you mean `{}`?", *near) : std::string());
  }

 private:
  template <class Map>
  static std::vector<std::string> names(const Map& map) {
    std::vector<std::string> out;
    for (const auto& [name, value] : map) out.push_back(name);
    return out;
  }

  void read_looks(const YAML::Node& node) {
    if (!node.IsMap()) return fault(node, "`looks` holds one look per name", "for example `house: {width: 0.5}`");
    for (const auto& entry : node) {
      const std::string name = entry.first.Scalar();
      if (!complete_ && !style_.looks.contains(name)) {
        unknown(entry.first, "look", names(style_.looks));
      } else if (!entry.second.IsMap()) {
        fault(entry.second, fmt::format("the look `{}` is a set of keys", name), "for example `{width: 0.5}`");
      } else {
        for (const auto& field : entry.second) read_look_field(style_.looks[name], field.first, field.second);
      }
    }
  }

  void read_look_field(Look& look, const YAML::Node& key, const YAML::Node& value) {
    const std::string name = key.Scalar();
    if (name == "line") {
      read_colour(value, look.line);
    } else if (name == "fill") {
      read_colour(value, look.fill);
    } else if (name == "hatch") {
      read_colour(value, look.hatch);
    } else if (name == "width") {
      read_number(value, 0.05, 5, look.width);
    } else if (name == "opacity") {
      read_number(value, 0, 1, look.opacity);
    } else if (name == "hatch-spacing") {
      read_number(value, 0.3, 50, look.hatch_spacing);
    } else if (name == "hatch-angle") {
      read_number(value, -360, 360, look.hatch_angle_deg);
    } else if (name == "hatch-width") {
      read_number(value, 0.05, 5, look.hatch_width);
    } else if (name == "dash") {
      read_dash(value, look.dash);
    } else {
      unknown(key, "key",
              {"line", "width", "dash", "fill", "opacity", "hatch", "hatch-spacing", "hatch-angle", "hatch-width"});
    }
  }

  void read_types(const YAML::Node& node) {
    if (!node.IsMap()) return fault(node, "`types` holds one type per name", "for example `item: {size: 7}`");
    for (const auto& entry : node) {
      const std::string name = entry.first.Scalar();
      if (!complete_ && !style_.types.contains(name)) {
        unknown(entry.first, "type", names(style_.types));
      } else if (!entry.second.IsMap()) {
        fault(entry.second, fmt::format("the type `{}` is a set of keys", name), "for example `{size: 7}`");
      } else {
        for (const auto& field : entry.second) read_type_field(style_.types[name], field.first, field.second);
      }
    }
  }

  void read_type_field(TypeLook& type, const YAML::Node& key, const YAML::Node& value) {
    static const std::vector<std::string> faces = {"lettering", "lettering-narrow", "lettering-italic", "figures",
                                                   "figures-bold"};
    const std::string name = key.Scalar();
    if (name == "face") {
      if (value.IsScalar() && std::find(faces.begin(), faces.end(), value.Scalar()) != faces.end()) {
        type.face = value.Scalar();
      } else if (value.IsScalar()) {
        unknown(value, "face", faces);
      } else {
        fault(value, "a face is one word", "one of: " + joined(faces));
      }
    } else if (name == "size") {
      read_number(value, 6, 72, type.size_pt);
    } else if (name == "colour") {
      std::optional<Colour> colour;
      read_colour(value, colour);
      if (colour) type.colour = *colour;
    } else {
      unknown(key, "key", {"face", "size", "colour"});
    }
  }

  void read_colour(const YAML::Node& node, std::optional<Colour>& to) {
    const std::string text = node.IsScalar() ? node.Scalar() : std::string();
    if (text == "none") {
      to.reset();
      return;
    }
    const auto digit = [](char c) {
      return c >= '0' && c <= '9'   ? c - '0'
             : c >= 'a' && c <= 'f' ? c - 'a' + 10
             : c >= 'A' && c <= 'F' ? c - 'A' + 10
                                    : -1;
    };
    std::array<std::uint8_t, 3> part{};
    bool good = text.size() == 7 && text[0] == '#';
    for (std::size_t i = 0; good && i < 3; ++i) {
      const int high = digit(text[1 + 2 * i]), low = digit(text[2 + 2 * i]);
      good = high >= 0 && low >= 0;
      part[i] = static_cast<std::uint8_t>(high * 16 + low);
    }
    if (!good) return fault(node, "not a colour", "six hex digits in quotes, as \"#00703c\", or none");
    to = Colour{part[0], part[1], part[2]};
  }

  void read_number(const YAML::Node& node, double least, double most, double& to) {
    double value = NAN;
    if (node.IsScalar()) YAML::convert<double>::decode(node, value);
    if (!std::isfinite(value) || value < least || value > most) {
      return fault(node, "not a usable number", fmt::format("a number from {} to {}", least, most));
    }
    to = value;
  }

  void read_dash(const YAML::Node& node, std::vector<double>& to) {
    if (node.IsScalar() && node.Scalar() == "none") {
      to.clear();
      return;
    }
    if (!node.IsSequence() || node.size() % 2 != 0 || node.size() > 12) {
      return fault(node, "not a dash pattern", "pairs of millimetres on and off, as [4, 1.5], or none");
    }
    std::vector<double> dash;
    for (const auto& part : node) {
      double value = 0;
      const std::size_t before = diagnostics_.size();
      read_number(part, 0.1, 100, value);
      if (diagnostics_.size() == before) dash.push_back(value);
    }
    if (dash.size() == node.size()) to = dash;
  }

  Style& style_;
  std::vector<Diagnostic>& diagnostics_;
  bool complete_;  ///< the file introduces the names, as the built-in colour style does
};

}  // namespace

const Look& Style::look(std::string_view of) const {
  const auto found = looks.find(of);
  assert(found != looks.end());
  return found->second;
}

const TypeLook& Style::type(std::string_view of) const {
  const auto found = types.find(of);
  assert(found != types.end());
  return found->second;
}

std::vector<std::string> built_in_style_names() {
  return {"colour", "mono", "high-contrast"};
}

std::optional<Style> built_in_style(std::string_view name) {
  const std::string_view text = embedded_style(name);
  if (text.empty()) return std::nullopt;
  Style style;
  std::vector<Diagnostic> diagnostics;
  if (name != "colour") style = *built_in_style("colour");
  style.name = name;
  StyleReader(style, diagnostics, name == "colour").read(YAML::Load(std::string(text)));
  assert(diagnostics.empty());
  return style;
}

Checked<Style> read_style(std::string_view yaml) {
  Checked<Style> result;
  const auto fail = [&](Span at, std::string message, std::string expected, std::string hint = {}) {
    result.diagnostics.push_back({Severity::error, at, std::move(message), std::move(expected), std::move(hint)});
    return result;
  };
  if (yaml.size() > largest_style) return fail({1, 1, 1}, "a style file is at most 64 KiB", "");
  YAML::Node root;
  try {
    root = YAML::Load(std::string(yaml));
  } catch (const YAML::Exception& e) {
    const Span at = e.mark.is_null() ? Span{1, 1, 1}
                                     : Span{static_cast<std::size_t>(e.mark.line) + 1,
                                            static_cast<std::size_t>(e.mark.column) + 1, 1};
    return fail(at, "not YAML: " + e.msg, "");
  }
  std::string base = "colour";
  Style style;
  StyleReader reader(style, result.diagnostics, false);
  if (root.IsMap() && root["based-on"]) {
    const YAML::Node node = root["based-on"];
    if (node.IsScalar() && built_in_style(node.Scalar())) {
      base = node.Scalar();
    } else if (node.IsScalar()) {
      reader.unknown(node, "style", built_in_style_names());
    } else {
      reader.fault(node, "`based-on` names a style", "one of: " + joined(built_in_style_names()));
    }
  }
  style = *built_in_style(base);
  style.name = "custom";
  reader.read(root);
  if (result.diagnostics.empty()) result.value = std::move(style);
  return result;
}

}  // namespace swingtie
