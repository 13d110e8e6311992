#include "sheet/plan.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

namespace swingtie {

LabelForm form_of(const Drafting& d, const std::vector<std::string>& lines, std::string_view type) {
  LabelForm form;
  const double em = d.em(type), leading = 1.22 * em;
  double y = 0.78 * em;
  for (const std::string& line : lines) {
    Text text = d.text(line, type);
    text.at = {0, y};
    y += leading;
    form.width = std::max(form.width, text.width);
    form.lines.push_back(std::move(text));
  }
  form.height = y - leading + 0.21 * em;
  return form;
}

namespace {

/// The emptiest place of this size along the inside of the frame, so that arrow and scale bar hide nothing.
PaperBox free_place(const PlanScene& scene, double width, double height) {
  const PaperBox frame = inset(scene.view.box, 2.5);
  PaperBox best{frame.x, frame.y, width, height};
  double least = 1e300;
  const int columns = 10, rows = 10;
  for (int row = 0; row <= rows; ++row) {
    for (int column = 0; column <= columns; ++column) {
      if (row > 0 && row < rows && column > 0 && column < columns) continue;
      const PaperBox b{frame.x + (frame.width - width) * column / columns,
                       frame.y + (frame.height - height) * row / rows, width, height};
      const TurnedBox turned = turned_box(inset(b, -2));
      // Corners first, the upper ones before the lower.
      double cost = (row == 0 || row == rows ? 0 : 1) + (column == 0 || column == columns ? 0 : 1) + 0.02 * row;
      for (const auto& p : scene.obstacles.pieces) {
        if (overlap(turned, p.a, p.b)) cost += p.cost;
      }
      for (const auto& o : scene.obstacles.blocks) {
        if (overlap(turned, o.box)) cost += 3 * o.cost;
      }
      if (cost < least) {
        least = cost;
        best = b;
      }
    }
  }
  return best;
}

}  // namespace

void draw_north_and_scale(PlanScene& scene) {
  const Drafting& d = scene.d;
  const Look& rule = d.look("rule");
  const Colour ink = rule.line.value_or(Colour{});
  if (scene.content.inset_of) return;
  constexpr double radius = 7.5;
  const PaperBox place = free_place(scene, 2 * radius + 8, 2 * radius + 8);
  const PaperPoint c{place.x + place.width / 2, place.y + place.height / 2};
  const double angle = scene.view.paper_angle({0});
  const PaperPoint north{std::cos(angle), std::sin(angle)}, east{-north.y, north.x};
  const auto at = [&](double ahead, double aside) { return c + ahead * north + aside * east; };
  std::vector<Mark> marks;
  // A plumb needle swung on its pivot: two arcs as a tape would strike them, one half of the needle inked.
  Path arcs;
  for (const double side : {1.0, -1.0}) {
    for (int i = 0; i <= 12; ++i) {
      const double t = side * (25 + 50.0 * i / 12) * std::numbers::pi / 180;
      const PaperPoint p = c + (radius * 0.8) * (std::cos(t) * north + std::sin(t) * east);
      if (i == 0) {
        arcs.move_to(p);
      } else {
        arcs.line_to(p);
      }
    }
  }
  arcs.pen = Pen{ink, 0.18, {}, true};
  marks.emplace_back(std::move(arcs));
  Path dark;
  dark.add_polyline({at(radius, 0), at(-radius * 0.8, 1.5), at(-radius * 0.5, 0)}, true);
  dark.pen = Pen{ink, 0.2, {}, true};
  dark.fill = Fill{ink, 1};
  Path light;
  light.add_polyline({at(radius, 0), at(-radius * 0.8, -1.5), at(-radius * 0.5, 0)}, true);
  light.pen = Pen{ink, 0.2, {}, true};
  light.fill = Fill{*d.look("knock-out").fill, 1};
  marks.emplace_back(std::move(light));
  marks.emplace_back(std::move(dark));
  Text letter = d.text("N", "heading");
  const PaperPoint above = at(radius + 2.1, 0);
  const double drop = 0.37 * letter.size;
  marks.emplace_back(set_at(std::move(letter), {above.x, above.y + drop}, 0.5));
  scene.add("labels", "north-arrow", "north-arrow", "grid north", Role::symbol, std::move(marks));
  scene.obstacles.add_box(turned_box(place), Obstacles::never);
}

void draw_plan(SheetBuilder& out, const Drafting& d, const PlanView& view, const PlanContent& content) {
  PlanScene scene{out, d, view, content, {}, {}};
  if (content.inset_of) {
    Path paper;
    paper.add_box(view.box);
    paper.fill = Fill{*d.look("knock-out").fill, 1};
    scene.add("insets", "ground", "ground", "", Role::ground, {std::move(paper)});
  }
  if (content.sides) draw_sides(scene);
  draw_ground(scene);
  draw_trees(scene);
  draw_utilities(scene);
  draw_limits(scene);
  draw_line(scene);
  if (content.locates) draw_locates(scene);
  if (content.digs || content.inset_of) draw_digs(scene);
  if (content.ties || content.crossing_ties || content.inset_of) draw_ties(scene);
  draw_crossings(scene);
  draw_items(scene);
  draw_north_and_scale(scene);

  if (!content.labels) return;
  for (const PlacedLabel& placed : place_labels(scene.labels, scene.obstacles, view.box)) {
    const Label& label = scene.labels[placed.label];
    if (placed.leader) {
      Path leader;
      leader.move_to((*placed.leader)[0]).line_to((*placed.leader)[1]);
      leader.pen = pen_of(d.look("leader"));
      out.add(scene.layer(label.layer), label.id + "-leader", "leader", "", Role::leader, {std::move(leader)});
    }
    out.add(scene.layer(label.layer), label.id, label.kind, label.title, Role::label, label_marks(label, placed),
            label.link);
  }
  Path frame;
  frame.add_box(view.box);
  frame.pen = pen_of(d.look("rule"));
  scene.add("frame", "plan-frame", "frame", "", Role::ground, {std::move(frame)});
}

}  // namespace swingtie
