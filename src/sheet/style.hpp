#pragma once

#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "measure/diagnostic.hpp"
#include "sheet/sheet.hpp"

namespace swingtie {

/// How something of one kind looks. Unset parts are not drawn.
struct Look {
  std::optional<Colour> line;  ///< colour of its outline or stroke
  double width = 0.25;         ///< mm
  std::vector<double> dash;    ///< mm on, off …
  std::optional<Colour> fill;
  double opacity = 1;           ///< of the fill
  std::optional<Colour> hatch;  ///< colour of hatching inside it
  double hatch_spacing = 1.5;   ///< mm
  double hatch_angle_deg = 45;
  double hatch_width = 0.13;  ///< mm
};

/// Type of one kind of text.
struct TypeLook {
  std::string face = "figures";  ///< lettering | lettering-narrow | lettering-italic | figures | figures-bold
  double size_pt = 7;            ///< at least 6
  Colour colour;
};

/// All looks of a sheet, by name. The names are those in styles/colour.yaml, which gives every one of them.
struct Style {
  std::string name;
  std::map<std::string, Look, std::less<>> looks;
  std::map<std::string, TypeLook, std::less<>> types;

  const Look& look(std::string_view of) const;      ///< asserts that it exists
  const TypeLook& type(std::string_view of) const;  ///< asserts that it exists
};

/// `colour`, `mono` or `high-contrast`.
std::optional<Style> built_in_style(std::string_view name);
std::vector<std::string> built_in_style_names();

/// Reads a style file, which changes part of a built-in style (`based-on:`, default colour). Every error is reported
/// with its place and the nearest known name.
Checked<Style> read_style(std::string_view yaml);

}  // namespace swingtie
