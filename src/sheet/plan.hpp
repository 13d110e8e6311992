#pragma once

#include <optional>
#include <string>

#include "sheet/drafting.hpp"
#include "sheet/labels.hpp"
#include "sheet/plan_view.hpp"

namespace swingtie {

/// What a plan shows besides the ground and the line.
struct PlanContent {
  bool digs = false;        ///< windows, footprints, regions
  bool ties = false;        ///< the tapes to each dig point
  bool item_words = false;  ///< what was seen, in words beside its mark
  bool sides = false;       ///< private and public, tinted and named
  bool lot_calls = false;   ///< bearings and lengths along the lot lines
  bool crossing_ties = false;
  bool locates = false;
  bool alternatives = true;
  bool pipes = false;                   ///< material along the line
  std::optional<std::size_t> inset_of;  ///< index into Findings::digs: a large picture of this one, with dimensions
  bool labels = true;                   ///< off for a trial that only finds out what is shown
  std::string prefix;                   ///< of ids, so that an inset's differ from the plan's
};

/// A plan being drawn: its parts add what they draw, what labels keep off, and labels to be placed at the end.
struct PlanScene {
  SheetBuilder& out;
  const Drafting& d;
  const PlanView& view;
  const PlanContent& content;
  Obstacles obstacles;
  std::vector<Label> labels;

  /// A tint or hatching that labels may have to stand on.
  struct Surface {
    std::vector<Polyline> rings;
    std::optional<Fill> fill;
    bool hatched = false;
  };
  std::vector<Surface> surfaces;  ///< in the order they are drawn

  /// The rings' fill and hatching, which become a surface.
  std::vector<Mark> surface(const std::vector<Polyline>& rings, const Look& look);

  std::string id(std::string_view of) const { return content.prefix + name_of(of); }
  std::string_view layer(std::string_view usual) const {
    return content.inset_of ? std::string_view("insets") : usual;
  }
  void add(std::string_view usual_layer, std::string_view of, std::string_view kind, std::string_view title,
           Role role, std::vector<Mark> marks, std::string_view link = {}) {
    out.add(layer(usual_layer), id(of), kind, title, role, std::move(marks), link);
  }
};

/// Draws a plan into its box and places its labels.
void draw_plan(SheetBuilder& out, const Drafting& d, const PlanView& view, const PlanContent& content);

// Its parts, in the order they are drawn.
void draw_sides(PlanScene& scene);
void draw_ground(PlanScene& scene);
void draw_trees(PlanScene& scene);
void draw_utilities(PlanScene& scene);
void draw_limits(PlanScene& scene);  ///< lot lines and right-of-way
void draw_line(PlanScene& scene);
void draw_items(PlanScene& scene);
void draw_locates(PlanScene& scene);
void draw_crossings(PlanScene& scene);
void draw_digs(PlanScene& scene);
void draw_ties(PlanScene& scene);
void draw_north_and_scale(PlanScene& scene);

/// A label of one or more lines in one type.
LabelForm form_of(const Drafting& d, const std::vector<std::string>& lines, std::string_view type);
/// The letter that marks a fixed point of swing ties on the plan and in the table, `A` for the first of all.
std::string tie_letter(const Drafting& d, PlanPoint fixed);

// Marks that the legend shows too.
/// @param radius  of the lozenge that marks what is to be dug
std::vector<Mark> item_symbol(const Drafting& d, PaperPoint at, Act act, double radius = 1.7);
std::vector<Mark> access_symbol(const Drafting& d, PaperPoint at);
std::vector<Mark> locate_symbol(const Drafting& d, PaperPoint at, bool wrong);
std::vector<Mark> crossing_symbol(const Drafting& d, PaperPoint at, double angle);
std::vector<Mark> fixture_symbol(const Drafting& d, PaperPoint at, FeatureKind kind);
/// Letter that stands in a utility's line: W, G, E, C, S.
std::string utility_letter(FeatureKind kind);

}  // namespace swingtie
