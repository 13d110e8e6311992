#include "sheet/type.hpp"

#include <fmt/format.h>
#include <ft2build.h>
#include FT_FREETYPE_H
#include FT_ADVANCES_H

#include <algorithm>
#include <array>
#include <cassert>
#include <map>
#include <optional>
#include <stdexcept>

#include "sheet/embedded.hpp"
#include "sheet/system_fonts.hpp"

namespace swingtie {
namespace {

struct CodePoint {
  std::uint32_t value = 0;
  std::uint16_t bytes = 0;
};

/// The next code point of well-formed UTF-8.
CodePoint next_code_point(std::string_view s, std::size_t at) {
  const auto byte = [&](std::size_t i) { return static_cast<unsigned char>(s[at + i]); };
  const unsigned char c = byte(0);
  if (c < 0x80) return {c, 1};
  if (c < 0xe0) return {(c & 0x1fu) << 6 | (byte(1) & 0x3fu), 2};
  if (c < 0xf0) return {(c & 0x0fu) << 12 | (byte(1) & 0x3fu) << 6 | (byte(2) & 0x3fu), 3};
  return {(c & 0x07u) << 18 | (byte(1) & 0x3fu) << 12 | (byte(2) & 0x3fu) << 6 | (byte(3) & 0x3fu), 4};
}

/// Well-formed UTF-8 without control characters.
std::string cleaned(std::string_view s) {
  const auto plain = [](char c) { return c >= 0x20 && c < 0x7f; };
  if (std::all_of(s.begin(), s.end(), plain)) return std::string(s);
  std::string out;
  out.reserve(s.size());
  for (std::size_t i = 0; i < s.size();) {
    const auto c = static_cast<unsigned char>(s[i]);
    const std::size_t length = c < 0x80 ? 1 : c < 0xc2 ? 0 : c < 0xe0 ? 2 : c < 0xf0 ? 3 : c < 0xf5 ? 4 : 0;
    bool good = length > 0 && i + length <= s.size();
    for (std::size_t k = 1; good && k < length; ++k) good = (static_cast<unsigned char>(s[i + k]) & 0xc0) == 0x80;
    if (good && length > 1) {
      const std::uint32_t value = next_code_point(s, i).value;
      constexpr std::array<std::uint32_t, 5> least = {0, 0, 0x80, 0x800, 0x10000};
      good = value >= least[length] && value <= 0x10ffff && !(value >= 0xd800 && value < 0xe000);
    }
    if (!good) {
      out += "\xef\xbf\xbd";
      ++i;
      continue;
    }
    if (c < 0x20 || c == 0x7f) {
      out += ' ';
    } else {
      out.append(s, i, length);
    }
    i += length;
  }
  return out;
}

}  // namespace

struct Typesetter::Faces {
  struct Face {
    FT_Face face = nullptr;
    std::size_t font = 0;  ///< index into fonts
    double units = 1;
    bool kerned = false;
    std::array<std::uint32_t, 256> latin_glyph{};
    std::array<float, 256> latin_advance{};
  };
  FT_Library library = nullptr;
  std::map<std::string, Face, std::less<>> open;
  std::vector<Font> fonts;
  std::vector<std::string> remarks;
  std::map<std::string, std::vector<SystemRun>, std::less<>> system_runs;  ///< shaped strings, by text

  Faces() {
    if (FT_Init_FreeType(&library) != 0) throw std::runtime_error("the font library does not start");
  }
  ~Faces() {
    for (auto& [key, face] : open) FT_Done_Face(face.face);
    FT_Done_FreeType(library);
  }
  Faces(const Faces&) = delete;
  Faces& operator=(const Faces&) = delete;

  Face& face(std::string_view key) {
    const auto found = open.find(key);
    if (found != open.end()) return found->second;
    const auto bytes = embedded_font(key);
    assert(!bytes.empty());
    Face f;
    if (FT_New_Memory_Face(library, bytes.data(), static_cast<FT_Long>(bytes.size()), 0, &f.face) != 0) {
      throw std::runtime_error(fmt::format("the built-in font `{}` does not open", key));
    }
    f.units = f.face->units_per_EM;
    f.kerned = FT_HAS_KERNING(f.face);
    for (std::uint32_t c = 32; c < 256; ++c) {
      f.latin_glyph[c] = FT_Get_Char_Index(f.face, c);
      f.latin_advance[c] = static_cast<float>(advance(f.face, f.latin_glyph[c]));
    }
    f.font = fonts.size();
    fonts.push_back({std::string(embedded_font_family(key)), std::string(key), "", 0, key.ends_with("-bold"),
                     key.ends_with("-italic")});
    return open.emplace(key, f).first->second;
  }

  static double advance(FT_Face face, FT_UInt glyph) {
    FT_Fixed units = 0;
    FT_Get_Advance(face, glyph, FT_LOAD_NO_SCALE, &units);
    return static_cast<double>(units);
  }

