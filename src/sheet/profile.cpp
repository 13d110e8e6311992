#include "sheet/profile.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "findings/phrases.hpp"
#include "sheet/line_course.hpp"
#include "sheet/plan.hpp"
#include "sheet/scales.hpp"

namespace swingtie {
namespace {

constexpr double axis_room = 9;  ///< mm left of the graph, for its figures
constexpr double end_room = 3;   ///< mm right of it

void append(std::vector<Mark>& to, std::vector<Mark> more) {
  std::move(more.begin(), more.end(), std::back_inserter(to));
}

/// Where stations and heights lie on the paper.
struct ProfileView {
  PaperBox box;  ///< the graph
  double horizontal = 240, exaggeration = 1;
  double top = 0, low = 0;  ///< heights at the box's upper and lower edge, metres
  bool elevations = false;  ///< heights are elevations, else the ground is 0
  const LineCourse& course;
  const GroundSurface& ground;

  double x(Station s) const { return box.x + s.metres * 1000 / horizontal; }
  double y(double height) const { return box.y + (top - height) * 1000 * exaggeration / horizontal; }
  double ground_at(Station s) const { return elevations ? ground.height(plan(course.at(s))) : 0; }
  PaperPoint at_depth(Station s, double depth) const { return {x(s), y(ground_at(s) - depth)}; }
};

constexpr double ground_strokes = 1.5;  ///< how far the strokes that mark the ground reach below it, mm

double nice_step(LengthUnit unit, double mm_per_metre) {
  for (const double step : {0.5, 1.0, 2.0, 5.0, 10.0, 20.0}) {
    if (step * metres_per(unit) * mm_per_metre >= 4.2) return step * metres_per(unit);
  }
  return 50 * metres_per(unit);
}

void draw_axes(SheetBuilder& out, const Drafting& d, const ProfileView& view, const LineFinding& line, double low) {
  const double per = metres_per(d.placed.unit);
  std::vector<Mark> marks;
  Path grid;
  const double step = nice_step(d.placed.unit, 1000 * view.exaggeration / view.horizontal);
  const double end = view.x({line.length});
  for (double k = std::ceil(low / step - 1e-9); k * step <= view.top + 1e-9; ++k) {
    const double y = view.y(k * step);
    grid.move_to({view.box.x, y}).line_to({end, y});
    // The room above level ground has no depth.
    if (!view.elevations && k > 0) continue;
    const double value = view.elevations ? k * step / per : -k * step / per;
    Text text = d.text(fmt::format("{:g}", value == 0 ? 0.0 : std::round(value * 100) / 100), "profile");
    marks.emplace_back(set_at(std::move(text), {view.box.x - 1.2, y + cap_height / 2 * d.em("profile")}, 1));
  }
  const double tick = tick_step(d.placed.unit, 1000 / view.horizontal);
  for (int k = 0; k * tick <= line.length + 1e-9; ++k) {
    const double x = view.x({k * tick});
    grid.move_to({x, view.box.y}).line_to({x, bottom(view.box)});
    const double value = std::round(k * tick / per * 10) / 10;
    const std::string words = is_feet(d.placed.unit)
                                  ? fmt::format("{:.0f}+{:02.0f}", std::floor(value / 100), std::fmod(value, 100))
                                  : fmt::format("{:g}", value);
    Text text = d.text(words, "profile");
    if (x + text.width / 2 > end + 6) continue;
    marks.emplace_back(set_at(std::move(text), {x, bottom(view.box) + 1.1 * d.em("profile") + 4.6}, 0.5));
  }
  grid.pen = pen_of(d.look("profile-grid"));
  marks.insert(marks.begin(), std::move(grid));
  out.add("profile", "profile-grid", "profile-grid", "", Role::ground, std::move(marks));
}

constexpr double bar_height = 4.0;  ///< of the pipe under the graph
constexpr double thinnest_bar = 0.3;

/// Whether a stretch of pipe is too short for the name of its pipe to stand in it.
bool named_below(const Drafting& d, const ProfileView& view, const PipeStretch& stretch) {
  const double width = view.x(stretch.to) - view.x(stretch.from);
  return width >= thinnest_bar &&
         d.type.width(pipe_name(stretch.pipe, d.placed.unit), d.type_look("profile")) >= width - 1.5;
}

/// A stretch of pipe that is named under the graph.
struct BelowName {
  std::size_t stretch = 0;
  std::string words;
  std::size_t line = 0;  ///< of lettering
  double x = 0;
};

constexpr double swatch = 4.5;  ///< mm: a piece of the bar before its name

double below_leading(const Drafting& d) {
  return 1.55 * d.em("profile");
}

/// The names that do not fit into their bars, in lines as wide as the graph's box.
std::vector<BelowName> names_below(const Drafting& d, const ProfileView& view, const LineFinding& line,
                                   double width) {
  std::vector<BelowName> out;
  double x = 0;
  std::size_t row = 0;
  for (std::size_t k = 0; k < line.pipes.size(); ++k) {
    const PipeStretch& stretch = line.pipes[k];
    if (!named_below(d, view, stretch)) continue;
    std::string words = fmt::format("{}, {} to {}", pipe_name(stretch.pipe, d.placed.unit),
                                    station_text(d, stretch.from), station_text(d, stretch.to));
    const double takes = swatch + 1 + d.type.width(words, d.type_look("profile"));
    if (x > 0 && x + takes > width) {
      x = 0;
      ++row;
    }
    out.push_back({k, std::move(words), row, x});
    x += takes + 4;
  }
  return out;
}

/// The bar of a pipe: hatched by material, as the pipe would be in a log.
std::vector<Mark> bar_of(const Drafting& d, const Pipe& pipe, const PaperBox& bar) {
  const Look& look = d.look(material_look(pipe.material));
  std::vector<Mark> marks =
      area_marks({{{bar.x, bar.y}, {right(bar), bar.y}, {right(bar), bottom(bar)}, {bar.x, bottom(bar)}}}, look, bar);
  Path edge;
  edge.add_box(bar);
  edge.pen = pen_of(look);
  marks.emplace_back(std::move(edge));
  return marks;
}

/// @param left, width  of the box, for the names under the graph
void draw_materials(SheetBuilder& out, const Drafting& d, const ProfileView& view, const LineFinding& line,
                    double left, double width) {
  const double y = bottom(view.box) + 0.6, height = bar_height;
  for (std::size_t k = 0; k < line.pipes.size(); ++k) {
    const PipeStretch& stretch = line.pipes[k];
    const double from = view.x(stretch.from), to = view.x(stretch.to);
    if (to - from < thinnest_bar) continue;
    const PaperBox bar{from, y, to - from, height};
    const Look& look = d.look(material_look(stretch.pipe.material));
    std::vector<Mark> marks = bar_of(d, stretch.pipe, bar);
    if (!named_below(d, view, stretch)) {
      Text text = d.text(pipe_name(stretch.pipe, d.placed.unit), "profile");
      const double rise = height / 2 + cap_height / 2 * text.size;
      text = set_at(std::move(text), {bar.x + bar.width / 2, y + rise}, 0.5);
      Path paper;
      paper.add_box({text.at.x - 0.6, y + 0.35, text.width + 1.2, height - 0.7});
      paper.fill = Fill{look.fill.value_or(*d.look("knock-out").fill), 1};
      marks.emplace_back(std::move(paper));
      marks.emplace_back(std::move(text));
    }
    out.add("profile", fmt::format("profile-pipe-{}", k + 1), "pipe",
            fmt::format("{} from {} to {}", pipe_name(stretch.pipe, d.placed.unit), station_text(d, stretch.from),
                        station_text(d, stretch.to)),
            Role::ground, std::move(marks));
  }
  const double em = d.em("profile");
  for (const BelowName& name : names_below(d, view, line, width)) {
    const double baseline =
        bottom(view.box) + 4.6 + 1.1 * em + (static_cast<double>(name.line) + 1) * below_leading(d);
    const PaperBox sample{left + name.x, baseline - 0.95 * em, swatch, 1.1 * em};
    std::vector<Mark> marks = bar_of(d, line.pipes[name.stretch].pipe, sample);
    marks.emplace_back(set_at(d.text(name.words, "profile"), {right(sample) + 1, baseline}));
    out.add("profile", fmt::format("profile-pipe-{}-name", name.stretch + 1), "pipe-name", name.words, Role::block,
            std::move(marks));
  }
}

void draw_band_and_line(SheetBuilder& out, const Drafting& d, const ProfileView& view, const LineFinding& line,
                        Obstacles& obstacles) {
  Polyline upper, lower, axis, ground;
  for (const StationFinding& s : line.stations) {
    upper.push_back(view.at_depth(s.station, s.depth95.low));
    lower.push_back(view.at_depth(s.station, s.depth95.high));
    axis.push_back(view.at_depth(s.station, s.depth));
    ground.push_back(view.at_depth(s.station, 0));
  }
  Polyline band = upper;
  band.insert(band.end(), lower.rbegin(), lower.rend());
  const PaperBox clip = inset(view.box, -0.01);
  std::vector<Mark> marks = area_marks({band}, d.look("profile-band"), clip);
  append(marks, line_marks(band, d.look("profile-band"), clip, true));
  out.note("profile-band");
  out.add("profile", "profile-band", "profile-band", "the depth lies in this band with 95 % at each station",
          Role::ground, std::move(marks));

  std::vector<Mark> earth;
  // Ground is a line with short strokes below it, as cut earth is drawn.
  Polyline strip = ground;
  for (auto p = ground.rbegin(); p != ground.rend(); ++p) strip.push_back({p->x, p->y + ground_strokes});
  Look strokes = d.look("profile-ground");
  strokes.fill.reset();
  append(earth, area_marks({strip}, strokes, clip));
  append(earth, line_marks(ground, d.look("profile-ground"), clip));
  out.add("profile", "profile-ground", "ground", view.elevations ? "ground" : "ground, taken as level", Role::ground,
          std::move(earth));
  obstacles.add_line(ground, 0.3, 20);

  std::vector<Mark> route;
  for (std::size_t i = 0; i + 1 < axis.size();) {
    const auto known = [&](std::size_t k) {
      return line.stations[k].within_tolerance && line.stations[k + 1].within_tolerance;
    };
    std::size_t j = i;
    Polyline piece = {axis[i]};
    while (j + 1 < axis.size() && known(j) == known(i)) piece.push_back(axis[++j]);
    append(route, line_marks(piece, d.look(known(i) ? "route" : "route-inferred"), clip));
    i = j;
  }
  obstacles.add_line(axis, 0.6, Obstacles::never);
  out.add("profile", "profile-line", "route", "pipe axis", Role::route, std::move(route));
}

void draw_grades(const Drafting& d, const ProfileView& view, std::size_t line, std::vector<Label>& labels) {
  // The fall of the whole line is in the table: here it would seem to belong to the stretch it stands beside.
  const Station end{d.findings.lines[line].length - 0.01};
  const auto stretches = std::count_if(d.findings.grades.begin(), d.findings.grades.end(),
                                       [&](const GradeFinding& grade) { return grade.line == line; });
  for (std::size_t k = 0; k < d.findings.grades.size(); ++k) {
    const GradeFinding& grade = d.findings.grades[k];
    const bool whole = grade.from < Station{0.01} && grade.to > end;
    if (grade.line != line || (whole && stretches > 1)) continue;
    Label label;
    label.where = Label::Where::along_line;
    label.id = fmt::format("profile-grade-{}", k + 1);
    label.kind = "grade";
    label.layer = "profile";
    label.title = grade.says;
    const std::string low = hundredths_of(grade.grade95.low), high = hundredths_of(grade.grade95.high),
                      fall = hundredths_of(grade.grade);
    label.forms = {form_of(d, {fmt::format("fall {} % ({} to {})", fall, low, high)}, "profile"),
                   form_of(d, {fmt::format("{} % ({} to {})", fall, low, high)}, "profile")};
    label.line = {view.at_depth(grade.from, view.course.depth(grade.from)),
                  view.at_depth(grade.to, view.course.depth(grade.to))};
    label.offset = 1.4;
    label.priority = 3;
    labels.push_back(std::move(label));
  }
}

void draw_marks(SheetBuilder& out, const Drafting& d, const ProfileView& view, std::size_t line, Obstacles& obstacles,
                std::vector<Label>& labels) {
  for (std::size_t i = 0; i < d.findings.crossings.size(); ++i) {
    const Crossing& crossing = d.findings.crossings[i];
    if (crossing.line != line ||
        (!crossing.limit && d.placed.features[crossing.feature].kind != FeatureKind::right_of_way))
      continue;
    const double x = view.x(crossing.station);
    std::vector<Mark> marks;
    Path interval;
    interval.add_box(
        {view.x(Station{crossing.station95.low}), view.box.y,
         std::max(view.x(Station{crossing.station95.high}) - view.x(Station{crossing.station95.low}), 0.1),
         view.box.height});
    interval.fill = Fill{d.look("crossing").line.value_or(Colour{}), 0.12};
    marks.emplace_back(std::move(interval));
    Path post;
    post.move_to({x, view.box.y}).line_to({x, bottom(view.box)});
    post.pen = pen_of(d.look("right-of-way"));
    post.pen->width = 0.35;
    marks.emplace_back(std::move(post));
    out.add("profile", fmt::format("profile-crossing-{}", i + 1), "crossing", crossing.says, Role::ground,
            std::move(marks));
    obstacles.add_line({{x, view.box.y}, {x, bottom(view.box)}}, 0.2, Obstacles::never);
    Label label;
    label.id = fmt::format("profile-crossing-{}-name", i + 1);
    label.kind = "crossing-label";
    label.layer = "profile";
    label.title = crossing.says;
    const std::string full = limit_name(d.placed, crossing.feature),
                      shorter = feature_name(d.placed, crossing.feature);
    label.forms = {form_of(d, {full}, "line-name")};
    if (shorter != full) label.forms.push_back(form_of(d, {shorter}, "line-name"));
    label.priority = 4;
    label.reach = 14;
    // Along the post where there is room between the ground and the pipe, else across it between the ground and the
    // band.
    const double under = view.at_depth(crossing.station, 0).y + ground_strokes;
    const double pipe = view.at_depth(crossing.station, crossing.depth).y;
    if (pipe - under > label.forms[0].width + 2) {
      label.where = Label::Where::along_line;
      label.line = {{x, pipe}, {x, under}};
      label.offset = 0.8;
      label.led_aside = true;
    } else {
      const double band = view.at_depth(crossing.station, crossing.depth95.low).y;
      label.anchor = {x, (under + band) / 2};
      label.clearance = 0.2;
      label.worth = 10;
    }
    labels.push_back(std::move(label));
  }
  for (const LocateFinding& locate : d.findings.locates) {
    const Run& run = d.placed.runs[locate.run];
    if (run.line != line || !locate.depth_read) continue;
    // Beneath the place of the adjusted point.
    double best = 1e300;
    Station at;
    for (const StationFinding& s : d.findings.lines[line].stations) {
      const double off = distance(plan(s.at), locate.adjusted);
      if (off < best) {
        best = off;
        at = s.station;
      }
    }
    const PaperPoint p = view.at_depth(at, *locate.depth_read);
    if (!contains(view.box, p)) continue;
    out.note("locate");
    out.add("profile", "profile-locate", "locate",
            "depth read at " + counter_text(d, run.locates[locate.locate].at) + ": " +
                feet_or_metres(d, *locate.depth_read),
            Role::symbol, locate_symbol(d, p, locate.wrong_probability > 0.5));
    obstacles.add_box({p, 1.75, 1.75, 0}, Obstacles::never);
  }
  for (const SeparationFinding& s : d.findings.separations) {
    const Feature& f = d.placed.features[s.feature];
    if (s.line != line || s.crosses_probability < 0.5 || !f.depth) continue;
    const double radius = std::max(f.size.value_or(0) * 500 / view.horizontal, 0.9);
    const PaperPoint p = view.at_depth(s.nearest, *f.depth + f.size.value_or(0) / 2);
    if (!contains(inset(view.box, radius), p)) continue;
    Path ring;
    ring.add_circle(p, radius);
    const std::string kind(spelled(f.kind));
    Look look = d.look(kind);
    look.dash.clear();
    look.fill = d.look("knock-out").fill;
    look.width = 0.3;
    out.add("profile", "profile-" + name_of(f.id), kind,
            feature_name(d.placed, s.feature) + " crosses here, depth as given", Role::symbol,
            {drawn(std::move(ring), look)});
    obstacles.add_box({p, radius + 0.2, radius + 0.2, 0}, Obstacles::never);
    Label label;
    label.id = "profile-" + name_of(f.id) + "-name";
    label.kind = "utility-name";
    label.layer = "profile";
    label.title = feature_name(d.placed, s.feature);
    label.forms = {form_of(d, {feature_name(d.placed, s.feature)}, "utility"),
                   form_of(d, {utility_letter(f.kind)}, "utility")};
    label.anchor = p;
    label.clearance = radius + 0.2;
    label.reach = 14;
    label.priority = 4;
    labels.push_back(std::move(label));
  }
  for (const std::size_t i : d.item_order) {
    const ItemFinding& item = d.findings.items[i];
    if (item.line != line) continue;
    const PaperPoint p = view.at_depth(item.station, item.depth);
    if (!contains(inset(view.box, 0.5), p)) continue;
    out.add("profile", fmt::format("profile-item-{}", d.item_numbers[i]), "item", item.what, Role::symbol,
            item_symbol(d, p, item.act), fmt::format("#row-item-{}", d.item_numbers[i]));
    obstacles.add_box({p, 1.7, 1.7, 0}, Obstacles::never);
    Label label;
    label.id = fmt::format("profile-item-{}-label", d.item_numbers[i]);
    label.kind = "item-label";
    label.layer = "profile";
    label.title = item.what;
    label.forms = {form_of(d, {fmt::format("{}", d.item_numbers[i])}, item.act == Act::dig ? "dig-item" : "item")};
    label.anchor = p;
    label.clearance = item.act == Act::none ? 0.9 : 1.8;
    label.reach = 10;
    label.priority = 5;
    labels.push_back(std::move(label));
  }
}

}  // namespace

std::string material_look(Material material) {
  switch (material) {
    case Material::clay:
    case Material::concrete:
    case Material::asbestos_cement:
      return material == Material::clay ? "material-a" : "material-c";
    case Material::pvc:
    case Material::abs:
    case Material::hdpe:
      return "material-d";
    default:
      return "material-b";
  }
}

namespace {

double head_room(const Drafting& d) {
  return 1.05 * d.em("heading") + 2.6;
}
double foot_room(const Drafting& d) {
  return 4.6 + 1.6 * d.em("profile");
}

/// Height under the graph: the bar, the stations and the names of pipes too short for theirs.
double foot_of(const Drafting& d, const std::vector<BelowName>& names) {
  return foot_room(d) + (names.empty() ? 0 : (static_cast<double>(names.back().line) + 1) * below_leading(d));
}

/// The graph in a box: the largest standard scale at which the line fits the width, heights exaggerated up to five
/// times as far as the height allows; no larger than it then needs to be.
/// @param foot  height under the graph
ProfileView fitted_over(const Drafting& d, const PaperBox& box, std::size_t line_index, const LineCourse& course,
                        const ProfileRange& range, double foot) {
  const LineFinding& line = d.findings.lines[line_index];
  const PaperBox graph{box.x + axis_room, box.y + head_room(d), box.width - axis_room - end_room,
                       box.height - head_room(d) - foot};
  ProfileView view{graph, 1, 1, 0, 0, d.placed.ground->has_elevations(), course, *d.placed.ground};
  // Room for the ground's strokes above and the band below.
  const double step = is_feet(d.placed.unit) ? metres_per(d.placed.unit) : 0.5;
  view.top = std::ceil((range.high + 0.15) / step) * step;
  const double low = std::floor((range.low - 0.1) / step) * step;
  const auto fits = [&](double scale, double exaggeration) {
    return line.length * 1000 / scale <= graph.width &&
           (view.top - low) * 1000 * exaggeration / scale <= graph.height;
  };
  for (const double s : plan_scales(d.placed.unit)) {
    view.horizontal = s * d.enlarged;
    if (fits(view.horizontal, 1)) break;
  }
  for (const double e : {most_exaggerated, 4.0, 3.0, 2.0, 1.5, 1.0}) {
    view.exaggeration = e;
    if (fits(view.horizontal, e)) break;
  }
  view.low = std::max(low, view.top - graph.height * view.horizontal / (1000 * view.exaggeration));
  view.box.height = (view.top - view.low) * 1000 * view.exaggeration / view.horizontal;
  view.box.width = std::min(graph.width, line.length * 1000 / view.horizontal);
  return view;
}

/// The graph in a box with room for the names under it, which depend on its scale.
ProfileView fitted(const Drafting& d, const PaperBox& box, std::size_t line_index, const LineCourse& course,
                   const ProfileRange& range) {
  double foot = foot_room(d);
  for (int round = 0;; ++round) {
    const ProfileView view = fitted_over(d, box, line_index, course, range, foot);
    const double needed =
        foot_of(d, names_below(d, view, d.findings.lines[line_index], box.width - axis_room - end_room));
    if (needed <= foot || round == 3) return view;
    foot = needed;
  }
}

}  // namespace

double profile_width(double metres, double denominator) {
  return axis_room + metres * 1000 / denominator + end_room + 0.01;
}

ProfileRange profile_range(const Drafting& d, std::size_t line_index) {
  const LineFinding& line = d.findings.lines[line_index];
  if (line.stations.size() < 2) return {};
  const LineCourse course(line);
  const bool elevations = d.placed.ground->has_elevations();
  const auto ground_at = [&](Station s) { return elevations ? d.placed.ground->height(plan(course.at(s))) : 0; };
  ProfileRange range{-1e300, 1e300};
  for (const StationFinding& s : line.stations) {
    const double ground = ground_at(s.station);
    range.high = std::max(range.high, ground);
    range.low = std::min(range.low, ground - s.depth95.high);
  }
  for (const ItemFinding& item : d.findings.items) {
    if (item.line == line_index) range.low = std::min(range.low, ground_at(item.station) - item.depth);
  }
  return range;
}

ProfileFit profile_fit(const Drafting& d, std::size_t line, const ProfileRange& range, double width, double most) {
  if (d.findings.lines[line].stations.size() < 2) return {most, 1, most_exaggerated};
  const LineCourse course(d.findings.lines[line]);
  const ProfileView view = fitted(d, {0, 0, width, most}, line, course, range);
  const double foot = foot_of(d, names_below(d, view, d.findings.lines[line], width - axis_room - end_room));
  return {std::min(most, view.box.height + head_room(d) + foot), view.horizontal, view.exaggeration};
}

void draw_profile(SheetBuilder& out, const Drafting& d, const PaperBox& box, std::size_t line_index, bool labelled) {
  if (line_index >= d.findings.lines.size() || d.findings.lines[line_index].stations.size() < 2) return;
  const LineFinding& line = d.findings.lines[line_index];
  const LineCourse course(line);
  const ProfileView view = fitted(d, box, line_index, course, profile_range(d, line_index));

  Object head;
  head.id = "profile-title";
  head.kind = "heading";
  head.role = Role::block;
  const double em = d.em("heading");
  const std::string name = d.findings.lines.size() > 1 ? "PROFILE of line " + line.id : "PROFILE";
  Text title = set_at(d.text(name, "heading"), {box.x, box.y + 0.9 * em});
  const std::string scale_words = format_scale(view.horizontal / d.enlarged, d.placed.unit), unit = unit_name(d);
  const double room = box.width - title.width - 4;
  std::string words =
      fmt::format("{} in {}, {} along the line, heights × {:g}",
                  view.elevations ? "elevations" : "depth below ground", unit, scale_words, view.exaggeration);
  if (d.type.width(words, d.type_look("profile")) > room)
    words = fmt::format("{}, {} along, heights × {:g}", unit, scale_words, view.exaggeration);
  if (d.type.width(words, d.type_look("profile")) > room)
    words = fmt::format("{}, heights × {:g}", scale_words, view.exaggeration);
  Text scale = d.text(words, "profile");
  scale = set_at(std::move(scale), {box.x + title.width + 3, box.y + 0.9 * em});
  head.marks = {std::move(title), std::move(scale)};
  out.add("profile", std::move(head));

  Obstacles obstacles;
  std::vector<Label> labels;
  draw_axes(out, d, view, line, view.low);
  draw_band_and_line(out, d, view, line, obstacles);
  draw_materials(out, d, view, line, box.x + axis_room, box.width - axis_room - end_room);
  draw_grades(d, view, line_index, labels);
  draw_marks(out, d, view, line_index, obstacles, labels);
  if (!labelled) return;
  const PaperBox frame{view.box.x - 1, view.box.y - 1, std::max(view.box.width, 20.0) + 2, view.box.height + 1.6};
  for (const PlacedLabel& placed : place_labels(labels, obstacles, frame)) {
    const Label& label = labels[placed.label];
    if (placed.leader) {
      Path leader;
      leader.move_to((*placed.leader)[0]).line_to((*placed.leader)[1]);
      leader.pen = pen_of(d.look("leader"));
      out.add("profile", label.id + "-leader", "leader", "", Role::leader, {std::move(leader)});
    }
    out.add("profile", label.id, label.kind, label.title, Role::label, label_marks(label, placed), label.link);
  }
}

}  // namespace swingtie
