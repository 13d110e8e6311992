#include "exchange/gdal/looks.hpp"

#include <fmt/format.h>

#include <cmath>

namespace swingtie {
namespace {

std::string hex(unsigned rgb, double opacity = 1) {
  return fmt::format("#{:06X}{:02X}", rgb, std::lround(opacity * 255));
}

std::string decimal(unsigned rgb, double opacity = 1) {
  return fmt::format("{},{},{},{}", rgb >> 16 & 255, rgb >> 8 & 255, rgb & 255, std::lround(opacity * 255));
}

std::string option(std::string_view name, std::string_view value) {
  return fmt::format(R"(<Option type="QString" name="{}" value="{}"/>)", name, value);
}

}  // namespace

MapLook look_of(std::string_view table) {
  constexpr unsigned green = 0x007A3D, red = 0xC1272D, grey = 0x6B6B6B, black = 0x1A1A1A, pink = 0xD6006C;
  MapLook look;
  if (table == "features") look = {grey, 0.25, false, 0xD9D9D9, 0.35, 2.0, "circle", 8};
  if (table == "corridor") look = {green, 0.18, true, green, 0.15, 2.0, "circle", 3};
  if (table == "item_regions") look = {red, 0.18, true, red, 0.12, 2.0, "circle", 1};
  if (table == "dig_outlines") look = {black, 0.25, true, 0, 0, 2.0, "circle", 7};
  if (table == "dig_windows") look = {red, 0.5, false, 0xFFFFFF, 0.4, 2.0, "circle", 1};
  if (table == "alternatives") look = {green, 0.25, true, 0, 0, 2.0, "circle", 3};
  if (table == "route") look = {green, 0.7, false, 0, 0, 2.0, "circle", 3};
  if (table == "ties") look = {black, 0.18, true, 0, 0, 2.0, "circle", 7};
  if (table == "stations") look = {green, 0.18, false, 0, 0, 1.0, "circle", 3};
  if (table == "access") look = {green, 0.35, false, 0xFFFFFF, 1, 2.8, "square", 3};
  if (table == "locates") look = {pink, 0.25, false, pink, 1, 2.4, "triangle", 6};
  if (table == "crossings") look = {black, 0.35, false, black, 1, 2.6, "cross", 7};
  if (table == "items") look = {red, 0.35, false, red, 1, 2.8, "diamond", 1};
  return look;
}

std::string pen_style(const MapLook& look) {
  return fmt::format("PEN(c:{},w:{:.2f}mm{})", hex(look.rgb), look.line_mm, look.dashed ? ",p:\"4px 2px\"" : "");
}

std::string area_style(const MapLook& look) {
  if (look.fill_opacity <= 0) return pen_style(look);
  return fmt::format("BRUSH(fc:{});{}", hex(look.fill_rgb, look.fill_opacity), pen_style(look));
}

std::string qml_style(std::string_view table, char geometry) {
  const MapLook look = look_of(table);
  const std::string dash = look.dashed ? "dash" : "solid";
  std::string type = "marker", layer = "SimpleMarker", options;
  if (geometry == 'p') {
    options = option("name", look.marker) + option("color", decimal(look.rgb)) +
              option("outline_color", decimal(look.rgb)) + option("size", fmt::format("{:.2f}", look.point_mm)) +
              option("size_unit", "MM");
  } else if (geometry == 'l') {
    type = "line";
    layer = "SimpleLine";
    options = option("line_color", decimal(look.rgb)) + option("line_style", dash) +
              option("line_width", fmt::format("{:.2f}", look.line_mm)) + option("line_width_unit", "MM");
  } else {
    type = "fill";
    layer = "SimpleFill";
    options = option("color", decimal(look.fill_rgb, look.fill_opacity)) +
              option("outline_color", decimal(look.rgb)) + option("outline_style", dash) +
              option("outline_width", fmt::format("{:.2f}", look.line_mm)) + option("outline_width_unit", "MM") +
              option("style", look.fill_opacity > 0 ? "solid" : "no");
  }
  return fmt::format(
      "<!DOCTYPE qgis PUBLIC 'http://mrcc.com/qgis.dtd' 'SYSTEM'>"
      R"(<qgis version="3.22" styleCategories="Symbology"><renderer-v2 type="singleSymbol"><symbols>)"
      R"(<symbol type="{}" name="0" alpha="1"><layer class="{}" enabled="1" locked="0" pass="0">)"
      R"(<Option type="Map">{}</Option></layer></symbol></symbols></renderer-v2></qgis>)",
      type, layer, options);
}

std::string sld_style(std::string_view table, char geometry) {
  const MapLook look = look_of(table);
  const auto css = [](std::string_view name, const std::string& value) {
    return fmt::format(R"(<CssParameter name="{}">{}</CssParameter>)", name, value);
  };
  const std::string stroke =
      fmt::format("<Stroke>{}{}{}</Stroke>", css("stroke", fmt::format("#{:06X}", look.rgb)),
                  css("stroke-width", fmt::format("{:.2f}", look.line_mm / 0.28)),  // an SLD pixel is 0.28 mm
                  look.dashed ? css("stroke-dasharray", "6 3") : "");
  const std::string fill = look.fill_opacity > 0
                               ? fmt::format("<Fill>{}{}</Fill>", css("fill", fmt::format("#{:06X}", look.fill_rgb)),
                                             css("fill-opacity", fmt::format("{:.2f}", look.fill_opacity)))
                               : std::string{};
  std::string symbolizer;
  if (geometry == 'p') {
    const std::string_view marker(look.marker);
    symbolizer = fmt::format(
        "<PointSymbolizer><Graphic><Mark><WellKnownName>{}</WellKnownName><Fill>{}</Fill></Mark><Size>{:.0f}</Size>"
        "</Graphic></PointSymbolizer>",
        marker == "diamond" ? "star" : marker, css("fill", fmt::format("#{:06X}", look.rgb)), look.point_mm / 0.28);
  } else if (geometry == 'l') {
    symbolizer = fmt::format("<LineSymbolizer>{}</LineSymbolizer>", stroke);
  } else {
    symbolizer = fmt::format("<PolygonSymbolizer>{}{}</PolygonSymbolizer>", fill, stroke);
  }
  return fmt::format(
      R"(<?xml version="1.0" encoding="UTF-8"?><StyledLayerDescriptor version="1.0.0" xmlns="http://www.opengis.net/sld">)"
      "<NamedLayer><Name>{}</Name><UserStyle><FeatureTypeStyle><Rule>{}</Rule></FeatureTypeStyle></UserStyle>"
      "</NamedLayer></StyledLayerDescriptor>",
      table, symbolizer);
}

}  // namespace swingtie
