// swingtie-fonts.so: everything that needs Pango and fontconfig.

#include "sheet/fonts_module.hpp"

#include <fmt/format.h>
#include <fontconfig/fontconfig.h>
#include <ft2build.h>
#include <pango/pangofc-font.h>
#include <pango/pangoft2.h>
#include FT_FREETYPE_H

#include <algorithm>
#include <map>
#include <memory>
#include <mutex>
#include <string>
#include <utility>

#include "load/module.hpp"

namespace swingtie {
namespace {

struct Unref {
  void operator()(void* object) const { g_object_unref(object); }
};
struct FreeIterator {
  void operator()(PangoLayoutIter* i) const { pango_layout_iter_free(i); }
};

/// Size at which text is measured: large, so that nothing is rounded.
constexpr double em = 1000.0 * PANGO_SCALE;

class PangoFonts : public SystemFonts {
 public:
  PangoFonts() : map_(pango_ft2_font_map_new()), context_(pango_font_map_create_context(map_.get())) {
    pango_ft2_font_map_set_resolution(reinterpret_cast<PangoFT2FontMap*>(map_.get()), 72, 72);
    pango_context_set_round_glyph_positions(context_.get(), FALSE);
    // The order of the family names is the order in which fonts are asked for a letter.
    PangoFontDescription* font = pango_font_description_from_string("B612, DejaVu Sans, Noto Sans, sans-serif");
    pango_font_description_set_absolute_size(font, em);
    pango_context_set_font_description(context_.get(), font);
    pango_font_description_free(font);
    pango_context_set_language(context_.get(), pango_language_from_string("en"));
  }

  SystemShaping shape(std::string_view utf8) override {
    const std::lock_guard lock(mutex_);
    SystemShaping out;
    const std::unique_ptr<PangoLayout, Unref> layout(pango_layout_new(context_.get()));
    pango_layout_set_single_paragraph_mode(layout.get(), TRUE);
    pango_layout_set_text(layout.get(), utf8.data(), static_cast<int>(utf8.size()));
    const std::unique_ptr<PangoLayoutIter, FreeIterator> i(pango_layout_get_iter(layout.get()));
    double x = 0;
    bool complete = true;
    std::string unreadable;
    do {
      PangoLayoutRun* run = pango_layout_iter_get_run_readonly(i.get());
      if (run == nullptr) continue;
      const Taken taken = take(*run, x, out);
      complete = complete && taken == Taken::whole;
      if (taken == Taken::unreadable) unreadable = out.runs.back().file;
      // Half of a text could be taken for all of it.
      if (taken == Taken::unreadable || taken == Taken::not_at_all) {
        out.runs.clear();
        break;
      }
    } while (pango_layout_iter_next_run(i.get()));
    if (!unreadable.empty()) {
      out.remark =
          fmt::format("the font {} for `{}` cannot be read; run `fc-cache -f`, or install the font's package again",
                      unreadable, utf8);
    } else if (!complete) {
      out.remark = fmt::format("no font at hand has every letter of `{}`; install one, for example fonts-noto", utf8);
    }
    return out;
  }

 private:
  enum class Taken {
    whole,
    letters_missing,  ///< some have no glyph, and show the font's box for that
    unreadable,       ///< fontconfig lists a font whose file does not open: its list is older than the file
    not_at_all
  };

  /// Adds a run to those of the text.
  Taken take(const PangoLayoutRun& run, double& x, SystemShaping& out) {
    if (!PANGO_IS_FC_FONT(run.item->analysis.font)) return Taken::not_at_all;
    G_GNUC_BEGIN_IGNORE_DEPRECATIONS
    FcPattern* pattern = pango_fc_font_get_pattern(reinterpret_cast<PangoFcFont*>(run.item->analysis.font));
    G_GNUC_END_IGNORE_DEPRECATIONS
    FcChar8 *file = nullptr, *family = nullptr;
    int index = 0;
    if (FcPatternGetString(pattern, FC_FILE, 0, &file) != FcResultMatch) return Taken::not_at_all;
    FcPatternGetInteger(pattern, FC_INDEX, 0, &index);
    SystemRun made;
    made.file = reinterpret_cast<const char*>(file);
    made.family = FcPatternGetString(pattern, FC_FAMILY, 0, &family) == FcResultMatch
                      ? reinterpret_cast<const char*>(family)
                      : "";
    // The upper half of the index names an instance of a variable font, which FreeType takes in the same number.
    made.face_index = index;
    made.text_offset = static_cast<std::size_t>(run.item->offset);
    made.text_length = static_cast<std::size_t>(run.item->length);
    made.right_to_left = run.item->analysis.level % 2 == 1;
    bool complete = true;
    const PangoGlyphString& glyphs = *run.glyphs;
    for (int k = 0; k < glyphs.num_glyphs; ++k) {
      const PangoGlyphInfo& g = glyphs.glyphs[k];
      if (g.glyph & PANGO_GLYPH_UNKNOWN_FLAG) complete = false;
      const bool drawn = g.glyph != PANGO_GLYPH_EMPTY && (g.glyph & PANGO_GLYPH_UNKNOWN_FLAG) == 0;
      Glyph glyph;
      // A letter without a glyph shows the font's own box for that.
      glyph.id = drawn ? g.glyph : g.glyph == PANGO_GLYPH_EMPTY ? space_of(run.item->analysis.font) : 0;
      glyph.x = x + g.geometry.x_offset / em;
      glyph.y = -g.geometry.y_offset / em;
      if (k == 0 || glyphs.log_clusters[k] != glyphs.log_clusters[k - 1]) glyph.bytes = cluster_bytes(run, k);
      made.glyphs.push_back(glyph);
      x += g.geometry.width / em;
    }
    made.end = x;
    const bool opens = font_opens(made.file, index);
    out.runs.push_back(std::move(made));
    return !opens ? Taken::unreadable : complete ? Taken::whole : Taken::letters_missing;
  }

  /// Whether FreeType, which draws the sheets, reads a font.
  bool font_opens(const std::string& file, int index) {
    const auto [known, is_new] = opens_.try_emplace({file, index}, false);
    if (!is_new) return known->second;
    FT_Library library = nullptr;
    FT_Face face = nullptr;
    if (FT_Init_FreeType(&library) != 0) return false;
    known->second = FT_New_Face(library, file.c_str(), index, &face) == 0;
    FT_Done_FreeType(library);  // and with it the face
    return known->second;
  }

  static std::uint32_t space_of(PangoFont* font) {
    return pango_fc_font_get_glyph(reinterpret_cast<PangoFcFont*>(font), ' ');
  }

  /// Bytes of the string that the cluster of glyph k stands for: up to the next cluster in reading order.
  static std::uint16_t cluster_bytes(const PangoLayoutRun& run, int k) {
    const int start = run.glyphs->log_clusters[k];
    int end = run.item->length;
    for (int j = 0; j < run.glyphs->num_glyphs; ++j) {
      const int other = run.glyphs->log_clusters[j];
      if (other > start) end = std::min(end, other);
    }
    return static_cast<std::uint16_t>(end - start);
  }

  std::mutex mutex_;
  std::map<std::pair<std::string, int>, bool> opens_;  ///< by file and index in it
  std::unique_ptr<PangoFontMap, Unref> map_;
  std::unique_ptr<PangoContext, Unref> context_;
};

}  // namespace
}  // namespace swingtie

SWINGTIE_MODULE(swingtie::SystemFonts, swingtie::PangoFonts)
