#include "sheet/embedded.hpp"

#include <array>

extern "C" {
extern const unsigned char swingtie_style_colour_begin[], swingtie_style_colour_end[];
extern const unsigned char swingtie_style_mono_begin[], swingtie_style_mono_end[];
extern const unsigned char swingtie_style_high_contrast_begin[], swingtie_style_high_contrast_end[];
extern const unsigned char swingtie_font_lettering_begin[], swingtie_font_lettering_end[];
extern const unsigned char swingtie_font_lettering_narrow_begin[], swingtie_font_lettering_narrow_end[];
extern const unsigned char swingtie_font_lettering_italic_begin[], swingtie_font_lettering_italic_end[];
extern const unsigned char swingtie_font_figures_begin[], swingtie_font_figures_end[];
extern const unsigned char swingtie_font_figures_bold_begin[], swingtie_font_figures_bold_end[];
}

namespace swingtie {
namespace {

struct Embedded {
  std::string_view key, family;
  const unsigned char* begin;
  const unsigned char* end;
};

const std::array styles = {
    Embedded{"colour", "", swingtie_style_colour_begin, swingtie_style_colour_end},
    Embedded{"mono", "", swingtie_style_mono_begin, swingtie_style_mono_end},
    Embedded{"high-contrast", "", swingtie_style_high_contrast_begin, swingtie_style_high_contrast_end},
};

const std::array fonts = {
    Embedded{"lettering", "Routed Gothic", swingtie_font_lettering_begin, swingtie_font_lettering_end},
    Embedded{"lettering-narrow", "Routed Gothic Narrow", swingtie_font_lettering_narrow_begin,
             swingtie_font_lettering_narrow_end},
    Embedded{"lettering-italic", "Routed Gothic Half Italic", swingtie_font_lettering_italic_begin,
             swingtie_font_lettering_italic_end},
    Embedded{"figures", "B612", swingtie_font_figures_begin, swingtie_font_figures_end},
    Embedded{"figures-bold", "B612", swingtie_font_figures_bold_begin, swingtie_font_figures_bold_end},
};

template <class Table>
const Embedded* find_in(const Table& table, std::string_view key) {
  for (const Embedded& e : table) {
    if (e.key == key) return &e;
  }
  return nullptr;
}

}  // namespace

std::string_view embedded_style(std::string_view name) {
  const Embedded* e = find_in(styles, name);
  return e ? std::string_view(reinterpret_cast<const char*>(e->begin), static_cast<std::size_t>(e->end - e->begin))
           : std::string_view();
}

std::span<const unsigned char> embedded_font(std::string_view key) {
  const Embedded* e = find_in(fonts, key);
  return e ? std::span(e->begin, static_cast<std::size_t>(e->end - e->begin)) : std::span<const unsigned char>();
}

std::string_view embedded_font_family(std::string_view key) {
  const Embedded* e = find_in(fonts, key);
  return e ? e->family : std::string_view();
}

}  // namespace swingtie
