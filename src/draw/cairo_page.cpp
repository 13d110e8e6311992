#include "draw/cairo_page.hpp"

#include <cairo-ft.h>
#include <fmt/format.h>
#include <ft2build.h>
#include FT_FREETYPE_H

#include <algorithm>
#include <map>
#include <stdexcept>

#include "draw/picture.hpp"
#include "sheet/embedded.hpp"

namespace swingtie {

void check(cairo_status_t status, const char* while_doing) {
  if (status != CAIRO_STATUS_SUCCESS) {
    throw std::runtime_error(fmt::format("{}: {}", while_doing, cairo_status_to_string(status)));
  }
}

struct CairoFonts::Opened {
  FT_Library library = nullptr;
  struct Face {
    FT_Face ft = nullptr;
    cairo_font_face_t* cairo = nullptr;
  };
  std::map<std::string, Face> faces;  ///< by key or file and index
};

CairoFonts& CairoFonts::kept() {
  thread_local CairoFonts fonts;
  return fonts;
}

CairoFonts::CairoFonts() : opened_(std::make_unique<Opened>()) {
  if (FT_Init_FreeType(&opened_->library) != 0) throw std::runtime_error("the font library does not start");
}

CairoFonts::~CairoFonts() {
  for (auto& [key, face] : opened_->faces) {
    cairo_font_face_destroy(face.cairo);
    FT_Done_Face(face.ft);
  }
  FT_Done_FreeType(opened_->library);
}

cairo_font_face_t* CairoFonts::face(const Font& font) {
  const std::string key = font.embedded.empty() ? fmt::format("{}#{}", font.file, font.face_index) : font.embedded;
  auto& face = opened_->faces[key];
  if (face.cairo != nullptr) return face.cairo;
  FT_Error error = 0;
  if (font.embedded.empty()) {
    error = FT_New_Face(opened_->library, font.file.c_str(), font.face_index, &face.ft);
  } else {
    const auto bytes = embedded_font(font.embedded);
    error = FT_New_Memory_Face(opened_->library, bytes.data(), static_cast<FT_Long>(bytes.size()), 0, &face.ft);
  }
  if (error != 0) {
    opened_->faces.erase(key);
    throw std::runtime_error(
        fmt::format("the font `{}` cannot be read; run `fc-cache -f`, or install the font's package again", key));
  }
  face.cairo = cairo_ft_font_face_create_for_ft_face(face.ft, FT_LOAD_NO_HINTING);
  return face.cairo;
}

namespace {

void set_colour(cairo_t* cr, Colour c, double opacity) {
  if (opacity >= 1) {
    cairo_set_source_rgb(cr, c.red / 255.0, c.green / 255.0, c.blue / 255.0);
  } else {
    cairo_set_source_rgba(cr, c.red / 255.0, c.green / 255.0, c.blue / 255.0, opacity);
  }
}

void draw(cairo_t* cr, const Path& path) {
  cairo_new_path(cr);
  const PaperPoint* p = path.points.data();
  for (const Path::Verb verb : path.verbs) {
    switch (verb) {
      case Path::Verb::move:
        cairo_move_to(cr, p->x, p->y);
        ++p;
        break;
      case Path::Verb::line:
        cairo_line_to(cr, p->x, p->y);
        ++p;
        break;
      case Path::Verb::cubic:
        cairo_curve_to(cr, p[0].x, p[0].y, p[1].x, p[1].y, p[2].x, p[2].y);
        p += 3;
        break;
      case Path::Verb::close:
        cairo_close_path(cr);
        break;
    }
  }
  if (path.fill) {
    set_colour(cr, path.fill->colour, path.fill->opacity);
    cairo_set_fill_rule(cr, CAIRO_FILL_RULE_EVEN_ODD);
    if (path.pen) {
      cairo_fill_preserve(cr);
    } else {
      cairo_fill(cr);
    }
  }
  if (path.pen) {
    set_colour(cr, path.pen->colour, 1);
    cairo_set_line_width(cr, path.pen->width);
    cairo_set_dash(cr, path.pen->dash.data(), static_cast<int>(path.pen->dash.size()), 0);
    cairo_set_line_cap(cr, path.pen->round ? CAIRO_LINE_CAP_ROUND : CAIRO_LINE_CAP_BUTT);
    cairo_set_line_join(cr, path.pen->round ? CAIRO_LINE_JOIN_ROUND : CAIRO_LINE_JOIN_MITER);
    cairo_stroke(cr);
  }
}

void draw(cairo_t* cr, const Text& text, const Sheet& sheet, CairoFonts& fonts) {
  set_colour(cr, text.colour, 1);
  cairo_save(cr);
  cairo_translate(cr, text.at.x, text.at.y);
  if (text.rotation != 0) cairo_rotate(cr, text.rotation);
  std::vector<cairo_glyph_t> glyphs;
  std::vector<cairo_text_cluster_t> clusters;
  for (const GlyphRun& run : text.runs) {
    glyphs.clear();
    clusters.clear();
    for (const Glyph& g : run.glyphs) {
      glyphs.push_back({g.id, g.x, -g.y});
      if (g.bytes > 0 || clusters.empty()) {
        clusters.push_back({g.bytes, 1});
      } else {
        ++clusters.back().num_glyphs;
      }
    }
    cairo_set_font_face(cr, fonts.face(sheet.fonts[run.font]));
    cairo_set_font_size(cr, text.size);
    // Clusters follow the string: from the last glyph to the first where it is read from right to left.
    if (run.right_to_left) std::reverse(clusters.begin(), clusters.end());
    cairo_show_text_glyphs(
        cr, text.string.data() + run.text_offset, static_cast<int>(run.text_length), glyphs.data(),
        static_cast<int>(glyphs.size()), clusters.data(), static_cast<int>(clusters.size()),
        run.right_to_left ? CAIRO_TEXT_CLUSTER_FLAG_BACKWARD : static_cast<cairo_text_cluster_flags_t>(0));
  }
  cairo_restore(cr);
}

void draw(cairo_t* cr, const Image& image, bool as_it_is) {
  cairo_surface_t* surface = picture_surface(image, as_it_is);
  cairo_save(cr);
  cairo_translate(cr, image.box.x, image.box.y);
  cairo_scale(cr, image.box.width / image.pixels_wide, image.box.height / image.pixels_high);
  cairo_set_source_surface(cr, surface, 0, 0);
  cairo_pattern_set_filter(cairo_get_source(cr), CAIRO_FILTER_GOOD);
  // A picture that is handed on as it is stays so only without an edge of its own; drawn in pixels it would fade
  // there.
  if (!as_it_is) cairo_pattern_set_extend(cairo_get_source(cr), CAIRO_EXTEND_PAD);
  cairo_rectangle(cr, 0, 0, image.pixels_wide, image.pixels_high);
  cairo_fill(cr);
  cairo_restore(cr);
  cairo_surface_destroy(surface);
}

}  // namespace

void draw_sheet(cairo_t* cr, const Sheet& sheet, CairoFonts& fonts, const CairoHooks& hooks) {
  cairo_font_options_t* options = cairo_font_options_create();
  cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
  cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
  cairo_font_options_set_antialias(options, CAIRO_ANTIALIAS_GRAY);
  cairo_set_font_options(cr, options);
  cairo_font_options_destroy(options);
  for (std::size_t i = 0; i < sheet.layers.size(); ++i) {
    if (hooks.layer) hooks.layer(i, true);
    for (const Object& object : sheet.layers[i].objects) {
      if (hooks.object) hooks.object(object, true);
      for (const Mark& mark : object.marks) {
        if (const auto* path = std::get_if<Path>(&mark)) {
          draw(cr, *path);
        } else if (const auto* text = std::get_if<Text>(&mark)) {
          draw(cr, *text, sheet, fonts);
        } else {
          draw(cr, std::get<Image>(mark), hooks.pictures_as_they_are);
        }
      }
      if (hooks.object) hooks.object(object, false);
    }
    if (hooks.layer) hooks.layer(i, false);
  }
  check(cairo_status(cr), "drawing the sheet");
}

}  // namespace swingtie
