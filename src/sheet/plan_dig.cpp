#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "sheet/plan.hpp"

namespace swingtie {
namespace {

void append(std::vector<Mark>& to, std::vector<Mark> more) {
  std::move(more.begin(), more.end(), std::back_inserter(to));
}

Polyline ring_of(const PlanView& view, const std::array<PlanPoint, 4>& corners) {
  return view.to_paper({corners.begin(), corners.end()});
}

/// A dimension line beside an edge: extension lines, slashes at its ends, and a label along it.
void dimension(PlanScene& scene, PaperPoint a, PaperPoint b, PaperPoint away, const std::string& words,
               const std::string& id) {
  const PaperPoint u = unit(b - a);
  // Outward is the side that `away` is not on.
  const PaperPoint n = dot(left_of(u), away - a) > 0 ? -1.0 * left_of(u) : left_of(u);
  const PaperPoint p = a + 3.6 * n, q = b + 3.6 * n;
  if (!contains(inset(scene.view.box, 1), p) || !contains(inset(scene.view.box, 1), q)) return;
  Path path;
  path.move_to(a + 0.8 * n).line_to(p + 0.8 * n);
  path.move_to(b + 0.8 * n).line_to(q + 0.8 * n);
  path.move_to(p).line_to(q);
  const PaperPoint slash = unit(u + n);
  for (const PaperPoint end : {p, q}) path.move_to(end - 0.8 * slash).line_to(end + 0.8 * slash);
  path.pen = pen_of(scene.d.look("dimension"));
  scene.add("digging", id, "dimension", words, Role::ground, {std::move(path)});
  // Its own figure may stand close to the line, nothing may stand on it.
  scene.obstacles.add_line({p, q}, 0.1, Obstacles::never, false, scene.labels.size());
  scene.obstacles.add_line({a + 0.8 * n, p + 0.8 * n}, 0.1, Obstacles::never);
  scene.obstacles.add_line({b + 0.8 * n, q + 0.8 * n}, 0.1, Obstacles::never);
  for (const PaperPoint end : {p, q}) {
    scene.obstacles.add_line({end - 0.8 * slash, end + 0.8 * slash}, 0.1, Obstacles::never);
  }
  Label label;
  label.where = Label::Where::along_line;
  label.id = scene.id(id + "-figure");
  label.kind = "dimension-figure";
  label.title = words;
  label.forms = {form_of(scene.d, {words}, "dimension")};
  // A figure that finds no room between the ends stands beyond one of them.
  const double longer = label.forms[0].width + 2.5;
  label.line = {p - longer * u, q + longer * u};
  label.offset = 0.5;
  label.measured = {p, q};
  label.priority = 9;
  scene.labels.push_back(std::move(label));
}

}  // namespace

void draw_digs(PlanScene& scene) {
  const Drafting& d = scene.d;
  const PlanView& view = scene.view;
  for (std::size_t i = 0; i < d.findings.digs.size(); ++i) {
    if (scene.content.inset_of && *scene.content.inset_of != i) continue;
    const DigFinding& dig = d.findings.digs[i];
    const std::size_t number = d.item_numbers[dig.item];
    const std::string key = fmt::format("dig-{}", number);
    const Polyline window = ring_of(view, dig.window), floor = ring_of(view, dig.bottom);
    // The holes at grade: of the sloped ones the one that applies, and the shored box.
    for (std::size_t k = 0; k < dig.footprints.size(); ++k) {
      const Footprint& f = dig.footprints[k];
      if (f.slope > 0 && !f.applies) continue;
      const Polyline ring = view.to_paper(f.outline);
      std::vector<Mark> marks = line_marks(ring, d.look("footprint"), view.box, true);
      if (marks.empty()) continue;
      scene.out.note("footprint");
      scene.add("digging", fmt::format("{}-footprint-{}", key, k), "footprint", f.sides, Role::ground,
                std::move(marks));
      scene.obstacles.add_line(ring, 0.1, 14, true);
      {
        Polyline closed = ring;
        if (!closed.empty()) closed.push_back(closed.front());
        for (const Polyline& piece : clip_line(closed, inset(view.box, 1))) {
          if (length(piece) < 10) continue;
          Label label;
          label.where = Label::Where::along_line;
          label.id = scene.id(fmt::format("{}-footprint-{}-name", key, k));
          label.kind = "footprint-name";
          label.title = f.sides;
          label.forms = {form_of(d, {f.sides}, "dimension")};
          label.line = piece;
          label.offset = 0.5;
          label.priority = 3;
          scene.labels.push_back(std::move(label));
          break;
        }
      }
    }
    std::vector<Mark> marks = area_marks({window}, d.look("dig-window"), view.box);
    append(marks, line_marks(window, d.look("dig-window"), view.box, true));
    if (!marks.empty()) scene.out.note("dig-window");
    scene.add("digging", key + "-window", "dig-window",
              fmt::format("{} by {}: holds the point with {}", taped(d, dig.window_length),
                          taped(d, dig.window_width), percentage(dig.contains_probability)),
              Role::symbol, std::move(marks), fmt::format("#card-dig-{}", number));
    if (!scene.content.inset_of && view.mm(std::max(dig.window_length, dig.window_width)) < 7) {
      // Too small to catch the eye: a ring around it.
      const PaperPoint middle = view.to_paper(plan(dig.position));
      const double radius = 0.75 * view.mm(std::max(dig.window_length, dig.window_width)) + 1.6;
      Path ring;
      ring.add_circle(middle, radius);
      ring.pen = Pen{d.look("dig-item").fill.value_or(Colour{}), 0.5, {}, true};
      if (contains(inset(view.box, radius), middle)) {
        scene.add("digging", key + "-ring", "dig-ring", "", Role::symbol, {std::move(ring)});
        scene.obstacles.add_box({middle, radius + 0.3, radius + 0.3, 0}, Obstacles::never);
      }
    }
    scene.obstacles.add_line(window, 0.4, Obstacles::never, true);
    scene.obstacles.add_box({view.to_paper(plan(dig.position)), view.mm(dig.window_length) / 2,
                             view.mm(dig.window_width) / 2, view.paper_angle(dig.along)},
                            Obstacles::never);
    if (scene.content.inset_of) {
      // A shored hole has its floor's outline; without one the floor is drawn by itself.
      const bool shored =
          std::any_of(dig.footprints.begin(), dig.footprints.end(), [](const Footprint& f) { return f.slope <= 0; });
      if (!shored) {
        scene.add("digging", key + "-floor", "dig-floor", "window and working room", Role::ground,
                  line_marks(floor, d.look("dimension"), view.box, true));
      }
      const ItemFinding& item = d.findings.items[dig.item];
      std::vector<Mark> region;
      for (const auto& ring : item.region95)
        append(region, line_marks(view.to_paper(ring), d.look("region"), view.box, true));
      if (!region.empty()) scene.out.note("region");
      scene.add("digging", key + "-region", "region", "the point lies in here with 95 %", Role::ground,
                std::move(region));
      const PaperPoint middle = view.to_paper(plan(dig.position));
      // Length along the pipe and width across it, each on the lower or right-hand edge.
      const auto edge = [&](std::size_t k) { return std::array{window[k], window[(k + 1) % 4]}; };
      const PaperPoint pipe = unit(view.to_paper(plan(dig.position) + direction(dig.along)) - middle);
      for (const bool lengthwise : {true, false}) {
        std::size_t best = 0;
        double lowest = -1e300;
        for (std::size_t k = 0; k < 4; ++k) {
          const auto [a, b] = edge(k);
          const bool along_pipe = std::abs(dot(unit(b - a), pipe)) > 0.7;
          const PaperPoint m = 0.5 * (a + b);
          const double low = m.y + 0.5 * m.x;
          if (along_pipe == lengthwise && low > lowest) {
            lowest = low;
            best = k;
          }
        }
        const auto [a, b] = edge(best);
        dimension(scene, a, b, middle, taped(d, lengthwise ? dig.window_length : dig.window_width),
                  key + (lengthwise ? "-length" : "-width"));
      }
    }
  }
}

std::string tie_letter(const Drafting& d, PlanPoint fixed) {
  std::vector<PlanPoint> seen;
  const auto index = [&](PlanPoint p) {
    for (std::size_t i = 0; i < seen.size(); ++i) {
      if (distance(seen[i], p) < 0.005) return i;
    }
    seen.push_back(p);
    return seen.size() - 1;
  };
  const auto lettered = [](std::size_t n) {
    std::string letter(1, static_cast<char>('A' + n % 26));
    return n < 26 ? letter : letter + fmt::format("{}", n / 26);
  };
  const auto search = [&](const TieSet& set) -> std::optional<std::string> {
    for (const SwingTie& tie : set.ties) {
      const std::size_t n = index(tie.fixed);
      if (distance(tie.fixed, fixed) < 0.005) return lettered(n);
    }
    return std::nullopt;
  };
  for (const DigFinding& dig : d.findings.digs) {
    if (const auto found = search(dig.ties)) return *found;
  }
  for (const TieSet& set : d.findings.tie_sets) {
    if (const auto found = search(set)) return *found;
  }
  return "";
}

namespace {

void draw_tie_set(PlanScene& scene, const TieSet& set, const std::string& key, std::vector<PlanPoint>& ends) {
  const Drafting& d = scene.d;
  const PlanView& view = scene.view;
  const PaperPoint target = view.to_paper(set.target);
  for (std::size_t k = 0; k < set.ties.size(); ++k) {
    const SwingTie& tie = set.ties[k];
    const PaperPoint fixed = view.to_paper(tie.fixed);
    const PaperPoint u = unit(target - fixed);
    const double reach = distance(fixed, target);
    if (!contains(view.box, target) || reach < 4) continue;
    const Polyline tape = {fixed, target - std::min(1.2, reach / 4) * u};
    std::vector<Mark> marks = line_marks(tape, d.look("tie"), view.box);
    // As a compass leaves it on the board: a short arc struck through the target from the fixed point.
    Polyline arc;
    for (int s = -5; s <= 5; ++s) {
      const double angle = std::atan2(u.y, u.x) + (s / 5.0) * std::min(3.2 / reach, 0.5);
      arc.push_back({fixed.x + reach * std::cos(angle), fixed.y + reach * std::sin(angle)});
    }
    append(marks, line_marks(arc, d.look("tie-arc"), view.box));
    scene.out.note("tie");
    const std::string letter = tie_letter(d, tie.fixed);
    const std::string tape_words = tie.tape.empty() ? taped(d, tie.distance) : tie.tape;
    scene.add("ties", fmt::format("{}-tie-{}", key, letter), "tie",
              fmt::format("{} from {} ({})", tape_words, tie.says, letter), Role::ground, std::move(marks));
    const std::vector<Polyline> shown = clip_line(tape, inset(view.box, 1));
    const auto piece = std::max_element(shown.begin(), shown.end(),
                                        [](const Polyline& a, const Polyline& b) { return length(a) < length(b); });
    // The figure stands close to its own tape and keeps off the others.
    scene.obstacles.add_line(tape, 0.15, 22, false, piece == shown.end() ? SIZE_MAX : scene.labels.size());
    if (piece != shown.end()) {
      Label label;
      label.where = Label::Where::along_line;
      label.id = scene.id(fmt::format("{}-tie-{}-figure", key, letter));
      label.kind = "tie-figure";
      label.title = fmt::format("{} from {}", tape_words, tie.says);
      const bool led_out = !contains(view.box, fixed);
      const LabelForm full = form_of(d, {fmt::format("{} to {}", tape_words, letter)}, "tie");
      label.forms = {led_out ? full : form_of(d, {tape_words}, "tie"), full};
      label.line = *piece;
      // A tape without its length is of no use to anybody.
      label.led_aside = true;
      label.reach = 20;
      label.offset = 0.35;
      label.priority = 8;
      scene.labels.push_back(std::move(label));
    }
    if (!contains(inset(view.box, 1.2), fixed)) continue;
    bool seen = false;
    for (const PlanPoint p : ends) seen = seen || distance(p, tie.fixed) < 0.005;
    if (seen) continue;
    ends.push_back(tie.fixed);
    Path ring;
    ring.add_circle(fixed, 0.75);
    scene.add("ties", "tie-end-" + letter, "tie-end", letter + ": " + tie.says, Role::symbol,
              {drawn(std::move(ring), d.look("tie-end"))});
    scene.obstacles.add_box({fixed, 0.95, 0.95, 0}, Obstacles::never);
    Label label;
    label.id = scene.id("tie-end-" + letter + "-name");
    label.kind = "tie-end-name";
    label.title = tie.says;
    label.forms = {form_of(d, {letter}, "tie")};
    label.anchor = fixed;
    label.clearance = 0.9;
    label.priority = 8;
    label.reach = 12;
    scene.labels.push_back(std::move(label));
  }
}

}  // namespace

void draw_ties(PlanScene& scene) {
  const Drafting& d = scene.d;
  std::vector<PlanPoint> ends;
  if (scene.content.ties || scene.content.inset_of) {
    for (std::size_t i = 0; i < d.findings.digs.size(); ++i) {
      if (scene.content.inset_of && *scene.content.inset_of != i) continue;
      draw_tie_set(scene, d.findings.digs[i].ties, fmt::format("dig-{}", d.item_numbers[d.findings.digs[i].item]),
                   ends);
    }
  }
  if (scene.content.crossing_ties && !scene.content.inset_of) {
    for (std::size_t i = 0; i < d.findings.tie_sets.size(); ++i) {
      if (d.findings.tie_sets[i].of.find("crossing") == std::string::npos) continue;
      draw_tie_set(scene, d.findings.tie_sets[i], fmt::format("ties-{}", i + 1), ends);
    }
  }
}

}  // namespace swingtie
