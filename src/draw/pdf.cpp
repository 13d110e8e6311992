#include <cairo-pdf.h>
#include <fmt/format.h>

#include <map>

#include "draw/cairo_page.hpp"
#include "draw/draw.hpp"
#include "draw/qpdf_module.hpp"
#include "load/module.hpp"

namespace swingtie {
namespace {

cairo_status_t append(void* closure, const unsigned char* bytes, unsigned int length) {
  static_cast<std::string*>(closure)->append(reinterpret_cast<const char*>(bytes), length);
  return CAIRO_STATUS_SUCCESS;
}

/// A string for the attributes of a Cairo tag.
std::string quoted(std::string_view text) {
  std::string out = "'";
  for (const char c : text) {
    if (c == '\'' || c == '\\') out += '\\';
    out += c;
  }
  return out + "'";
}

/// Objects of all pages that something links to.
using Targets = std::map<std::string, bool>;

Targets link_targets(const std::vector<Sheet>& sheets) {
  Targets wanted;
  for (const Sheet& sheet : sheets) {
    for (const Layer& layer : sheet.layers) {
      for (const Object& object : layer.objects) {
        if (object.link.starts_with('#')) wanted[fmt::format("{}{}", sheet.number, object.link)] = false;
      }
    }
  }
  for (const Sheet& sheet : sheets) {
    for (const Layer& layer : sheet.layers) {
      for (const Object& object : layer.objects) {
        const auto found = wanted.find(fmt::format("{}#{}", sheet.number, object.id));
        if (found != wanted.end()) found->second = true;
      }
    }
  }
  return wanted;
}

}  // namespace

std::string write_pdf(const std::vector<Sheet>& sheets) {
  constexpr double points_per_mm = 72 / 25.4;
  std::string bytes;
  CairoFonts& fonts = CairoFonts::kept();
  cairo_surface_t* surface = cairo_pdf_surface_create_for_stream(append, &bytes, 100, 100);
  check(cairo_surface_status(surface), "starting the PDF");
  // The day of the inspection, so that the same job gives the same bytes on any day.
  const std::string date = (sheets.front().date.size() == 10 ? sheets.front().date : "2000-01-01") + "T00:00:00Z";
  cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_TITLE, sheets.front().title.c_str());
  cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_SUBJECT, sheets.front().subject.c_str());
  cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_AUTHOR, sheets.front().author.c_str());
  cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATOR, "swingtie");
  cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATE_DATE, date.c_str());
  cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_MOD_DATE, date.c_str());
  const Targets targets = link_targets(sheets);
  cairo_t* cr = cairo_create(surface);
  for (const Sheet& sheet : sheets) {
    cairo_pdf_surface_set_size(surface, sheet.width * points_per_mm, sheet.height * points_per_mm);
    cairo_pdf_surface_set_page_label(surface, fmt::format("{}", sheet.number).c_str());
    cairo_save(cr);
    cairo_scale(cr, points_per_mm, points_per_mm);
    CairoHooks hooks;
    hooks.pictures_as_they_are = true;
    // Cairo knows no layers: each goes between marks that qpdf turns into switchable content.
    hooks.layer = [&](std::size_t, bool begins) {
      if (begins) {
        cairo_tag_begin(cr, pdf_layer_tag, nullptr);
      } else {
        cairo_tag_end(cr, pdf_layer_tag);
      }
    };
    hooks.object = [&](const Object& object, bool begins) {
      const std::string key = fmt::format("{}#{}", sheet.number, object.id);
      const bool is_target = targets.contains(key);
      std::string attributes;
      if (object.link.starts_with('#')) {
        const std::string target = fmt::format("{}{}", sheet.number, object.link);
        if (targets.at(target)) attributes = "dest=" + quoted(target);
      } else if (!object.link.empty()) {
        attributes = "uri=" + quoted(object.link);
      }
      if (begins) {
        if (is_target) cairo_tag_begin(cr, CAIRO_TAG_DEST, ("name=" + quoted(key)).c_str());
        if (!attributes.empty()) cairo_tag_begin(cr, CAIRO_TAG_LINK, attributes.c_str());
      } else {
        if (!attributes.empty()) cairo_tag_end(cr, CAIRO_TAG_LINK);
        if (is_target) cairo_tag_end(cr, CAIRO_TAG_DEST);
      }
    };
    draw_sheet(cr, sheet, fonts, hooks);
    cairo_restore(cr);
    cairo_show_page(cr);
  }
  check(cairo_status(cr), "drawing the PDF");
  cairo_destroy(cr);
  cairo_surface_finish(surface);
  check(cairo_surface_status(surface), "writing the PDF");
  cairo_surface_destroy(surface);
  return open_module<QpdfModule>().finish(bytes, sheets);
}

}  // namespace swingtie
