#pragma once

#include <functional>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "sheet/drafting.hpp"

namespace swingtie {

/// A piece of a block that is not broken: a line of text, a row of a table, a picture.
struct Row {
  double height = 0;            ///< mm
  std::vector<Object> objects;  ///< placed from the row's upper left corner
  bool keep_with_next = false;
  /// For what is costly to draw: called when the row has its place, to add its objects and what the legend must name.
  std::function<void(Row& row, std::set<std::string, std::less<>>& legend)> draw;
  std::string layer = "blocks";
  std::optional<MapFrame> map;  ///< of an inset, its box placed as the objects are
};

/// A table, a card, a paragraph: rows below a heading that can run on in another column or on another sheet.
struct Block {
  std::string id, title;
  std::vector<Row> rows;
  std::vector<Row> repeated;  ///< the head of a table, set again where the block is continued
  bool whole = false;         ///< is not broken unless it is taller than a column
  bool cramped = false;       ///< set narrower than its figures want
  bool broken = false;        ///< so narrow that figures or words are broken
};

/// Sets a block to a width in mm.
using BlockMaker = std::function<Block(double width)>;

/// Decimal: points stand under one another, with digits after them or not.
enum class Align { left, right, centre, decimal };

struct Column {
  std::string head;
  Align align = Align::left;
  bool wraps = false;  ///< takes the width that the others leave
  std::string type = "table";
};

struct Cells {
  std::string id, title, link;
  std::vector<std::string> cells;
  bool group = false;  ///< one cell over the whole width: what the rows below have in common
};

/// Height of a line of running text of this type.
double leading(const Drafting& d, std::string_view type);

/// A row with one line of text. @param indent  mm from the left
Row text_row(const Drafting& d, const std::string& id, const std::string& words, std::string_view type,
             double indent = 0);
/// A paragraph, one row a line. It goes to another column in one piece, or with at least three lines on either side.
std::vector<Row> paragraph(const Drafting& d, const std::string& id, const std::string& words, std::string_view type,
                           double width, double indent = 0);
/// Paragraphs with a dash before each.
std::vector<Row> list(const Drafting& d, const std::string& id, const std::vector<std::string>& words,
                      std::string_view type, double width);
Row space_row(double height);
/// The head and rows of a table; numbers stand under one another, long words wrap, and a figure is broken only where
/// the width leaves no other way.
void set_table(const Drafting& d, Block& block, double width, const std::vector<Column>& columns,
               const std::vector<Cells>& rows);

/// Height of the heading of a block.
double heading_height(const Drafting& d);
/// Width in mm that the words of a heading may take; more are shortened.
double heading_room(double width);
/// The heading: lettering over a rule, with a swung arc at its end.
Object heading(const Drafting& d, const std::string& id, const std::string& words, double width);

/// The object moved on the paper.
void move(Object& object, double dx, double dy);

/// Marks of a QR code (ISO/IEC 18004, error correction M) inside a square, quiet zone included; empty when it fails.
std::vector<Mark> qr_code(std::string_view text, const PaperBox& square, Colour ink);

}  // namespace swingtie
