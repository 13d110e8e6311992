#include "sheet/sheet.hpp"

#include <fmt/format.h>

#include <cmath>

namespace swingtie {

Path& Path::move_to(PaperPoint p) {
  verbs.push_back(Verb::move);
  points.push_back(p);
  return *this;
}

Path& Path::line_to(PaperPoint p) {
  verbs.push_back(Verb::line);
  points.push_back(p);
  return *this;
}

Path& Path::cubic_to(PaperPoint control1, PaperPoint control2, PaperPoint end) {
  verbs.push_back(Verb::cubic);
  points.insert(points.end(), {control1, control2, end});
  return *this;
}

Path& Path::close() {
  verbs.push_back(Verb::close);
  return *this;
}

Path& Path::add_polyline(const std::vector<PaperPoint>& vertices, bool closed) {
  for (std::size_t i = 0; i < vertices.size(); ++i) {
    if (i == 0) {
      move_to(vertices[i]);
    } else {
      line_to(vertices[i]);
    }
  }
  if (closed && !vertices.empty()) close();
  return *this;
}

Path& Path::add_circle(PaperPoint c, double r) {
  // Four cubics; this handle length puts each within 0.03 % of the radius.
  const double k = 0.5522847498 * r;
  move_to({c.x + r, c.y});
  cubic_to({c.x + r, c.y + k}, {c.x + k, c.y + r}, {c.x, c.y + r});
  cubic_to({c.x - k, c.y + r}, {c.x - r, c.y + k}, {c.x - r, c.y});
  cubic_to({c.x - r, c.y - k}, {c.x - k, c.y - r}, {c.x, c.y - r});
  cubic_to({c.x + k, c.y - r}, {c.x + r, c.y - k}, {c.x + r, c.y});
  return close();
}

Path& Path::add_box(const PaperBox& b) {
  return add_polyline({{b.x, b.y}, {b.x + b.width, b.y}, {b.x + b.width, b.y + b.height}, {b.x, b.y + b.height}},
                      true);
}

std::vector<PaperPoint> outline(const Text& text) {
  const double c = std::cos(text.rotation), s = std::sin(text.rotation);
  const auto at = [&](double along, double up) {
    return PaperPoint{text.at.x + along * c + up * s, text.at.y + along * s - up * c};
  };
  return {at(0, -text.descent), at(text.width, -text.descent), at(text.width, text.ascent), at(0, text.ascent)};
}

namespace {

std::string hex(Colour c) {
  return fmt::format("#{:02x}{:02x}{:02x}", c.red, c.green, c.blue);
}

/// Hundredths without a negative zero, so that a dump does not change with the sign of nothing.
std::string hundredths(double v) {
  const double r = std::round(v * 100) / 100;
  return fmt::format("{:.2f}", r == 0 ? 0.0 : r);
}

void dump_mark(std::string& out, const Path& path) {
  out += "    path";
  if (path.pen) {
    out += fmt::format(" pen {} {}", hex(path.pen->colour), hundredths(path.pen->width));
    for (double d : path.pen->dash)
      out += fmt::format("{}{}", &d == path.pen->dash.data() ? " dash " : ",", hundredths(d));
  }
  if (path.fill) out += fmt::format(" fill {} {}", hex(path.fill->colour), hundredths(path.fill->opacity));
  out += ":";
  std::size_t p = 0;
  const auto point = [&] {
    out += fmt::format(" {},{}", hundredths(path.points[p].x), hundredths(path.points[p].y));
    ++p;
  };
  for (const Path::Verb verb : path.verbs) {
    switch (verb) {
      case Path::Verb::move:
        out += " M";
        point();
        break;
      case Path::Verb::line:
        out += " L";
        point();
        break;
      case Path::Verb::cubic:
        out += " C";
        point();
        point();
        point();
        break;
      case Path::Verb::close:
        out += " Z";
        break;
    }
  }
  out += "\n";
}

void dump_mark(std::string& out, const Text& text) {
  out += fmt::format("    text {},{} turn {} size {} width {} {}: {}\n", hundredths(text.at.x), hundredths(text.at.y),
                     hundredths(text.rotation), hundredths(text.size), hundredths(text.width), hex(text.colour),
                     text.string);
}

void dump_mark(std::string& out, const Image& image) {
  out += fmt::format("    image {}x{} at {},{} {} by {}\n", image.pixels_wide, image.pixels_high,
                     hundredths(image.box.x), hundredths(image.box.y), hundredths(image.box.width),
                     hundredths(image.box.height));
}

}  // namespace

namespace {

void enlarge(PaperBox& box, double factor) {
  box = {box.x * factor, box.y * factor, box.width * factor, box.height * factor};
}

void enlarge(Mark& mark, double factor) {
  if (auto* path = std::get_if<Path>(&mark)) {
    for (PaperPoint& p : path->points) p = {p.x * factor, p.y * factor};
    if (path->pen) {
      path->pen->width *= factor;
      for (double& dash : path->pen->dash) dash *= factor;
    }
  } else if (auto* text = std::get_if<Text>(&mark)) {
    text->at = {text->at.x * factor, text->at.y * factor};
    for (double* length : {&text->size, &text->width, &text->ascent, &text->descent}) *length *= factor;
    for (GlyphRun& run : text->runs) {
      for (Glyph& glyph : run.glyphs) {
        glyph.x *= factor;
        glyph.y *= factor;
      }
    }
  } else {
    enlarge(std::get<Image>(mark).box, factor);
  }
}

}  // namespace

void enlarge(Sheet& sheet, double factor) {
  if (factor == 1) return;
  sheet.width *= factor;
  sheet.height *= factor;
  for (Layer& layer : sheet.layers) {
    for (Object& object : layer.objects) {
      for (Mark& mark : object.marks) enlarge(mark, factor);
    }
  }
  for (MapFrame& map : sheet.maps) {
    enlarge(map.box, factor);
    for (MapFrame::Tie& corner : map.corners) corner.paper = {corner.paper.x * factor, corner.paper.y * factor};
  }
}

std::string dump(const Sheet& sheet) {
  std::string out = fmt::format("sheet {} of {}: {} ({} by {} mm)\n", sheet.number, sheet.count, sheet.title,
                                hundredths(sheet.width), hundredths(sheet.height));
  for (const MapFrame& map : sheet.maps) {
    out += fmt::format("map 1:{:g} at {},{} {} by {}\n", map.scale_denominator, hundredths(map.box.x),
                       hundredths(map.box.y), hundredths(map.box.width), hundredths(map.box.height));
  }
  for (const Layer& layer : sheet.layers) {
    out += fmt::format("layer {}\n", layer.id);
    for (const Object& object : layer.objects) {
      out += fmt::format("  {} {}", object.kind, object.id);
      if (!object.title.empty()) out += ": " + object.title;
      if (!object.link.empty()) out += " -> " + object.link;
      out += "\n";
      for (const Mark& mark : object.marks) std::visit([&](const auto& m) { dump_mark(out, m); }, mark);
    }
  }
  return out;
}

}  // namespace swingtie
