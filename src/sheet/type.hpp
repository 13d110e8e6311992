#pragma once

#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "sheet/sheet.hpp"
#include "sheet/style.hpp"

namespace swingtie {

inline constexpr double mm_per_point = 25.4 / 72.0;

/// Shapes and measures lines of text with the program's own fonts; strings that need other scripts go to the system's
/// fonts through a module that is loaded for the first of them. What it returns is what is drawn.
class Typesetter {
 public:
  Typesetter();
  ~Typesetter();
  Typesetter(const Typesetter&) = delete;
  Typesetter& operator=(const Typesetter&) = delete;

  /// One line with its baseline starting at (0, 0). Control characters become spaces; invalid UTF-8 becomes U+FFFD.
  Text set(std::string_view utf8, const TypeLook& look);

  /// Width of the line in mm, without keeping the glyphs.
  double width(std::string_view utf8, const TypeLook& look);

  /// The text broken into lines no wider than this (mm); a word that is wider by itself is broken between letters.
  std::vector<std::string> wrap(std::string_view utf8, const TypeLook& look, double width);

  /// The same in as few lines, but of about equal length.
  std::vector<std::string> balanced(std::string_view utf8, const TypeLook& look, double width);

  /// The text, or its beginning and `…` so that it is no wider than this (mm).
  std::string shortened(std::string_view utf8, const TypeLook& look, double width);

  /// Fonts that GlyphRun::font points into.
  const std::vector<Font>& fonts() const;

  /// Strings that no font at hand could show, one sentence each.
  const std::vector<std::string>& remarks() const;

 private:
  struct Faces;
  class Breakable;
  std::unique_ptr<Faces> faces_;
};

/// Height of a capital over the em, common to the program's fonts: for centring lines of text.
inline constexpr double cap_height = 0.74;

}  // namespace swingtie
