#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "measure/bearing.hpp"
#include "sheet/plan.hpp"

namespace swingtie {
namespace {

constexpr double over_linework = 6;  ///< cost of a label over thin linework
constexpr double over_wall = 25;     ///< over a line that says where something ends

std::vector<Polyline> rings_of(const PlanView& view, const AreaPart& part) {
  std::vector<Polyline> rings = {view.to_paper(part.outer)};
  for (const auto& hole : part.holes) rings.push_back(view.to_paper(hole));
  return rings;
}

/// A strip of a given width along a line, as a ring.
Polyline strip(const Polyline& line, double half_width) {
  Polyline ring = offset_line(line, half_width);
  const Polyline back = offset_line(line, -half_width);
  ring.insert(ring.end(), back.rbegin(), back.rend());
  return ring;
}

void append(std::vector<Mark>& to, std::vector<Mark> more) {
  std::move(more.begin(), more.end(), std::back_inserter(to));
}

void label_area(PlanScene& scene, const Feature& f, std::string_view type, const std::string& words,
                const Polyline& ring) {
  const Polyline shown = clip_ring(ring, inset(scene.view.box, 1));
  if (shown.size() < 3) return;
  Label label;
  label.where = Label::Where::in_area;
  label.id = scene.id(f.id + "-name");
  label.kind = "feature-name";
  label.title = words;
  label.forms = {form_of(scene.d, {words}, type)};
  label.line = shown;
  label.priority = 2;
  scene.labels.push_back(std::move(label));
}

void label_line(PlanScene& scene, const std::string& id, const std::string& words, std::string_view type,
                const Polyline& line, int priority, double offset) {
  for (const Polyline& piece : clip_line(line, inset(scene.view.box, 1))) {
    if (length(piece) < 8) continue;
    Label label;
    label.where = Label::Where::along_line;
    label.id = scene.id(id);
    label.kind = "feature-name";
    label.title = words;
    label.forms = {form_of(scene.d, {words}, type)};
    label.line = piece;
    label.offset = offset;
    label.priority = priority;
    scene.labels.push_back(std::move(label));
    return;
  }
}

void fence_ticks(Path& path, const Polyline& line) {
  const double total = length(line);
  for (double s = 2; s < total; s += 4) {
    const PlaceOnLine p = along(line, s);
    const PaperPoint n = left_of(p.along);
    path.move_to(p.at - 0.6 * (n + p.along)).line_to(p.at + 0.6 * (n + p.along));
    path.move_to(p.at - 0.6 * (n - p.along)).line_to(p.at + 0.6 * (n - p.along));
  }
}

}  // namespace

std::vector<Mark> fixture_symbol(const Drafting& d, PaperPoint at, FeatureKind kind) {
  const Look& look = d.look("fixture");
  std::vector<Mark> marks;
  Path outer;
  const auto finish = [&](Path path) { marks.emplace_back(drawn(std::move(path), look)); };
  const auto inked = [&](Path path) {
    path.fill = Fill{look.line.value_or(Colour{}), 1};
    marks.emplace_back(std::move(path));
  };
  switch (kind) {
    case FeatureKind::hydrant: {
      outer.add_circle(at, 1.1);
      finish(std::move(outer));
      Path arms;
      arms.move_to({at.x - 1.8, at.y})
          .line_to({at.x + 1.8, at.y})
          .move_to({at.x, at.y - 1.8})
          .line_to({at.x, at.y + 1.8});
      arms.pen = pen_of(look);
      marks.emplace_back(std::move(arms));
      break;
    }
    case FeatureKind::pole: {
      outer.add_circle(at, 1.0);
      finish(std::move(outer));
      Path dot;
      dot.add_circle(at, 0.45);
      inked(std::move(dot));
      break;
    }
    case FeatureKind::valve: {
      outer.add_polyline(
          {{at.x - 1.3, at.y - 0.9}, {at.x + 1.3, at.y + 0.9}, {at.x + 1.3, at.y - 0.9}, {at.x - 1.3, at.y + 0.9}},
          true);
      finish(std::move(outer));
      break;
    }
    case FeatureKind::meter: {
      outer.add_box({at.x - 1.1, at.y - 1.1, 2.2, 2.2});
      finish(std::move(outer));
      Path diagonal;
      diagonal.move_to({at.x - 1.1, at.y + 1.1}).line_to({at.x + 1.1, at.y - 1.1});
      diagonal.pen = pen_of(look);
      marks.emplace_back(std::move(diagonal));
      break;
    }
    case FeatureKind::rock: {
      // A boulder: uneven, flat at the foot.
      outer.add_polyline({{at.x - 1.4, at.y + 0.9},
                          {at.x - 1.2, at.y - 0.3},
                          {at.x - 0.2, at.y - 1.1},
                          {at.x + 0.9, at.y - 0.7},
                          {at.x + 1.5, at.y + 0.9}},
                         true);
      marks.emplace_back(drawn(std::move(outer), d.look("rock")));
      break;
    }
    case FeatureKind::manhole: {
      outer.add_circle(at, 1.5);
      finish(std::move(outer));
      Path inner;
      inner.add_circle(at, 1.0);
      inner.pen = pen_of(look);
      marks.emplace_back(std::move(inner));
      break;
    }
    default: {
      Path cross_marks;
      cross_marks.move_to({at.x - 1.1, at.y - 1.1}).line_to({at.x + 1.1, at.y + 1.1});
      cross_marks.move_to({at.x - 1.1, at.y + 1.1}).line_to({at.x + 1.1, at.y - 1.1});
      cross_marks.pen = pen_of(look);
      marks.emplace_back(std::move(cross_marks));
    }
  }
  return marks;
}

std::string utility_letter(FeatureKind kind) {
  switch (kind) {
    case FeatureKind::water:
      return "W";
    case FeatureKind::gas:
      return "G";
    case FeatureKind::electric:
      return "E";
    case FeatureKind::comms:
      return "C";
    default:
      return "S";
  }
}

void draw_ground(PlanScene& scene) {
  const Drafting& d = scene.d;
  const PlanView& view = scene.view;
  // Flat things first, the house over them.
  for (const int round : {0, 1}) {
    for (std::size_t i = 0; i < d.placed.features.size(); ++i) {
      const Feature& f = d.placed.features[i];
      const std::string name = feature_name(d.placed, i);
      std::string look;
      switch (f.kind) {
        case FeatureKind::driveway:
          look = "driveway";
          break;
        case FeatureKind::walk:
          look = "walk";
          break;
        case FeatureKind::house:
          look = "house";
          break;
        case FeatureKind::wall:
          look = "wall";
          break;
        case FeatureKind::rock:
          look = "rock";
          break;
        case FeatureKind::fence:
          look = "fence";
          break;
        case FeatureKind::curb:
          look = "curb";
          break;
        case FeatureKind::centerline:
          look = "centerline";
          break;
        default:
          break;
      }
      const bool flat = f.kind == FeatureKind::driveway || f.kind == FeatureKind::walk;
      if (look.empty() || flat != (round == 0)) continue;
      const Look& l = d.look(look);
      std::vector<Mark> marks;
      for (const AreaPart& part : f.areas) {
        const auto rings = rings_of(view, part);
        append(marks, scene.surface(rings, l));
        for (const Polyline& ring : rings) {
          append(marks, line_marks(ring, l, view.box, true));
          scene.obstacles.add_line(ring, 0.2, f.kind == FeatureKind::house ? over_wall : over_linework, true);
        }
        label_area(scene, f, "feature", name, rings.front());
      }
      for (const auto& line : f.lines) {
        Polyline course = view.to_paper(line);
        if (course.size() < 2) continue;
        const double half = f.width && (flat || f.kind == FeatureKind::wall) ? view.mm(*f.width) / 2 : 0;
        if (half > 0.4) {
          const Polyline ring = strip(course, half);
          append(marks, scene.surface({ring}, l));
          append(marks, line_marks(ring, l, view.box, true));
          scene.obstacles.add_line(ring, 0.1, over_linework, true);
        } else {
          append(marks, line_marks(course, l, view.box));
          scene.obstacles.add_line(course, 0.2, f.kind == FeatureKind::curb ? 12 : over_linework);
          if (f.kind == FeatureKind::fence) {
            Path ticks;
            for (const Polyline& piece : clip_line(course, inset(view.box, 1))) fence_ticks(ticks, piece);
            ticks.pen = pen_of(l);
            if (!ticks.points.empty()) marks.emplace_back(std::move(ticks));
          }
          if (f.kind == FeatureKind::curb) {
            // The gutter: a second, finer line on the street side of the curb, half a foot off.
            const double side = offset_line(course, 1)[0].y > course[0].y ? 1 : -1;
            Look gutter = l;
            gutter.width = l.width / 2;
            append(marks, line_marks(offset_line(course, side * std::max(view.mm(0.15), 0.5)), gutter, view.box));
          }
        }
        label_line(scene, f.id + "-name", name, "feature", course, 2, half > 0.4 ? half + 0.4 : 0.7);
      }
      if (marks.empty()) continue;
      scene.out.note(look);
      scene.add("base", f.id, std::string(kind_words(f.kind)), name, Role::ground, std::move(marks));
    }
  }
  for (std::size_t i = 0; i < d.placed.features.size(); ++i) {
    const Feature& f = d.placed.features[i];
    const bool fixture = f.kind == FeatureKind::hydrant || f.kind == FeatureKind::pole ||
                         f.kind == FeatureKind::meter || f.kind == FeatureKind::valve ||
                         f.kind == FeatureKind::manhole || f.kind == FeatureKind::mark || f.kind == FeatureKind::rock;
    if (!fixture || f.shape != GeometryKind::point) continue;
    const PaperPoint at = view.to_paper(f.point);
    if (!contains(inset(view.box, 2), at)) continue;
    scene.out.note(kind_words(f.kind));
    const std::string name = feature_name(d.placed, i);
    scene.add("base", f.id, kind_words(f.kind), name, Role::symbol, fixture_symbol(d, at, f.kind));
    scene.obstacles.add_box({at, 1.7, 1.7, 0}, Obstacles::never);
    Label label;
    label.id = scene.id(f.id + "-name");
    label.kind = "feature-name";
    label.title = name;
    label.forms = {form_of(d, {name}, "feature")};
    label.anchor = at;
    label.clearance = 1.8;
    label.priority = 2;
    label.reach = 20;
    scene.labels.push_back(std::move(label));
  }
}

void draw_trees(PlanScene& scene) {
  const Drafting& d = scene.d;
  const PlanView& view = scene.view;
  for (std::size_t i = 0; i < d.placed.features.size(); ++i) {
    const Feature& f = d.placed.features[i];
    if (f.kind != FeatureKind::tree || f.shape != GeometryKind::point) continue;
    const PaperPoint at = view.to_paper(f.point);
    const std::string name = feature_name(d.placed, i);
    for (const TreeFinding& tree : d.findings.trees) {
      if (tree.feature != i || tree.root_zone <= 0) continue;
      const Polyline ring = view.to_paper(ring_around(f.point, tree.root_zone));
      std::vector<Mark> marks = scene.surface({ring}, d.look("root-zone"));
      append(marks, line_marks(ring, d.look("root-zone"), view.box, true));
      if (!marks.empty()) scene.out.note("root-zone");
      scene.add("trees", f.id + "-root-zone", "root-zone", "root zone of " + name, Role::ground, std::move(marks));
      break;
    }
    if (f.spread) {
      // A crown is drawn as it is drawn by hand: a ring of shallow scallops.
      const double radius = view.mm(*f.spread / 2);
      Polyline crown;
      const int lobes = std::clamp(static_cast<int>(radius * 1.5), 9, 24);
      for (int k = 0; k < lobes * 8; ++k) {
        const double t = 2 * std::numbers::pi * k / (lobes * 8);
        const double r = radius * (1 - 0.045 * std::abs(std::sin(t * lobes / 2)));
        crown.push_back({at.x + r * std::cos(t), at.y + r * std::sin(t)});
      }
      std::vector<Mark> marks = line_marks(crown, d.look("crown"), view.box, true);
      if (!marks.empty()) scene.out.note("crown");
      scene.obstacles.add_line(crown, 0.05, 3, true);
      scene.add("trees", f.id + "-crown", "crown", "crown of " + name, Role::ground, std::move(marks));
    }
    if (!contains(inset(view.box, 1.5), at)) continue;
    const double trunk = std::max(f.trunk ? view.mm(*f.trunk / 2) : 0.0, 0.7);
    Path ring;
    ring.add_circle(at, trunk);
    std::vector<Mark> marks = {drawn(std::move(ring), d.look("tree"))};
    scene.out.note("tree");
    scene.add("trees", f.id, "tree", name, Role::symbol, std::move(marks));
    scene.obstacles.add_box({at, trunk + 0.3, trunk + 0.3, 0}, Obstacles::never);
    Label label;
    label.id = scene.id(f.id + "-name");
    label.kind = "feature-name";
    label.title = name;
    std::string words = name;
    if (f.trunk)
      words += ", " + (is_feet(d.placed.unit) ? format_length(*f.trunk, LengthUnit::foot, LengthStyle::decimal, 1)
                                              : taped(d, *f.trunk));
    label.forms = {form_of(d, {name}, "tree")};
    label.anchor = at;
    label.clearance = trunk + 0.3;
    label.priority = 2;
    label.reach = 25;
    scene.labels.push_back(std::move(label));
  }
}

void draw_utilities(PlanScene& scene) {
  const Drafting& d = scene.d;
  const PlanView& view = scene.view;
  for (std::size_t i = 0; i < d.placed.features.size(); ++i) {
    const Feature& f = d.placed.features[i];
    const bool utility = f.kind == FeatureKind::water || f.kind == FeatureKind::gas ||
                         f.kind == FeatureKind::electric || f.kind == FeatureKind::comms;
    if ((!utility && f.kind != FeatureKind::main) || f.shape != GeometryKind::line) continue;
    const std::string look(spelled(f.kind));
    const std::string name = feature_name(d.placed, i);
    const std::string letter = utility_letter(f.kind);
    std::vector<Mark> zone, marks;
    for (const auto& line : f.lines) {
      const Polyline course = view.to_paper(line);
      if (course.size() < 2) continue;
      if (utility && d.findings.rules.tolerance_zone > 0) {
        // Half the diameter and the zone on either side, as the marks of the owner would be respected.
        const double half = view.mm(f.size.value_or(0) / 2 + d.findings.rules.tolerance_zone);
        const Polyline ring = strip(course, half);
        append(zone, scene.surface({ring}, d.look(look + "-zone")));
        append(zone, line_marks(ring, d.look(look + "-zone"), view.box, true));
      }
      append(marks, line_marks(course, d.look(look), view.box));
      scene.obstacles.add_line(course, 0.3, 14);
      // The letter stands in the line again and again, each in a gap.
      const Text one = d.text(letter, "utility");
      for (const Polyline& piece : clip_line(course, inset(view.box, 2))) {
        const double total = length(piece);
        const double step = std::clamp(total / 2.5, 14.0, 34.0);
        for (double s = step / 2; s < total; s += step) {
          const PlaceOnLine p = along(piece, s);
          // Where two services cross, one letter is enough.
          const TurnedBox place{p.at, 0.6 * one.size, 0.6 * one.size, 0};
          if (std::any_of(scene.obstacles.blocks.begin(), scene.obstacles.blocks.end(),
                          [&](const Obstacles::Block& b) { return overlap(b.box, place.grown(0.3)); })) {
            continue;
          }
          Path gap;
          gap.add_circle(p.at, 0.62 * one.size);
          gap.fill = Fill{*d.look("knock-out").fill, 1};
          marks.emplace_back(std::move(gap));
          Text text = set_at(one, {p.at.x, p.at.y + cap_height / 2 * one.size}, 0.5);
          text.colour = legible(d.look(look).line.value_or(Colour{}));
          marks.emplace_back(std::move(text));
          scene.obstacles.add_box(place, Obstacles::never);
        }
      }
      label_line(scene, f.id + "-name", name, "utility", course, 3, 0.8);
    }
    if (!zone.empty()) scene.out.note(look + "-zone");
    scene.add("utilities", f.id + "-zone", "tolerance-zone", "tolerance zone of " + name, Role::ground,
              std::move(zone));
    if (!marks.empty()) scene.out.note(look);
    scene.add("utilities", f.id, look, name, Role::ground, std::move(marks));
  }
}

void draw_limits(PlanScene& scene) {
  const Drafting& d = scene.d;
  const PlanView& view = scene.view;
  // The lot the line starts on is drawn in full weight, others finer.
  const PlanPoint home = !d.findings.lines.empty() && !d.findings.lines.front().stations.empty()
                             ? plan(d.findings.lines.front().stations.front().at)
                             : view.focus;
  for (std::size_t i = 0; i < d.placed.features.size(); ++i) {
    const Feature& f = d.placed.features[i];
    const bool row = f.kind == FeatureKind::right_of_way;
    if (f.kind != FeatureKind::lot && !row) continue;
    bool own = row;
    for (const AreaPart& part : f.areas) own = own || inside(view.to_paper(home), view.to_paper(part.outer));
    const std::string look = row ? "right-of-way" : own ? "lot" : "neighbour";
    std::vector<Mark> marks;
    for (const AreaPart& part : f.areas) {
      for (const Polyline& ring : rings_of(view, part)) {
        append(marks, line_marks(ring, d.look(look), view.box, true));
        scene.obstacles.add_line(ring, 0.25, 12, true);
        if (row) label_line(scene, f.id + "-name", feature_name(d.placed, i) + " line", "line-name", ring, 4, 0.8);
      }
    }
    for (const auto& line : f.lines) {
      const Polyline course = view.to_paper(line);
      append(marks, line_marks(course, d.look(look), view.box));
      scene.obstacles.add_line(course, 0.25, 14);
      if (row) label_line(scene, f.id + "-name", limit_name(d.placed, i), "line-name", course, 4, 0.8);
    }
    if (marks.empty()) continue;
    scene.out.note(look);
    scene.add("base", f.id, kind_words(f.kind), feature_name(d.placed, i), Role::ground, std::move(marks));
    // Corners of the own lot are small open squares; whether a monument stands there is not known.
    if (!row && own) {
      Path corners;
      for (const Corner& corner : f.corners) {
        const PaperPoint p = view.to_paper(corner.point.at);
        if (contains(inset(view.box, 1), p)) corners.add_box({p.x - 0.55, p.y - 0.55, 1.1, 1.1});
      }
      if (!corners.points.empty()) {
        corners.pen = Pen{d.look(look).line.value_or(Colour{}), 0.25, {}, false};
        corners.fill = Fill{*d.look("knock-out").fill, 1};
        scene.add("base", f.id + "-corners", "lot-corner", "corners of the lot as drawn, not a survey", Role::ground,
                  {std::move(corners)});
      }
    }
    if (!scene.content.lot_calls || row) continue;
    for (std::size_t k = 0; own && k < f.corners.size(); ++k) {
      const PlanPoint a = f.corners[k].point.at, b = f.corners[(k + 1) % f.corners.size()].point.at;
      Label label;
      label.where = Label::Where::along_line;
      label.id = scene.id(f.id + "-course-" + f.corners[k].name);
      label.kind = "lot-course";
      const std::string bearing =
          format_bearing(azimuth(a, b), is_feet(d.placed.unit) ? BearingStyle::quadrant : BearingStyle::azimuth);
      const std::string run = format_length(distance(a, b), d.placed.unit, LengthStyle::decimal, 2);
      label.title = fmt::format("{}  {}", bearing, run);
      label.forms = {form_of(d, {label.title}, "lot-call"), form_of(d, {run}, "lot-call")};
      label.offset = 0.8;
      const auto pieces = clip_line({view.to_paper(a), view.to_paper(b)}, inset(view.box, 1));
      if (pieces.empty()) continue;
      label.line = pieces.front();
      label.priority = 1;
      scene.labels.push_back(std::move(label));
    }
  }
}

void draw_sides(PlanScene& scene) {
  const Drafting& d = scene.d;
  const PlanView& view = scene.view;
  const Polyline frame = {{view.box.x, view.box.y},
                          {right(view.box), view.box.y},
                          {right(view.box), bottom(view.box)},
                          {view.box.x, bottom(view.box)}};
  for (std::size_t i = 0; i < d.placed.features.size(); ++i) {
    const Feature& f = d.placed.features[i];
    if (f.kind != FeatureKind::right_of_way || f.lines.empty() || f.lines.front().size() < 2) continue;
    bool limit = false;
    for (const Crossing& crossing : d.findings.crossings) limit = limit || (crossing.feature == i && crossing.limit);
    if (!limit) continue;
    // The line continued straight past the frame cuts it in two; the side of the line's start is the private one.
    Polyline course = view.to_paper(f.lines.front());
    const double far = 4 * (view.box.width + view.box.height);
    course.front() = course.front() - far * unit(course[1] - course[0]);
    course.back() = course.back() + far * unit(course.back() - course[course.size() - 2]);
    const PlanPoint home = plan(d.findings.lines.front().stations.front().at);
    const bool home_left = inside(view.to_paper(home), [&] {
      Polyline left = course;
      const Polyline over = offset_line({course.back(), course.front()}, -far);
      left.insert(left.end(), over.begin(), over.end());
      return left;
    }());
    for (const bool is_private : {true, false}) {
      Polyline half = course;
      const Polyline over = offset_line({course.back(), course.front()}, is_private == home_left ? -far : far);
      half.insert(half.end(), over.begin(), over.end());
      const std::string look = is_private ? "private-side" : "public-side";
      std::vector<Mark> marks = scene.surface({half}, d.look(look));
      if (!marks.empty()) scene.out.note(look);
      scene.add("tints", look, look, is_private ? "private side of the right-of-way line" : "public side",
                Role::ground, std::move(marks));
    }
    for (const bool is_private : {true, false}) {
      const double side = is_private == home_left ? 1 : -1;
      const Polyline beside = offset_line(view.to_paper(f.lines.front()), side * (1.8 + d.em("side-name")));
      for (const Polyline& piece : clip_line(beside, inset(view.box, 1))) {
        Label label;
        label.where = Label::Where::along_line;
        label.id = scene.id(is_private ? "private-name" : "public-name");
        label.kind = "side-name";
        label.title = is_private ? "private side" : "public side";
        label.forms = {form_of(d, {is_private ? "P R I V A T E" : "P U B L I C"}, "side-name")};
        label.line = piece;
        label.offset = -1;
        label.priority = 5;
        scene.labels.push_back(std::move(label));
        break;
      }
    }
    return;
  }
}

}  // namespace swingtie
