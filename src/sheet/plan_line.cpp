#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "findings/phrases.hpp"
#include "sheet/line_course.hpp"
#include "sheet/plan.hpp"

namespace swingtie {
namespace {

void append(std::vector<Mark>& to, std::vector<Mark> more) {
  std::move(more.begin(), more.end(), std::back_inserter(to));
}

/// A white edge beneath the route, so that it reads over whatever it crosses.
void draw_casing(PlanScene& scene, const Polyline& course, const Look& look, std::vector<Mark>& marks) {
  Look casing;
  casing.line = scene.d.look("knock-out").fill;
  casing.width = look.width + 0.7;
  append(marks, line_marks(course, casing, scene.view.box));
}

void draw_station_ticks(PlanScene& scene, const LineFinding& line, const LineCourse& course) {
  const Drafting& d = scene.d;
  const double step = tick_step(d.placed.unit, 1000 / scene.view.denominator);
  const bool feet = is_feet(d.placed.unit);
  Path ticks;
  for (int k = 1; k * step < line.length - 0.15 * step; ++k) {
    const Station station{k * step};
    const PlanPoint at = plan(course.at(station));
    const PaperPoint p = scene.view.to_paper(at);
    if (!contains(inset(scene.view.box, 1.2), p)) continue;
    const PaperPoint ahead = unit(scene.view.to_paper(plan(course.at(station + 0.3))) -
                                  scene.view.to_paper(plan(course.at(station + -0.3))));
    const PaperPoint n = left_of(ahead);
    ticks.move_to(p - 1.3 * n).line_to(p + 1.3 * n);
    scene.obstacles.add_line({p - 1.4 * n, p + 1.4 * n}, 0.15, Obstacles::never);
    Label label;
    label.id = scene.id(fmt::format("{}-station-{}", line.id, k));
    label.kind = "station";
    const double value = std::round(k * step / metres_per(d.placed.unit) * 10) / 10;
    const std::string words = feet ? fmt::format("{:.0f}+{:02.0f}", std::floor(value / 100), std::fmod(value, 100))
                                   : fmt::format("{:g} m", value);
    label.title = "station " + words;
    label.forms = {form_of(d, {words}, "station")};
    label.anchor = p;
    label.clearance = 1.5;
    label.leader = false;
    label.priority = 1;
    label.worth = 5;  // the next station is not far
    scene.labels.push_back(std::move(label));
  }
  if (ticks.points.empty()) return;
  ticks.pen = pen_of(d.look("station-tick"));
  scene.out.note("station-tick");
  scene.add("line", line.id + "-ticks", "station-ticks", "stations from the start of the line, on the level",
            Role::route, {std::move(ticks)});
}

void draw_alternatives(PlanScene& scene, const LineFinding& line) {
  const Drafting& d = scene.d;
  const Polyline drawn_line = scene.view.to_paper(LineCourse(line).points());
  int shown = 0;
  for (std::size_t k = 1; k < line.alternatives.size(); ++k) {
    const RouteAlternative& a = line.alternatives[k];
    if (a.probability < 0.05 || a.route.size() < 2 || drawn_line.size() < 2 || shown == 3) continue;
    std::vector<PlanPoint> points;
    for (const SitePoint p : a.route) points.push_back(plan(p));
    const Polyline course = scene.view.to_paper(points);
    // One that the pen could not set apart from the line is not another route to a reader.
    double apart = 0;
    for (const PaperPoint p : course) apart = std::max(apart, distance_to_line(p, drawn_line));
    if (apart < 2.5) continue;
    ++shown;
    std::vector<Mark> marks = line_marks(course, d.look("alternative"), scene.view.box);
    if (marks.empty()) continue;
    scene.out.note("alternative");
    const std::string words = percentage(a.probability);
    scene.add("line", fmt::format("{}-alternative-{}", line.id, k), "alternative",
              fmt::format("another route that fits, probability {}", words), Role::route, std::move(marks));
    scene.obstacles.add_line(course, 0.4, Obstacles::never);
    for (const Polyline& piece : clip_line(course, inset(scene.view.box, 1))) {
      if (length(piece) < 12) continue;
      Label label;
      label.where = Label::Where::along_line;
      label.id = scene.id(fmt::format("{}-alternative-{}-name", line.id, k));
      label.kind = "alternative-name";
      label.title = "another route that fits";
      label.forms = {form_of(d, {"or here: " + words}, "item"), form_of(d, {words}, "item")};
      label.line = piece;
      label.offset = 0.9;
      label.priority = 6;
      scene.labels.push_back(std::move(label));
      break;
    }
  }
}

void draw_pipe_names(PlanScene& scene, const LineFinding& line, const LineCourse& course) {
  const Drafting& d = scene.d;
  for (std::size_t k = 0; k < line.pipes.size(); ++k) {
    const PipeStretch& stretch = line.pipes[k];
    const Polyline piece = scene.view.to_paper(course.between(stretch.from, stretch.to));
    if (piece.size() < 2) continue;
    for (const Polyline& shown : clip_line(piece, inset(scene.view.box, 1))) {
      if (length(shown) < 6) continue;
      Label label;
      label.where = Label::Where::along_line;
      label.id = scene.id(fmt::format("{}-pipe-{}", line.id, k));
      label.kind = "pipe-name";
      label.title = pipe_name(stretch.pipe, d.placed.unit);
      label.forms = {form_of(d, {pipe_name(stretch.pipe, d.placed.unit)}, "station")};
      label.line = shown;
      label.offset = 1.6;
      label.priority = 2;
      scene.labels.push_back(std::move(label));
      break;
    }
    if (k == 0) continue;
    // A change of pipe is a collar across the line.
    const PaperPoint p = scene.view.to_paper(plan(course.at(stretch.from)));
    if (!contains(inset(scene.view.box, 1.2), p)) continue;
    const PaperPoint ahead = unit(scene.view.to_paper(plan(course.at(stretch.from + 0.3))) - p);
    const PaperPoint n = left_of(ahead);
    Path collar;
    collar.move_to(p - 1.1 * n - 0.45 * ahead).line_to(p + 1.1 * n - 0.45 * ahead);
    collar.move_to(p - 1.1 * n + 0.45 * ahead).line_to(p + 1.1 * n + 0.45 * ahead);
    collar.pen = Pen{d.look("route").line.value_or(Colour{}), 0.35, {}, false};
    scene.out.note("collar");
    scene.add("line", fmt::format("{}-collar-{}", line.id, k), "pipe-change",
              pipe_name(stretch.pipe, d.placed.unit) + " begins", Role::symbol, {std::move(collar)});
    scene.obstacles.add_box({p, 1.2, 1.2, 0}, Obstacles::never);
  }
}

}  // namespace

std::vector<Mark> access_symbol(const Drafting& d, PaperPoint at) {
  const Look& look = d.look("access");
  Path ring;
  ring.add_circle(at, 1.3);
  Path bar;
  bar.add_polyline({{at.x - 0.75, at.y - 0.75},
                    {at.x + 0.75, at.y - 0.75},
                    {at.x + 0.75, at.y + 0.75},
                    {at.x - 0.75, at.y + 0.75}},
                   true);
  bar.pen = Pen{look.line.value_or(Colour{}), 0.25, {}, false};
  return {drawn(std::move(ring), look), std::move(bar)};
}

std::vector<Mark> item_symbol(const Drafting& d, PaperPoint at, Act act, double radius) {
  Path shape;
  switch (act) {
    case Act::dig:  // a lozenge
      shape.add_polyline({{at.x, at.y - radius}, {at.x + radius, at.y}, {at.x, at.y + radius}, {at.x - radius, at.y}},
                         true);
      return {drawn(std::move(shape), d.look("dig-item"))};
    case Act::watch:  // a triangle
      shape.add_polyline({{at.x, at.y - 1.6}, {at.x + 1.5, at.y + 1.1}, {at.x - 1.5, at.y + 1.1}}, true);
      return {drawn(std::move(shape), d.look("watch-item"))};
    case Act::none:
      break;
  }
  shape.add_circle(at, 0.8);
  return {drawn(std::move(shape), d.look("plain-item"))};
}

std::vector<Mark> locate_symbol(const Drafting& d, PaperPoint at, bool wrong) {
  Path hairs;
  hairs.move_to({at.x - 1.4, at.y})
      .line_to({at.x + 1.4, at.y})
      .move_to({at.x, at.y - 1.4})
      .line_to({at.x, at.y + 1.4});
  hairs.pen = pen_of(d.look("locate"));
  Path ring;
  ring.add_circle(at, 0.8);
  ring.pen = pen_of(d.look("locate"));
  if (wrong) {
    ring.move_to({at.x - 1.6, at.y + 1.6}).line_to({at.x + 1.6, at.y - 1.6});
    ring.move_to({at.x - 1.6, at.y - 1.6}).line_to({at.x + 1.6, at.y + 1.6});
    return {std::move(ring)};
  }
  return {std::move(hairs), std::move(ring)};
}

std::vector<Mark> crossing_symbol(const Drafting& d, PaperPoint at, double angle) {
  // A gate: two short bars along the limit on either side of the line.
  const PaperPoint u{std::cos(angle), std::sin(angle)}, n = left_of(u);
  Path gate;
  for (const double side : {1.0, -1.0}) {
    gate.move_to(at + 1.1 * u + side * 1.5 * n).line_to(at + -1.1 * u + side * 1.5 * n);
    gate.move_to(at + side * 1.5 * n).line_to(at + side * 0.7 * n);
  }
  gate.pen = pen_of(d.look("crossing"));
  return {std::move(gate)};
}

void draw_line(PlanScene& scene) {
  const Drafting& d = scene.d;
  const PlanView& view = scene.view;
  for (const LineFinding& line : d.findings.lines) {
    std::vector<Polyline> rings;
    for (const auto& ring : line.corridor95) rings.push_back(view.to_paper(ring));
    std::vector<Mark> band = scene.surface(rings, d.look("corridor"));
    for (const Polyline& ring : rings) append(band, line_marks(ring, d.look("corridor"), view.box, true));
    if (!band.empty()) scene.out.note("corridor");
    for (const Polyline& ring : rings) scene.obstacles.add_line(ring, 0.05, 1.2, true);
    scene.add("band", line.id + "-corridor", "corridor", "the line lies in this band with 95 % at each station",
              Role::ground, std::move(band));
  }
  for (const LineFinding& line : d.findings.lines) {
    if (scene.content.alternatives) draw_alternatives(scene, line);
    if (line.stations.size() < 2) continue;
    const LineCourse course(line);
    std::vector<Mark> marks;
    const Polyline whole = view.to_paper(course.points());
    draw_casing(scene, whole, d.look("route"), marks);
    scene.obstacles.add_line(whole, 0.6, Obstacles::never);
    bool known_part = false, inferred_part = false;
    for (std::size_t i = 0; i + 1 < line.stations.size();) {
      // A piece is as well known as the worse of its ends.
      const auto known = [&](std::size_t k) {
        return line.stations[k].within_tolerance && line.stations[k + 1].within_tolerance;
      };
      std::size_t j = i;
      Polyline piece = {whole[i]};
      while (j + 1 < line.stations.size() && known(j) == known(i)) piece.push_back(whole[++j]);
      (known(i) ? known_part : inferred_part) = true;
      append(marks, line_marks(piece, d.look(known(i) ? "route" : "route-inferred"), view.box));
      i = j;
    }
    if (known_part) scene.out.note("route");
    if (inferred_part) scene.out.note("route-inferred");
    scene.add("line", line.id, "route", fmt::format("line {}, {} long", line.id, feet_or_metres(d, line.length)),
              Role::route, std::move(marks));
    draw_station_ticks(scene, line, course);
    if (scene.content.pipes) draw_pipe_names(scene, line, course);
  }
  std::vector<PlanPoint> named;
  for (const Run& run : d.placed.runs) {
    const PaperPoint at = view.to_paper(run.access.at);
    if (!contains(inset(view.box, 2), at)) continue;
    // Runs from one access have one name between them.
    const bool again =
        std::any_of(named.begin(), named.end(), [&](PlanPoint p) { return distance(p, run.access.at) < 0.3; });
    named.push_back(run.access.at);
    scene.out.note("access");
    const std::string words = run.access_what.empty() ? "clean-out" : run.access_what;
    scene.add("line", "access-" + run.id, "access", words, Role::symbol, access_symbol(d, at));
    scene.obstacles.add_box({at, 1.5, 1.5, 0}, Obstacles::never);
    if (again) continue;
    Label label;
    label.id = scene.id("access-" + run.id + "-name");
    label.kind = "access-name";
    label.title = words;
    label.forms = {form_of(d, d.type.wrap(words, d.type_look("item"), 34), "item"),
                   form_of(d, d.type.wrap(words, d.type_look("item"), 19), "item")};
    label.anchor = at;
    label.clearance = 1.6;
    label.priority = 4;
    scene.labels.push_back(std::move(label));
  }
}

void draw_items(PlanScene& scene) {
  const Drafting& d = scene.d;
  const PlanView& view = scene.view;
  for (const std::size_t i : d.item_order) {
    const ItemFinding& item = d.findings.items[i];
    if (scene.content.inset_of && d.findings.digs[*scene.content.inset_of].item != i) continue;
    const PaperPoint at = view.to_paper(plan(item.position));
    if (!contains(inset(view.box, 2), at)) continue;
    if (scene.content.digs && item.act == Act::dig && !scene.content.inset_of) {
      std::vector<Mark> region;
      for (const auto& ring : item.region95)
        append(region, line_marks(view.to_paper(ring), d.look("region"), view.box, true));
      if (!region.empty()) scene.out.note("region");
      scene.add("digging", fmt::format("region-{}", d.item_numbers[i]), "region", "the point lies in here with 95 %",
                Role::ground, std::move(region));
    }
    scene.out.note(item.act == Act::dig ? "dig-item" : item.act == Act::watch ? "watch-item" : "plain-item");
    const std::string at_words = "at " + counter_text(d, item.at);
    const std::string key = fmt::format("{}", d.item_numbers[i]);
    const std::string depth = fmt::format("{} deep ({})", feet_or_metres(d, item.depth), bare_range(d, item.depth95));
    std::string words = fmt::format("{} {}: {}, {}", key, at_words, item.what, depth);
    for (const std::string& sentence : item.says) words += ". " + sentence;
    scene.add(item.act == Act::dig ? "digging" : "line", "item-" + key, "item", words, Role::symbol,
              item_symbol(d, at, item.act, scene.content.digs || scene.content.inset_of ? 0.9 : 1.7),
              "#row-item-" + key);
    scene.obstacles.add_box({at, 1.7, 1.7, 0}, Obstacles::never);
    Label label;
    label.id = scene.id("item-" + key + "-label");
    label.kind = "item-label";
    label.title = item.what;
    label.anchor = at;
    label.clearance = item.act == Act::none ? 1.0 : 1.9;
    const bool dig = item.act == Act::dig;
    const std::string_view type = dig ? "dig-item" : "item";
    const bool full_words = scene.content.item_words || (scene.content.digs && dig);
    if (full_words) {
      for (const double width : {44.0, 28.0}) {
        std::vector<std::string> lines = d.type.balanced(key + "  " + item.what, d.type_look(type), width);
        if (lines.size() > 3) {
          lines.resize(3);
          lines.back() = d.type.shortened(lines.back() + "…", d.type_look(type), width);
        }
        LabelForm form = form_of(d, lines, type);
        if (width > 40 || dig) {
          // The figures below the words, in the plain type.
          LabelForm figures = form_of(d, {depth}, "item");
          for (Text& text : figures.lines) {
            text.at.y += form.height + 0.4;
            form.lines.push_back(text);
          }
          form.width = std::max(form.width, figures.width);
          form.height += figures.height + 0.4;
        }
        label.forms.push_back(std::move(form));
      }
    }
    label.forms.push_back(form_of(d, {key}, type));
    label.priority = dig ? 8 : item.act == Act::watch ? 5 : 3;
    label.link = "#row-item-" + key;
    scene.labels.push_back(std::move(label));
  }
}

void draw_locates(PlanScene& scene) {
  const Drafting& d = scene.d;
  const PlanView& view = scene.view;
  for (std::size_t i = 0; i < d.findings.locates.size(); ++i) {
    const LocateFinding& locate = d.findings.locates[i];
    const Run& run = d.placed.runs[locate.run];
    const PaperPoint at = view.to_paper(locate.read);
    if (!contains(inset(view.box, 2), at)) continue;
    const bool wrong = locate.wrong_probability > 0.5;
    std::vector<Mark> ellipse = line_marks(view.to_paper(ellipse_outline(locate.read, locate.ellipse95)),
                                           d.look(wrong ? "locate-wrong" : "locate"), view.box, true);
    for (Mark& mark : ellipse) std::get<Path>(mark).pen->width *= 0.5;
    scene.add("line", fmt::format("locate-{}-ellipse", i + 1), "locate-ellipse", "the locate's own 95 % ellipse",
              Role::ground, std::move(ellipse));
    std::vector<Mark> marks = locate_symbol(d, at, wrong);
    scene.out.note(wrong ? "locate-wrong" : "locate");
    const std::string counter = counter_text(d, run.locates[locate.locate].at);
    scene.add(
        "line", fmt::format("locate-{}", i + 1), "locate",
        "locate at " + counter + (wrong ? ", does not fit: wrong with " + percentage(locate.wrong_probability) : ""),
        Role::symbol, std::move(marks));
    scene.obstacles.add_box({at, 1.75, 1.75, 0}, Obstacles::never);
    if (!wrong) continue;
    Label label;
    label.id = scene.id(fmt::format("locate-{}-name", i + 1));
    label.kind = "locate-name";
    label.title = "this locate does not fit the others";
    label.forms = {form_of(d, {"locate at " + counter, "does not fit"}, "item"),
                   form_of(d, {"locate at " + counter}, "item")};
    label.anchor = at;
    label.clearance = 1.8;
    label.priority = 5;
    scene.labels.push_back(std::move(label));
  }
}

void draw_crossings(PlanScene& scene) {
  const Drafting& d = scene.d;
  const PlanView& view = scene.view;
  if (scene.content.inset_of) return;
  for (std::size_t i = 0; i < d.findings.crossings.size(); ++i) {
    const Crossing& crossing = d.findings.crossings[i];
    const FeatureKind kind = d.placed.features[crossing.feature].kind;
    if (!crossing.limit && kind != FeatureKind::right_of_way) continue;
    const PaperPoint at = view.to_paper(plan(crossing.position));
    if (!contains(inset(view.box, 2), at) || crossing.line >= d.findings.lines.size()) continue;
    // The interval as a heavier stretch of the line's edge.
    const LineCourse course(d.findings.lines[crossing.line]);
    const PaperPoint ahead = unit(view.to_paper(plan(course.at(crossing.station + 0.3))) -
                                  view.to_paper(plan(course.at(crossing.station + -0.3))));
    std::vector<Mark> marks = crossing_symbol(d, at, std::atan2(ahead.y, ahead.x));
    for (const Station end : {Station{crossing.station95.low}, Station{crossing.station95.high}}) {
      const PaperPoint p = view.to_paper(plan(course.at(end)));
      if (!contains(inset(view.box, 1.5), p)) continue;
      Path bracket;
      bracket.move_to(p - 1.1 * left_of(ahead)).line_to(p + 1.1 * left_of(ahead));
      bracket.pen = pen_of(d.look("crossing"));
      marks.emplace_back(std::move(bracket));
    }
    scene.out.note("crossing");
    const std::string name = limit_name(d.placed, crossing.feature);
    const std::string key = fmt::format("crossing-{}", i + 1);
    scene.add("line", key, "crossing", crossing.says.empty() ? "crosses the " + name : crossing.says, Role::symbol,
              std::move(marks), "#row-" + key);
    scene.obstacles.add_box({at, 1.9, 1.9, 0}, Obstacles::never);
    Label label;
    label.id = scene.id(key + "-label");
    label.kind = "crossing-label";
    label.title = "crosses the " + name;
    const std::string station = "sta. " + station_text(d, crossing.station);
    label.forms = {form_of(d,
                           {"crosses at " + station,
                            fmt::format("95 %: {} to {}", station_text(d, Station{crossing.station95.low}),
                                        station_text(d, Station{crossing.station95.high}))},
                           "item"),
                   form_of(d, {station + " " + give_or_take(d, crossing.station95)}, "item")};
    label.anchor = at;
    label.clearance = 2.0;
    label.priority = 7;
    label.link = "#row-" + key;
    scene.labels.push_back(std::move(label));
  }
}

}  // namespace swingtie
