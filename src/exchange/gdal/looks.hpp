#pragma once

#include <string>
#include <string_view>

namespace swingtie {

/// How a GIS, a CAD program or a phone shows a table. Sewer work is green after the APWA uniform colour code; the
/// rest is ours.
struct MapLook {
  unsigned rgb = 0x000000;  ///< of lines and points
  double line_mm = 0.35;    ///< width of lines and outlines
  bool dashed = false;
  unsigned fill_rgb = 0;
  double fill_opacity = 0;        ///< 0: areas are outlines
  double point_mm = 2.4;          ///< size of points
  const char* marker = "circle";  ///< circle, square, diamond, triangle, cross
  int aci = 7;                    ///< AutoCAD colour index nearest to rgb, for DXF
};

MapLook look_of(std::string_view table);

/// OGR feature style: what LIBKML and DXF read. `kind` says which parts apply.
std::string pen_style(const MapLook& look);
std::string area_style(const MapLook& look);

/// The table's look as a QGIS layer style and as an OGC Styled Layer Descriptor 1.0.
std::string qml_style(std::string_view table, char geometry);
std::string sld_style(std::string_view table, char geometry);

}  // namespace swingtie
