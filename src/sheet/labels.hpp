#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "sheet/paper_geometry.hpp"
#include "sheet/sheet.hpp"

namespace swingtie {

/// Placing labels so that none covers another, the route or a symbol, and no leaders cross.
/// Each label has candidate places; a combination is searched for as in Christensen, Marks and Shieber, "An empirical
/// study of algorithms for point-feature label placement", ACM Transactions on Graphics 14(3), 1995, with the search
/// by least conflicts instead of annealing.

/// What labels have to keep off.
struct Obstacles {
  struct Piece {
    PaperPoint a, b;
    double half_width = 0;
    std::size_t line = 0;  ///< index into `lines`
  };
  struct Line {
    double cost = 0;               ///< of a label over any of its pieces, counted once; hard at `never` or above
    std::size_t owner = SIZE_MAX;  ///< label that may touch it
  };
  struct Block {
    TurnedBox box;
    double cost = 0;
  };
  std::vector<Piece> pieces;
  std::vector<Line> lines;
  std::vector<Block> blocks;

  static constexpr double never = 1000;
  /// @param owner  index of the label that may touch the line
  void add_line(const Polyline& line, double half_width, double cost, bool closed = false,
                std::size_t owner = SIZE_MAX);
  void add_box(const TurnedBox& box, double cost) { blocks.push_back({box, cost}); }
};

/// A wording of a label: lines set at the left of a box that they fill, first line on top.
struct LabelForm {
  std::vector<Text> lines;  ///< their `at` is relative to the box's upper left corner
  double width = 0, height = 0;
};

struct Label {
  enum class Where {
    beside_point,  ///< near `anchor`, farther off with a leader
    along_line,    ///< on or beside `line`, turned with it
    in_area,       ///< anywhere inside the ring `line`: upright, or along its longest side where it is narrow
  };
  Where where = Where::beside_point;
  std::string id, kind, title, link;
  std::string layer = "labels";
  int priority = 1;              ///< when not all fit, the lower goes
  std::vector<LabelForm> forms;  ///< from the fullest wording to the shortest
  PaperPoint anchor;
  double clearance = 1;  ///< radius of the symbol at the anchor
  bool leader = true;    ///< may be led away
  Polyline line;
  double offset = 0.6;     ///< gap between a line and its label; below zero: on the line, which shows through a gap
  bool knock_out = false;  ///< covers what lies under it with paper
  Colour paper{255, 255, 255};
  double reach = 45;  ///< how far a leader may go, mm
  /// Along a line: where there is no room, the last form may stand apart with a leader to the line.
  bool led_aside = false;
  /// Ends of the dimension line that the label is the figure of: it is drawn on under a figure beyond its ends.
  std::optional<std::array<PaperPoint, 2>> measured;
  double worth = Obstacles::never;  ///< rather than take a place that costs more, the label stays away
};

struct PlacedLabel {
  std::size_t label = 0;  ///< index into the labels
  std::size_t form = 0;
  TurnedBox box;
  std::optional<std::array<PaperPoint, 2>> leader;  ///< from the label to its place
};

/// Chooses a place for every label that can have one; the result is by index. Deterministic.
/// @param frame  labels stay inside
std::vector<PlacedLabel> place_labels(const std::vector<Label>& labels, const Obstacles& obstacles,
                                      const PaperBox& frame);

/// The marks of a placed label.
std::vector<Mark> label_marks(const Label& label, const PlacedLabel& placed);

}  // namespace swingtie
