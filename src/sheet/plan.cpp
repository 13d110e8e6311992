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

bool meets(const TurnedBox& box, const PlanScene::Surface& surface) {
  const PaperBox extent = box.bounds();
  for (const Polyline& ring : surface.rings) {
    const PaperBox b = bounds(ring);
    if (b.x > right(extent) || b.y > bottom(extent) || right(b) < extent.x || bottom(b) < extent.y) continue;
    if (inside(box.centre, ring)) return true;
    for (std::size_t i = 0; i < ring.size(); ++i) {
      if (overlap(box, ring[i], ring[(i + 1) % ring.size()])) return true;
    }
  }
  return false;
}

/// Where the north arrow stands: the middle of its swing.
struct ArrowPlace {
  PaperPoint pivot;
  double radius = 0, cost = 1e300;
};

/// What an arrow of this radius takes, letter included.
TurnedBox arrow_box(PaperPoint pivot, double radius, double angle) {
  const PaperPoint north{std::cos(angle), std::sin(angle)};
  return {pivot + (0.1 * radius + 2.1) * north, 0.9 * radius + 2.3, 0.85 * radius, angle};
}

/// The emptiest place for an arrow in the frame, corners first, so that it hides nothing.
ArrowPlace free_place(const PlanScene& scene, double radius, double angle) {
  const TurnedBox at_origin = arrow_box({}, radius, angle);
  const PaperBox extent = at_origin.bounds(), frame = inset(scene.view.box, 2);
  const double room_x = frame.width - extent.width, room_y = frame.height - extent.height;
  ArrowPlace best;
  best.radius = radius;
  best.pivot = centre(frame);
  constexpr int steps = 16;
  for (int row = 0; row <= steps; ++row) {
    for (int column = 0; column <= steps; ++column) {
      const PaperPoint pivot{frame.x - extent.x + room_x * column / steps, frame.y - extent.y + room_y * row / steps};
      const TurnedBox box = arrow_box(pivot, radius, angle).grown(0.8);
      // Rather at an edge than inside, rather in a corner than at an edge, the upper ones before the lower.
      const int off_row = std::min(row, steps - row), off_column = std::min(column, steps - column);
      double cost =
          0.02 * row + (off_row > 0 ? 1 : 0) + (off_column > 0 ? 1 : 0) + 1.5 * std::min(off_row, off_column);
      for (const PlanScene::Surface& surface : scene.surfaces) {
        if (cost < best.cost && surface.hatched && meets(box, surface)) cost += 5;
      }
      for (const auto& p : scene.obstacles.pieces) {
        if (cost >= best.cost) break;
        if (overlap(box, p.a, p.b)) cost += scene.obstacles.lines[p.line].cost;
      }
      for (const auto& o : scene.obstacles.blocks) {
        if (cost >= best.cost) break;
        if (overlap(box, o.box)) cost += o.cost;
      }
      if (cost < best.cost) {
        best.cost = cost;
        best.pivot = pivot;
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
  // A trial asks for what the legend must name, and the arrow is not in it.
  if (scene.content.inset_of || !scene.content.labels) return;
  const double angle = scene.view.paper_angle({0});
  // Smaller where the large one would lie over something.
  ArrowPlace place = free_place(scene, 7.5, angle);
  for (const double smaller : {6.0, 4.8}) {
    if (place.cost > 3)
      place = std::min(place, free_place(scene, smaller, angle),
                       [](const auto& a, const auto& b) { return a.cost < b.cost; });
  }
  const PaperPoint c = place.pivot;
  const double radius = place.radius;
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
  scene.obstacles.add_box(arrow_box(c, radius, angle), Obstacles::never);
}

namespace {

/// The dimension line drawn on from its end to under a figure that stands beyond it.
void draw_beyond(PlanScene& scene, const Label& label, const TurnedBox& figure) {
  const auto [p, q] = *label.measured;
  const double measured = distance(p, q);
  if (measured < 1e-6) return;
  const PaperPoint u = unit(q - p);
  const double at = dot(figure.centre - p, u);
  if (at >= 0 && at <= measured) return;
  Path line;
  if (at < 0) {
    line.move_to(p).line_to(p + (at - figure.half_width) * u);
  } else {
    line.move_to(q).line_to(p + (at + figure.half_width) * u);
  }
  line.pen = pen_of(scene.d.look("dimension"));
  scene.out.add(scene.layer("digging"), label.id + "-line", "dimension", "", Role::ground, {std::move(line)});
}

}  // namespace

std::vector<Mark> PlanScene::surface(const std::vector<Polyline>& rings, const Look& look) {
  Surface made{{}, std::nullopt, look.hatch.has_value()};
  if (look.fill) made.fill = Fill{*look.fill, look.opacity};
  for (const Polyline& ring : rings) {
    Polyline cut = clip_ring(ring, view.box);
    if (cut.size() >= 3) made.rings.push_back(std::move(cut));
  }
  if (!made.rings.empty() && (made.fill || made.hatched)) surfaces.push_back(std::move(made));
  return area_marks(rings, look, view.box);
}

namespace {

/// Whether hatching or linework runs through the place of a label.
bool struck_through(const PlanScene& scene, const PlacedLabel& placed) {
  for (const PlanScene::Surface& surface : scene.surfaces) {
    if (surface.hatched && meets(placed.box, surface)) return true;
  }
  const PaperBox extent = placed.box.bounds();
  for (const Obstacles::Piece& p : scene.obstacles.pieces) {
    // The edge of a band shows through letters without harm.
    if (scene.obstacles.lines[p.line].cost < 2) continue;
    if (std::max(p.a.x, p.b.x) < extent.x || std::min(p.a.x, p.b.x) > right(extent) ||
        std::max(p.a.y, p.b.y) < extent.y || std::min(p.a.y, p.b.y) > bottom(extent))
      continue;
    if (overlap(placed.box, p.a, p.b)) return true;
  }
  return false;
}

/// What the paper looks like at a place, hatching aside.
Colour paper_at(const PlanScene& scene, PaperPoint at) {
  Colour out = scene.d.look("knock-out").fill.value_or(Colour{255, 255, 255});
  for (const PlanScene::Surface& surface : scene.surfaces) {
    const bool within = std::any_of(surface.rings.begin(), surface.rings.end(),
                                    [&](const Polyline& ring) { return inside(at, ring); });
    if (!within || !surface.fill) continue;
    const double share = surface.fill->opacity;
    const auto mixed = [&](std::uint8_t below, std::uint8_t above) {
      return static_cast<std::uint8_t>(std::lround((1 - share) * below + share * above));
    };
    const Colour above = surface.fill->colour;
    out = {mixed(out.red, above.red), mixed(out.green, above.green), mixed(out.blue, above.blue)};
  }
  return out;
}

}  // namespace

void draw_plan(SheetBuilder& out, const Drafting& d, const PlanView& view, const PlanContent& content) {
  PlanScene scene{out, d, view, content, {}, {}, {}};
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
    Label& label = scene.labels[placed.label];
    // Lines are broken for letters.
    label.knock_out = struck_through(scene, placed);
    if (label.knock_out) label.paper = paper_at(scene, placed.box.centre);
    if (placed.leader) {
      Path leader;
      leader.move_to((*placed.leader)[0]).line_to((*placed.leader)[1]);
      leader.pen = pen_of(d.look("leader"));
      out.add(scene.layer(label.layer), label.id + "-leader", "leader", "", Role::leader, {std::move(leader)});
    }
    if (label.measured) draw_beyond(scene, label, placed.box);
    out.add(scene.layer(label.layer), label.id, label.kind, label.title, Role::label, label_marks(label, placed),
            label.link);
  }
  Path frame;
  frame.add_box(view.box);
  frame.pen = pen_of(d.look("rule"));
  scene.add("frame", "plan-frame", "frame", "", Role::ground, {std::move(frame)});
}

}  // namespace swingtie
