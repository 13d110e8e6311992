#include <cairo-pdf.h>
#include <fmt/format.h>

#include "draw/cairo_page.hpp"
#include "draw/draw.hpp"

namespace swingtie {
namespace {

cairo_status_t append(void* closure, const unsigned char* bytes, unsigned int length) {
  static_cast<std::string*>(closure)->append(reinterpret_cast<const char*>(bytes), length);
  return CAIRO_STATUS_SUCCESS;
}

}  // namespace

std::string write_pdf(const std::vector<Sheet>& sheets) {
  constexpr double points_per_mm = 72 / 25.4;
  std::string bytes;
  CairoFonts fonts;
  cairo_surface_t* surface = cairo_pdf_surface_create_for_stream(append, &bytes, 100, 100);
  check(cairo_surface_status(surface), "starting the PDF");
  const std::string date = sheets.front().date.empty() ? "2000-01-01" : sheets.front().date;
  cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_TITLE, sheets.front().title.c_str());
  cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_SUBJECT, sheets.front().subject.c_str());
  cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_AUTHOR, sheets.front().author.c_str());
  cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATOR, "swingtie");
  cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATE_DATE, (date + "T00:00:00Z").c_str());
  cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_MOD_DATE, (date + "T00:00:00Z").c_str());
  cairo_t* cr = cairo_create(surface);
  for (const Sheet& sheet : sheets) {
    cairo_pdf_surface_set_size(surface, sheet.width * points_per_mm, sheet.height * points_per_mm);
    cairo_pdf_surface_set_page_label(surface, fmt::format("{}", sheet.number).c_str());
    cairo_save(cr);
    cairo_scale(cr, points_per_mm, points_per_mm);
    CairoHooks hooks;
    hooks.pictures_as_they_are = true;
    draw_sheet(cr, sheet, fonts, hooks);
    cairo_restore(cr);
    cairo_show_page(cr);
  }
  cairo_destroy(cr);
  cairo_surface_finish(surface);
  check(cairo_surface_status(surface), "writing the PDF");
  cairo_surface_destroy(surface);
  return bytes;
}

}  // namespace swingtie
