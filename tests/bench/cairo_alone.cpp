// Draws a display list written by bench_display_list with Cairo and nothing else: what drawing costs at the least.
// usage: bench_cairo LIST OUT.pdf

#include <cairo-ft.h>
#include <cairo-pdf.h>
#include <ft2build.h>

#include <cstdint>
#include <cstdio>
#include <fstream>
#include <string>
#include <vector>

#include FT_FREETYPE_H

namespace {

void set_colour(std::istream& in, cairo_t* cr, bool with_opacity) {
  double red, green, blue, opacity = 1;
  in >> red >> green >> blue;
  if (with_opacity) in >> opacity;
  cairo_set_source_rgba(cr, red / 255, green / 255, blue / 255, opacity);
}

void draw_path(std::istream& in, cairo_t* cr) {
  bool pen, fill;
  std::size_t verbs;
  in >> pen >> fill >> verbs;
  double colour[3] = {}, width = 0, opacity = 1, tint[3] = {};
  int round = 0;
  std::vector<double> dash;
  if (pen) {
    std::size_t dashes;
    in >> colour[0] >> colour[1] >> colour[2] >> width >> round >> dashes;
    dash.resize(dashes);
    for (double& d : dash) in >> d;
  }
  if (fill) in >> tint[0] >> tint[1] >> tint[2] >> opacity;
  cairo_new_path(cr);
  for (std::size_t i = 0; i < verbs; ++i) {
    int verb;
    double x[6];
    in >> verb;
    const int numbers = verb == 3 ? 0 : verb == 2 ? 6 : 2;
    for (int k = 0; k < numbers; ++k) in >> x[k];
    if (verb == 0) cairo_move_to(cr, x[0], x[1]);
    if (verb == 1) cairo_line_to(cr, x[0], x[1]);
    if (verb == 2) cairo_curve_to(cr, x[0], x[1], x[2], x[3], x[4], x[5]);
    if (verb == 3) cairo_close_path(cr);
  }
  if (fill) {
    cairo_set_fill_rule(cr, CAIRO_FILL_RULE_EVEN_ODD);
    cairo_set_source_rgba(cr, tint[0] / 255, tint[1] / 255, tint[2] / 255, opacity);
    cairo_fill_preserve(cr);
  }
  if (pen) {
    cairo_set_source_rgb(cr, colour[0] / 255, colour[1] / 255, colour[2] / 255);
    cairo_set_line_width(cr, width);
    cairo_set_dash(cr, dash.data(), static_cast<int>(dash.size()), 0);
    cairo_set_line_cap(cr, round ? CAIRO_LINE_CAP_ROUND : CAIRO_LINE_CAP_BUTT);
    cairo_set_line_join(cr, round ? CAIRO_LINE_JOIN_ROUND : CAIRO_LINE_JOIN_MITER);
    cairo_stroke(cr);
  }
}

void draw_text(std::istream& in, cairo_t* cr, const std::vector<cairo_font_face_t*>& faces) {
  set_colour(in, cr, false);
  double x, y, rotation, size;
  std::size_t runs;
  in >> x >> y >> rotation >> size >> runs;
  cairo_save(cr);
  cairo_translate(cr, x, y);
  cairo_rotate(cr, rotation);
  for (std::size_t r = 0; r < runs; ++r) {
    std::size_t font, count;
    in >> font >> count;
    std::vector<cairo_glyph_t> glyphs(count);
    for (cairo_glyph_t& glyph : glyphs) in >> glyph.index >> glyph.x >> glyph.y;
    cairo_set_font_face(cr, faces.at(font));
    cairo_set_font_size(cr, size);
    cairo_show_glyphs(cr, glyphs.data(), static_cast<int>(count));
  }
  cairo_restore(cr);
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 3) {
    std::fprintf(stderr, "usage: bench_cairo LIST OUT.pdf\n");
    return 2;
  }
  std::ifstream in(argv[1]);
  double width = 0, height = 0;
  std::size_t fonts = 0;
  in >> width >> height >> fonts;
  FT_Library library;
  FT_Init_FreeType(&library);
  std::vector<cairo_font_face_t*> faces;
  for (std::size_t i = 0; i < fonts; ++i) {
    std::string path;
    int index;
    in >> path >> index;
    FT_Face face;
    if (FT_New_Face(library, path.c_str(), index, &face) != 0) return 1;
    faces.push_back(cairo_ft_font_face_create_for_ft_face(face, FT_LOAD_NO_HINTING));
  }
  constexpr double points_per_mm = 72 / 25.4;
  cairo_surface_t* surface = cairo_pdf_surface_create(argv[2], width * points_per_mm, height * points_per_mm);
  cairo_t* cr = cairo_create(surface);
  cairo_scale(cr, points_per_mm, points_per_mm);
  for (std::string kind; in >> kind;) kind == "path" ? draw_path(in, cr) : draw_text(in, cr, faces);
  cairo_destroy(cr);
  cairo_surface_finish(surface);
  const bool good = cairo_surface_status(surface) == CAIRO_STATUS_SUCCESS;
  cairo_surface_destroy(surface);
  return good ? 0 : 1;
}