  static FT_UInt glyph_of(const Face& f, std::uint32_t letter) {
    return letter < 256 ? f.latin_glyph[letter] : FT_Get_Char_Index(f.face, letter);
  }
  static double advance_of(const Face& f, std::uint32_t letter, FT_UInt glyph) {
    return letter < 256 ? static_cast<double>(f.latin_advance[letter]) : advance(f.face, glyph);
  }
  static double kern(const Face& f, FT_UInt before, FT_UInt glyph) {
    if (!f.kerned || before == 0) return 0;
    FT_Vector kern{};
    FT_Get_Kerning(f.face, before, glyph, FT_KERNING_UNSCALED, &kern);
    return static_cast<double>(kern.x);
  }

  std::size_t system_font(const SystemRun& run) {
    for (std::size_t i = 0; i < fonts.size(); ++i) {
      if (fonts[i].file == run.file && fonts[i].face_index == run.face_index) return i;
    }
    fonts.push_back({run.family, "", run.file, run.face_index, false, false});
    return fonts.size() - 1;
  }

  /// Shapes with the face itself. @return false when it lacks a letter
  bool shape_own(Face& f, Text& text, bool keep_glyphs) {
    const double scale = text.size / f.units;
    GlyphRun run;
    run.font = f.font;
    run.text_length = text.string.size();
    if (keep_glyphs) run.glyphs.reserve(text.string.size());
    double x = 0;
    FT_UInt before = 0;
    for (std::size_t i = 0; i < text.string.size();) {
      const CodePoint c = next_code_point(text.string, i);
      i += c.bytes;
      const FT_UInt glyph = glyph_of(f, c.value);
      if (glyph == 0) return false;
      x += kern(f, before, glyph) * scale;
      if (keep_glyphs) run.glyphs.push_back({glyph, x, 0, c.bytes});
      x += advance_of(f, c.value, glyph) * scale;
      before = glyph;
    }
    text.width = x;
    if (keep_glyphs) text.runs.push_back(std::move(run));
    return true;
  }

  /// Where the pen stands in one line of text, in mm: before the letter that starts at a byte, after the one that
  /// ends.
  struct PenPlaces {
    std::vector<double> start, end;
  };

  /// @return empty when the face lacks a letter
  std::optional<PenPlaces> pen_places(std::string_view text, const TypeLook& look) {
    Face& f = face(look.face);
    const double scale = look.size_pt * mm_per_point / f.units;
    PenPlaces out{std::vector<double>(text.size() + 1), std::vector<double>(text.size() + 1)};
    double x = 0;
    FT_UInt before = 0;
    for (std::size_t i = 0; i < text.size();) {
      const CodePoint c = next_code_point(text, i);
      const FT_UInt glyph = glyph_of(f, c.value);
      if (glyph == 0) return std::nullopt;
      x += kern(f, before, glyph) * scale;
      out.start[i] = x;
      x += advance_of(f, c.value, glyph) * scale;
      i += c.bytes;
      out.end[i] = x;
      before = glyph;
    }
    return out;
  }

  void shape_by_system(Text& text) {
    auto found = system_runs.find(text.string);
    if (found == system_runs.end()) {
      SystemShaping shaping = shape_with_system_fonts(text.string);
      if (!shaping.remark.empty()) remarks.push_back(shaping.remark);
      found = system_runs.emplace(text.string, std::move(shaping.runs)).first;
    }
    double end = 0;
    for (const SystemRun& s : found->second) {
      GlyphRun run;
      run.font = system_font(s);
      run.text_offset = s.text_offset;
      run.text_length = s.text_length;
      run.right_to_left = s.right_to_left;
      for (Glyph g : s.glyphs) {
        g.x *= text.size;
        g.y *= text.size;
        run.glyphs.push_back(g);
      }
      end = std::max(end, s.end * text.size);
      text.runs.push_back(std::move(run));
    }
    text.width = end;
    text.ascent = 0.95 * text.size;
    text.descent = 0.28 * text.size;
  }

