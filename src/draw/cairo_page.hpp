#pragma once

#include <cairo.h>

#include <functional>
#include <memory>
#include <vector>

#include "sheet/sheet.hpp"

namespace swingtie {

/// Fonts opened for Cairo.
class CairoFonts {
 public:
  /// Those of this thread, kept from one sheet to the next: Cairo then measures a glyph once and not for every job.
  static CairoFonts& kept();
  CairoFonts();
  ~CairoFonts();
  CairoFonts(const CairoFonts&) = delete;
  CairoFonts& operator=(const CairoFonts&) = delete;

  cairo_font_face_t* face(const Font& font);

 private:
  struct Opened;
  std::unique_ptr<Opened> opened_;
};

/// Draws the sheet on a context whose unit is the millimetre.
/// @param around_layer  called with the index of a layer and `true` before it, `false` after it; may be empty
/// @param around_object  the same for every object
struct CairoHooks {
  std::function<void(std::size_t layer, bool begins)> layer;
  std::function<void(const Object& object, bool begins)> object;
  bool pictures_as_they_are = false;  ///< hand a JPEG through to the surface instead of its pixels
};
void draw_sheet(cairo_t* cr, const Sheet& sheet, CairoFonts& fonts, const CairoHooks& hooks = {});

/// Throws what Cairo says when something failed.
void check(cairo_status_t status, const char* while_doing);

}  // namespace swingtie
