#include "sheet/furniture.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "sheet/block.hpp"

namespace swingtie {
namespace {

/// Blocks of alternating ink whose lengths are round on the ground.
std::vector<Mark> scale_bar(const Drafting& d, const PaperBox& box, double denominator) {
  const double per = metres_per(d.placed.unit);
  const double mm_per_unit = per * 1000 / denominator;
  double step = 1;
  for (const double s : {0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0}) {
    step = s;
    if (s * mm_per_unit * 4 > box.width * 0.55) break;
  }
  while (step * mm_per_unit * 4 > box.width && step > 0.1) step /= 2;
  const Colour ink = d.look("rule").line.value_or(Colour{});
  const double y = box.y + 4.0, height = 1.3;
  std::vector<Mark> marks;
  Path dark, edge;
  for (const int k : {0, 2}) dark.add_box({box.x + k * step * mm_per_unit, y, step * mm_per_unit, height});
  dark.fill = Fill{ink, 1};
  edge.add_box({box.x, y, 4 * step * mm_per_unit, height});
  edge.pen = Pen{ink, 0.18, {}, false};
  marks.emplace_back(std::move(dark));
  marks.emplace_back(std::move(edge));
  for (const int k : {0, 1, 2, 4}) {
    const std::string words = fmt::format("{:g}", k * step) + (k == 4 ? " " + unit_name(d) : "");
    Text text = d.text(words, "dimension");
    const double align = k == 0 ? 0 : 0.5;
    marks.emplace_back(set_at(std::move(text), {box.x + k * step * mm_per_unit, y - 0.9}, align));
  }
  return marks;
}

}  // namespace

std::string kind_title(SheetKind kind) {
  switch (kind) {
    case SheetKind::dig:
      return "DIG SHEET";
    case SheetKind::route:
      return "ROUTE SHEET";
    case SheetKind::boundary:
      return "BOUNDARY SHEET";
    case SheetKind::full:
      break;
  }
  return "SHEETS";
}

void draw_title(SheetBuilder& out, const Drafting& d, const PaperBox& border, const PaperBox& strip,
                double denominator) {
  const Pen rule = pen_of(d.look("rule"));
  {
    Path frame;
    frame.add_box(border);
    frame.pen = pen_of(d.look("border"));
    frame.pen->round = false;
    out.add("frame", "border", "border", "", Role::block, {std::move(frame)});
  }
  // From the right: sheet number, scale, kind; the site takes what is left.
  const double number_width = 27, scale_width = denominator > 0 ? std::clamp(strip.width * 0.28, 52.0, 78.0) : 0;
  const double kind_width = std::clamp(strip.width * 0.2, 40.0, 60.0);
  const double x_number = right(strip) - number_width, x_scale = x_number - scale_width,
               x_kind = x_scale - kind_width;
  std::vector<Mark> lines;
  Path path;
  path.move_to({strip.x, strip.y}).line_to({right(strip), strip.y});
  for (const double x : {x_number, x_scale, x_kind}) {
    if (x == x_number && scale_width == 0) continue;
    path.move_to({x, strip.y}).line_to({x, bottom(strip)});
  }
  if (scale_width == 0) path.move_to({x_number, strip.y}).line_to({x_number, bottom(strip)});
  path.pen = rule;
  lines.emplace_back(std::move(path));
  out.add("frame", "title-rules", "rule", "", Role::block, std::move(lines));

  std::vector<Mark> site;
  const double pad = 2.2, site_width = x_kind - strip.x - 2 * pad;
  const std::string name = d.placed.site_name.empty() ? "unnamed site" : d.placed.site_name;
  std::string_view type = "site";
  if (d.type.width(name, d.type_look(type)) > site_width) type = "sheet-title";
  if (d.type.width(name, d.type_look(type)) > site_width) type = "heading";
  site.emplace_back(set_at(d.text(d.type.shortened(name, d.type_look(type), site_width), type),
                           {strip.x + pad, strip.y + 4.2 + 0.37 * d.em(type)}));
  std::string done = d.placed.inspected.empty() ? "" : "inspected " + d.placed.inspected;
  if (!d.placed.by.empty()) done += (done.empty() ? "by " : " by ") + d.placed.by;
  site.emplace_back(set_at(d.text(d.type.shortened(done, d.type_look("field-value"), site_width), "field-value"),
                           {strip.x + pad, strip.y + 10.4}));
  std::string grid =
      d.placed.crs.empty() ? (d.placed.georeference ? "local grid, anchored" : "local grid") : d.placed.crs;
  grid += is_feet(d.placed.unit)
              ? (d.placed.unit == LengthUnit::us_survey_foot ? ", lengths in US survey feet" : ", lengths in feet")
              : ", lengths in metres";
  site.emplace_back(set_at(d.text(d.type.shortened(grid, d.type_look("field"), site_width), "field"),
                           {strip.x + pad, strip.y + 14.1}));
  out.add("frame", "title-site", "title", "", Role::block, std::move(site));

  std::vector<Mark> kind;
  kind.emplace_back(set_at(d.text(kind_title(d.kind), "sheet-title"), {x_kind + pad, strip.y + 6.4}));
  const std::string reader = d.kind == SheetKind::dig     ? "for the excavator"
                             : d.kind == SheetKind::route ? "for owner and buyer"
                                                          : "for the city";
  kind.emplace_back(set_at(d.text(reader, "field-value"), {x_kind + pad, strip.y + 10.4}));
  kind.emplace_back(set_at(d.text("not a survey", "field"), {x_kind + pad, strip.y + 14.1}));
  out.add("frame", "title-kind", "title", "", Role::block, std::move(kind));

  if (denominator > 0) {
    std::vector<Mark> scale;
    const std::string words = format_scale(denominator / d.enlarged, d.placed.unit);
    Text text = d.text(words, "sheet-title");
    scale.emplace_back(set_at(std::move(text), {x_scale + pad, strip.y + 6.4}));
    for (Mark& m : scale_bar(d, {x_scale + pad, strip.y + 7.6, scale_width - 2 * pad - 4, 8}, denominator))
      scale.push_back(std::move(m));
    out.add("frame", "title-scale", "scale-bar", "scale " + words, Role::block, std::move(scale));
  }

  std::vector<Mark> number;
  number.emplace_back(set_at(d.text("sheet", "field"), {x_number + pad, strip.y + 4.0}));
  number.emplace_back(set_at(d.text(fmt::format("{} of {}", out.sheet.number, out.sheet.count), "sheet-title"),
                             {x_number + pad, strip.y + 9.0}));
  number.emplace_back(set_at(d.text("swingtie", "field"), {x_number + pad, strip.y + 14.1}));
  out.add("frame", "title-number", "title", "", Role::block, std::move(number));
}

MapFrame map_frame(const Drafting& d, const PlanView& view) {
  MapFrame map;
  map.box = view.box;
  map.scale_denominator = view.denominator / d.enlarged;
  map.georeferenced = d.placed.georeference != nullptr;
  if (map.georeferenced) map.wkt = d.placed.georeference->wkt();
  for (const PaperPoint p :
       {PaperPoint{view.box.x, bottom(view.box)}, PaperPoint{view.box.x, view.box.y},
        PaperPoint{right(view.box), view.box.y}, PaperPoint{right(view.box), bottom(view.box)}}) {
    MapFrame::Tie tie{p, view.to_plan(p), 0, 0};
    if (map.georeferenced) {
      const LonLat at = d.placed.georeference->to_lon_lat(tie.grid);
      tie.lat_deg = at.lat_deg;
      tie.lon_deg = at.lon_deg;
    }
    map.corners.push_back(tie);
  }
  return map;
}

}  // namespace swingtie
