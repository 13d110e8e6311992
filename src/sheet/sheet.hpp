#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "measure/plane.hpp"

namespace swingtie {

/// What is on one sheet of paper, ready to be drawn: a display list in millimetres from the sheet's upper left
/// corner, y down. Everything is decided here; the backends of `draw/` only trace it. Nothing lies outside the sheet,
/// nothing needs a clip, text is shaped and measured.

struct PaperPoint {
  double x = 0, y = 0;  ///< mm
};

struct PaperBox {
  double x = 0, y = 0, width = 0, height = 0;  ///< mm; x, y is the upper left corner
};

struct Colour {
  std::uint8_t red = 0, green = 0, blue = 0;
  bool operator==(const Colour&) const = default;
};

struct Pen {
  Colour colour;
  double width = 0.25;       ///< mm
  std::vector<double> dash;  ///< mm on, off, on, off …; empty: solid
  bool round = false;        ///< round caps and joins, else butt and mitre
  bool operator==(const Pen&) const = default;
};

struct Fill {
  Colour colour;
  double opacity = 1;
  bool operator==(const Fill&) const = default;
};

/// Straight and curved pieces, stroked or filled or both. Fills are by the even-odd rule.
struct Path {
  enum class Verb : std::uint8_t { move, line, cubic, close };
  std::vector<Verb> verbs;
  std::vector<PaperPoint> points;  ///< one per move and line, three per cubic, none per close
  std::optional<Pen> pen;
  std::optional<Fill> fill;

  Path& move_to(PaperPoint);
  Path& line_to(PaperPoint);
  Path& cubic_to(PaperPoint control1, PaperPoint control2, PaperPoint end);
  Path& close();
  Path& add_polyline(const std::vector<PaperPoint>& vertices, bool closed);
  Path& add_circle(PaperPoint centre, double radius);
  Path& add_box(const PaperBox&);
};

/// A font: one of ours, embedded in the program, or a file of the system for scripts that ours lack.
struct Font {
  std::string family;    ///< name for SVG and for people: `B612`
  std::string embedded;  ///< key of our own font; empty for a file
  std::string file;      ///< path of a system font; empty for our own
  int face_index = 0;    ///< of a font collection
  bool bold = false, italic = false;
  bool operator==(const Font&) const = default;
};

struct Glyph {
  std::uint32_t id = 0;
  double x = 0, y = 0;      ///< mm from the start of the text's baseline, unrotated
  std::uint16_t bytes = 0;  ///< how many bytes of the string it stands for; 0: belongs to the glyph before it
};

/// Glyphs of one font inside a text, in visual order.
struct GlyphRun {
  std::size_t font = 0;  ///< index into Sheet::fonts
  std::vector<Glyph> glyphs;
  std::size_t text_offset = 0, text_length = 0;  ///< the bytes of the string that it shows
  bool right_to_left = false;
};

/// One line of text.
struct Text {
  std::string string;              ///< UTF-8
  PaperPoint at;                   ///< start of the baseline (its left end when not rotated)
  double rotation = 0;             ///< radians, clockwise on the paper
  double size = 2.5;               ///< mm per em
  double width = 0;                ///< mm along the baseline
  double ascent = 0, descent = 0;  ///< mm above and below the baseline that the letters may fill
  Colour colour;
  std::vector<GlyphRun> runs;
};

/// A picture: the bytes of a JPEG or PNG file as they are.
struct Image {
  enum class Format { jpeg, png } format = Format::png;
  std::shared_ptr<const std::string> bytes;
  int pixels_wide = 0, pixels_high = 0;
  PaperBox box;  ///< has the picture's own proportions
};

using Mark = std::variant<Path, Text, Image>;

/// What part an object plays for the reader and for the rule that labels overlap nothing.
enum class Role : std::uint8_t {
  ground,  ///< may be drawn over: tints, hatches, thin linework, frames
  route,   ///< the line itself
  symbol,  ///< something at a place
  label,   ///< text that belongs to a place on the plan or profile
  leader,  ///< line from a label to its place
  block    ///< tables, notes, title: outside the plan
};

/// One thing on the sheet: a house, a label, a row of a table.
struct Object {
  std::string id;     ///< unique on the sheet, a valid XML name: `house`, `item-R1-41`
  std::string kind;   ///< class for styling and scripts: `house`, `tie`, `table-row`
  std::string title;  ///< what a person is told on pointing at it; may be empty
  std::string link;   ///< a URI, or `#id` of another object; empty: none
  Role role = Role::ground;
  std::vector<Mark> marks;
};

/// A layer that a reader can switch: base, utilities, route, digging, labels, profile, blocks.
struct Layer {
  std::string id, title;
  std::vector<Object> objects;  ///< drawn in order
};

/// Where the map lies on the sheet and on the Earth.
struct MapFrame {
  PaperBox box;
  double scale_denominator = 1;  ///< paper 1 : ground this
  struct Tie {
    PaperPoint paper;  ///< a corner of the box
    PlanPoint grid;    ///< metres
    double lat_deg = 0, lon_deg = 0;
  };
  std::vector<Tie>
      corners;  ///< lower left, upper left, upper right, lower right; with lat/lon 0 if not georeferenced
  bool georeferenced = false;
  std::string wkt;  ///< OGC WKT of the grid's CRS, or empty
};

struct Sheet {
  std::string title;                  ///< `27 Juniper Row, Eastmere: dig sheet`
  std::string subject, author, date;  ///< for the document's properties; date ISO 8601 or empty
  double width = 0, height = 0;       ///< mm
  int number = 1, count = 1;          ///< sheet 1 of 3
  std::vector<Font> fonts;
  std::vector<Layer> layers;         ///< drawn in order
  std::vector<MapFrame> maps;        ///< the plan first, then its insets
  std::vector<std::string> remarks;  ///< what could not be set as wished: a missing font, a photo that was not found
};

/// Corners of a text's box on the paper: start of the baseline side below, end below, end above, start above.
std::vector<PaperPoint> outline(const Text& text);

/// Makes everything on the sheet, and the sheet, larger by a factor. The maps' scales are not touched: they are said
/// of the enlarged sheet.
void enlarge(Sheet& sheet, double factor);

/// The display list as text, one object a line, numbers to a hundredth of a millimetre: what golden tests compare.
std::string dump(const Sheet& sheet);

}  // namespace swingtie