  Text set(std::string_view utf8, const TypeLook& look, bool keep_glyphs) {
    Text text;
    text.string = cleaned(utf8);
    text.size = look.size_pt * mm_per_point;
    text.ascent = 0.78 * text.size;
    text.descent = 0.21 * text.size;
    text.colour = look.colour;
    if (text.string.empty()) return text;
    if (shape_own(face(look.face), text, keep_glyphs)) return text;
    // The figures have more signs (≤, Δ, …) than the lettering.
    if (look.face.starts_with("lettering") && shape_own(face("figures"), text, keep_glyphs)) return text;
    shape_by_system(text);
    if (!text.runs.empty()) return text;
    // Nothing can show it: keep the words searchable and the place visible.
    const std::string wanted = text.string;
    text.string.clear();
    for (std::size_t i = 0; i < wanted.size();) {
      const CodePoint c = next_code_point(wanted, i);
      i += c.bytes;
      text.string += c.value < 256 && face("figures").latin_glyph[c.value] != 0
                         ? std::string(wanted, i - c.bytes, c.bytes)
                         : "?";
    }
    shape_own(face("figures"), text, keep_glyphs);
    return text;
  }
};

Typesetter::Typesetter() : faces_(std::make_unique<Faces>()) {}
Typesetter::~Typesetter() = default;

Text Typesetter::set(std::string_view utf8, const TypeLook& look) {
  return faces_->set(utf8, look, true);
}

double Typesetter::width(std::string_view utf8, const TypeLook& look) {
  return faces_->set(utf8, look, false).width;
}

namespace {

/// Without control characters, words one space apart.
std::string spaced_once(std::string_view utf8) {
  const std::string text = cleaned(utf8);
  std::string out;
  for (std::size_t i = 0; i < text.size();) {
    const std::size_t end = std::min(text.find(' ', i), text.size());
    if (end > i) {
      if (!out.empty()) out += ' ';
      out.append(text, i, end - i);
    }
    i = end + 1;
  }
  return out;
}

/// Breaks a text of words one space apart. @param width_of  mm of the bytes from one offset to another
template <class Width>
std::vector<std::string> broken(const std::string& text, double most, const Width& width_of) {
  std::vector<std::string> lines;
  std::size_t start = 0, end = 0;  // of the line
  for (std::size_t word = 0; word < text.size();) {
    const std::size_t word_end = std::min(text.find(' ', word), text.size());
    if (end > start && width_of(start, word_end) > most) {
      lines.push_back(text.substr(start, end - start));
      start = word;
    }
    end = word_end;
    while (width_of(start, end) > most) {
      std::size_t cut = end;
      while (cut > start + 1 && width_of(start, cut) > most) {
        do {
          --cut;
        } while (cut > start + 1 && (static_cast<unsigned char>(text[cut]) & 0xc0) == 0x80);
      }
      // A single letter wider than the line stays as it is.
      if (cut <= start + 1) break;
      lines.push_back(text.substr(start, cut - start));
      start = cut;
    }
    word = word_end + 1;
  }
  if (end > start) lines.push_back(text.substr(start, end - start));
  return lines;
}

}  // namespace

/// A text that can be broken to several widths; measured letter by letter once where our own face has every letter.
class Typesetter::Breakable {
 public:
  Breakable(Typesetter& type, std::string_view utf8, const TypeLook& look)
      : type_(type), look_(look), text_(spaced_once(utf8)), pens_(type.faces_->pen_places(text_, look)) {}

  std::vector<std::string> lines(double most) const {
    if (pens_) {
      return broken(text_, most,
                    [this](std::size_t from, std::size_t to) { return pens_->end[to] - pens_->start[from]; });
    }
    return broken(text_, most, [this](std::size_t from, std::size_t to) {
      return type_.width(std::string_view(text_).substr(from, to - from), look_);
    });
  }

 private:
  Typesetter& type_;
  const TypeLook& look_;
  std::string text_;
  std::optional<Faces::PenPlaces> pens_;
};

std::vector<std::string> Typesetter::wrap(std::string_view utf8, const TypeLook& look, double width_mm) {
  return Breakable(*this, utf8, look).lines(width_mm);
}

std::vector<std::string> Typesetter::balanced(std::string_view utf8, const TypeLook& look, double width_mm) {
  const Breakable text(*this, utf8, look);
  std::vector<std::string> lines = text.lines(width_mm);
  for (double narrower = width_mm * 0.93; lines.size() > 1 && narrower > width_mm * 0.4; narrower *= 0.93) {
    std::vector<std::string> tighter = text.lines(narrower);
    if (tighter.size() > lines.size()) break;
    lines = std::move(tighter);
  }
  return lines;
}

std::string Typesetter::shortened(std::string_view utf8, const TypeLook& look, double width_mm) {
  std::string text = cleaned(utf8);
  if (width(text, look) <= width_mm) return text;
  const std::string dots = "…";
  const auto drop_last_letter = [&] {
    while (!text.empty() && (static_cast<unsigned char>(text.back()) & 0xc0) == 0x80) text.pop_back();
    if (!text.empty()) text.pop_back();
  };
  while (!text.empty() && width(text + dots, look) > width_mm) drop_last_letter();
  while (!text.empty() && text.back() == ' ') text.pop_back();
  return text + dots;
}

const std::vector<Font>& Typesetter::fonts() const {
  return faces_->fonts;
}
const std::vector<std::string>& Typesetter::remarks() const {
  return faces_->remarks;
}

}  // namespace swingtie
