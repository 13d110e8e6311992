#include "sheet/labels.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <optional>

namespace swingtie {

void Obstacles::add_line(const Polyline& line, double half_width, double cost, bool closed, std::size_t owner) {
  const std::size_t count = line.size() + (closed && line.size() > 2 ? 0 : -1);
  for (std::size_t i = 0; !line.empty() && i < count; ++i) {
    pieces.push_back({line[i], line[(i + 1) % line.size()], half_width, lines.size()});
  }
  lines.push_back({cost, owner});
}

namespace {

constexpr double gap = 0.45;  ///< mm kept free around a label
constexpr std::size_t kept_candidates = 66;
constexpr double conflict_cost = 1e6;  ///< of two labels in each other's way
constexpr int led_directions = 20;

struct Candidate {
  std::size_t label = 0, form = 0;
  TurnedBox box;
  bool led = false;
  PaperPoint from, to;  ///< the leader
  double cost = 0;
};

/// Which obstacles lie in which square of the sheet.
class ObstacleGrid {
 public:
  ObstacleGrid(const Obstacles& obstacles, const PaperBox& frame)
      : obstacles_(obstacles),
        frame_(frame),
        columns_(std::max(1, static_cast<int>(frame.width / cell_) + 1)),
        rows_(std::max(1, static_cast<int>(frame.height / cell_) + 1)),
        cells_(static_cast<std::size_t>(columns_) * rows_) {
    for (std::size_t i = 0; i < obstacles.pieces.size(); ++i) {
      const auto& p = obstacles.pieces[i];
      enter(inset(bounds({p.a, p.b}), -p.half_width), i);
    }
    for (std::size_t i = 0; i < obstacles.blocks.size(); ++i) {
      enter(obstacles.blocks[i].box.bounds(), obstacles.pieces.size() + i);
    }
    seen_.assign(obstacles.pieces.size() + obstacles.blocks.size(), 0);
    counted_.assign(obstacles.lines.size(), 0);
  }

  /// Cost of the candidate's box and leader over the obstacles.
  /// @param most  from here on it is out of the question, and only known to be at least that
  double cost(const Candidate& c, double most) {
    const TurnedBox box = c.box.grown(gap);
    const SegmentProbe probe(box);
    double sum = 0;
    ++candidate_;
    visit(box.bounds(), [&](std::size_t i) {
      if (sum >= most) return;
      if (i < obstacles_.pieces.size()) {
        const auto& p = obstacles_.pieces[i];
        const Obstacles::Line& line = obstacles_.lines[p.line];
        if (counted_[p.line] == candidate_ || line.owner == c.label || !probe.touches(p.a, p.b, p.half_width)) return;
        counted_[p.line] = candidate_;
        sum += line.cost;
      } else if (overlap(box, obstacles_.blocks[i - obstacles_.pieces.size()].box)) {
        sum += obstacles_.blocks[i - obstacles_.pieces.size()].cost;
      }
    });
    if (!c.led || sum >= most) return sum;
    visit(inset(bounds({c.from, c.to}), -0.01), [&](std::size_t i) {
      if (i < obstacles_.pieces.size()) {
        const auto& p = obstacles_.pieces[i];
        if (segments_cross(c.from, c.to, p.a, p.b)) sum += std::min(0.3 * obstacles_.lines[p.line].cost, 3.0);
      } else if (const auto& b = obstacles_.blocks[i - obstacles_.pieces.size()];
                 overlap(b.box, c.from, c.to) && !contains(b.box.grown(0.3), c.to)) {
        sum += std::min(0.5 * b.cost, 12.0);
      }
    });
    return sum;
  }

 private:
  void enter(const PaperBox& b, std::size_t i) {
    for (int row = row_of(b.y); row <= row_of(bottom(b)); ++row) {
      for (int column = column_of(b.x); column <= column_of(right(b)); ++column) {
        cells_[static_cast<std::size_t>(row) * columns_ + column].push_back(i);
      }
    }
  }
  template <class F>
  void visit(const PaperBox& b, F&& f) {
    ++stamp_;
    for (int row = row_of(b.y); row <= row_of(bottom(b)); ++row) {
      for (int column = column_of(b.x); column <= column_of(right(b)); ++column) {
        for (const std::size_t i : cells_[static_cast<std::size_t>(row) * columns_ + column]) {
          if (seen_[i] == stamp_) continue;
          seen_[i] = stamp_;
          f(i);
        }
      }
    }
  }
  int column_of(double x) const { return std::clamp(static_cast<int>((x - frame_.x) / cell_), 0, columns_ - 1); }
  int row_of(double y) const { return std::clamp(static_cast<int>((y - frame_.y) / cell_), 0, rows_ - 1); }

  static constexpr double cell_ = 8;
  const Obstacles& obstacles_;
  PaperBox frame_;
  int columns_, rows_;
  std::vector<std::vector<std::size_t>> cells_;
  std::vector<unsigned> seen_;
  unsigned stamp_ = 0;
  std::vector<unsigned> counted_;  ///< by line: the last candidate that it was counted for
  unsigned candidate_ = 0;
};

/// Where a leader to a point leaves an upright label: the nearest of its lines, which need not fill its box.
PaperPoint leader_start(const LabelForm& form, const TurnedBox& box, PaperPoint to) {
  const PaperPoint corner{box.centre.x - box.half_width, box.centre.y - box.half_height};
  PaperPoint best = nearest_on_edge(box.grown(0.3), to);
  double least = 1e300;
  for (const Text& line : form.lines) {
    const PaperBox words{corner.x + line.at.x, corner.y + line.at.y - line.ascent, line.width,
                         line.ascent + line.descent};
    const PaperPoint p = nearest_on_edge(turned_box(words).grown(0.3), to);
    if (distance(p, to) < least) {
      least = distance(p, to);
      best = p;
    }
  }
  return best;
}

/// Places around a point at the end of a leader.
void candidates_led(const Label& label, PaperPoint anchor, double clearance, std::size_t form, Candidate c,
                    double cost, std::vector<Candidate>& out) {
  static const std::array<PaperPoint, led_directions> directions = [] {
    std::array<PaperPoint, led_directions> all;
    for (int k = 0; k < led_directions; ++k) {
      const double angle = (k + 0.5) * 2 * std::numbers::pi / led_directions;
      all[static_cast<std::size_t>(k)] = {std::cos(angle), std::sin(angle)};
    }
    return all;
  }();
  const LabelForm& f = label.forms[form];
  const double w = f.width / 2, h = f.height / 2;
  for (double ring = clearance + 3.8; ring <= label.reach; ring *= 1.28) {
    for (const auto [x, y] : directions) {
      // The box's near corner or edge lies on the ring.
      c.box = {{anchor.x + x * ring +
                    (x > 0.25    ? w
                     : x < -0.25 ? -w
                                 : 0),
                anchor.y + y * ring + (std::abs(x) <= 0.25 ? (y > 0 ? h : -h) : 0)},
               w,
               h,
               0};
      c.cost = cost + 2.5 + 0.22 * ring + (x < 0 ? 0.3 : 0);
      c.led = true;
      c.from = leader_start(f, c.box, anchor);
      c.to = anchor - clearance * unit(anchor - c.from);
      out.push_back(c);
    }
  }
}

void candidates_beside_point(const Label& label, std::size_t form, Candidate c, std::vector<Candidate>& out) {
  const LabelForm& f = label.forms[form];
  const double w = f.width / 2, h = f.height / 2, r = label.clearance + 0.8;
  struct Place {
    double x, y, cost;
  };
  // Right of the point reads best, then above and below right, then left (Imhof's order, as in the paper).
  const double diagonal = 0.75 * r;
  const Place near[] = {{r + w, 0, 0},
                        {diagonal + w, -diagonal - h, 0.6},
                        {diagonal + w, diagonal + h, 0.9},
                        {-r - w, 0, 0.8},
                        {-diagonal - w, -diagonal - h, 1.2},
                        {-diagonal - w, diagonal + h, 1.4},
                        {0, -r - h, 1.5},
                        {0, r + h, 1.8}};
  for (const Place& p : near) {
    c.box = {{label.anchor.x + p.x, label.anchor.y + p.y}, w, h, 0};
    c.cost = p.cost + 4.0 * static_cast<double>(form);
    out.push_back(c);
  }
  if (label.leader)
    candidates_led(label, label.anchor, label.clearance, form, c, 4.0 * static_cast<double>(form), out);
}

/// To be read from the foot or the right-hand side of the sheet.
double readable(double angle) {
  if (angle > std::numbers::pi / 2 - 0.01) angle -= std::numbers::pi;
  if (angle <= -std::numbers::pi / 2 - 0.01) angle += std::numbers::pi;
  return angle;
}

void candidates_along_line(const Label& label, std::size_t form, Candidate c, std::vector<Candidate>& out) {
  const LabelForm& f = label.forms[form];
  const double total = length(label.line);
  if (total < f.width * 0.9) return;
  // Finely along a short line, where a place is hard to find.
  const double step = total < 4 * f.width ? 0.8 : 2.5;
  const int steps = std::clamp(static_cast<int>((total - f.width) / step), 0, 40);
  for (int k = 0; k <= steps; ++k) {
    const double middle = steps == 0 ? total / 2 : f.width / 2 + (total - f.width) * k / steps;
    const PlaceOnLine p = along(label.line, middle);
    // Where the line bends under the label, the label would leave it.
    const PaperPoint a = along(label.line, middle - f.width / 2).at, b = along(label.line, middle + f.width / 2).at;
    if (std::abs(cross(p.along, a - p.at)) > 0.8 || std::abs(cross(p.along, b - p.at)) > 0.8) continue;
    const double angle = readable(std::atan2(p.along.y, p.along.x));
    const PaperPoint up{std::sin(angle), -std::cos(angle)};
    const double off_middle = total > 0 ? std::abs(middle / total - 0.5) : 0;
    for (const int side : {1, -1}) {
      if (label.offset < 0 && side < 0) continue;
      const double off = label.offset < 0 ? 0 : side * (f.height / 2 + label.offset);
      c.box = {p.at + off * up, f.width / 2, f.height / 2, angle};
      c.cost = 3 * off_middle + (side < 0 ? 0.6 : 0) + 4.0 * static_cast<double>(form);
      out.push_back(c);
    }
  }
}

/// Where a label that finds no room along its line may be led from.
void candidates_aside(const Label& label, Candidate c, std::vector<Candidate>& out) {
  const double total = length(label.line);
  c.form = label.forms.size() - 1;
  for (const double share : {0.5, 0.3, 0.7})
    candidates_led(label, along(label.line, share * total).at, 0, c.form, c, 8, out);
}

/// Direction of the longest edge of a ring.
double longest_edge(const Polyline& ring) {
  double longest = 0, angle = 0;
  for (std::size_t i = 0; i < ring.size(); ++i) {
    const PaperPoint edge = ring[(i + 1) % ring.size()] - ring[i];
    if (length(edge) <= longest) continue;
    longest = length(edge);
    angle = std::atan2(edge.y, edge.x);
  }
  return readable(angle);
}

void candidates_in_area(const Label& label, std::size_t form, Candidate c, std::vector<Candidate>& out) {
  const LabelForm& f = label.forms[form];
  const PaperBox b = bounds(label.line);
  const std::size_t before = out.size();
  // Upright; in what is too narrow for that, along its longest side.
  for (const double rotation : {0.0, longest_edge(label.line)}) {
    if (out.size() > before) return;
    for (int row = 0; row < 9; ++row) {
      for (int column = 0; column < 9; ++column) {
        c.box = {{b.x + b.width * (column + 0.5) / 9, b.y + b.height * (row + 0.5) / 9},
                 f.width / 2,
                 f.height / 2,
                 rotation};
        bool fits = true;
        for (const PaperPoint p : c.box.grown(0.8).corners()) fits = fits && inside(p, label.line);
        if (!fits) continue;
        c.cost = 4.0 * static_cast<double>(form) + 0.03 * distance(c.box.centre, centre(b));
        out.push_back(c);
      }
    }
  }
}

/// The candidates worth searching among, a label's together, best first.
/// @param every  all that are possible, by label, best first
std::vector<Candidate> all_candidates(const std::vector<Label>& labels, const Obstacles& obstacles,
                                      const PaperBox& frame, std::vector<std::array<std::size_t, 2>>& range,
                                      std::vector<std::vector<Candidate>>& every) {
  ObstacleGrid grid(obstacles, frame);
  std::vector<Candidate> out, of_label;
  const PaperBox within = inset(frame, 0.6);
  for (std::size_t i = 0; i < labels.size(); ++i) {
    const Label& label = labels[i];
    of_label.clear();
    for (std::size_t form = 0; form < label.forms.size(); ++form) {
      Candidate c;
      c.label = i;
      c.form = form;
      switch (label.where) {
        case Label::Where::beside_point:
          candidates_beside_point(label, form, c, of_label);
          break;
        case Label::Where::along_line:
          candidates_along_line(label, form, c, of_label);
          break;
        case Label::Where::in_area:
          candidates_in_area(label, form, c, of_label);
          break;
      }
    }
    if (label.led_aside) candidates_aside(label, {i, 0, {}, false, {}, {}, 0}, of_label);
    std::erase_if(of_label, [&](const Candidate& c) {
      if (c.cost >= label.worth) return true;
      const PaperBox b = c.box.bounds();
      return b.x < within.x || b.y < within.y || right(b) > right(within) || bottom(b) > bottom(within);
    });
    for (Candidate& c : of_label) c.cost += grid.cost(c, std::min(label.worth - c.cost, Obstacles::never));
    std::erase_if(of_label, [&label](const Candidate& c) { return c.cost >= label.worth; });
    std::stable_sort(of_label.begin(), of_label.end(),
                     [](const Candidate& a, const Candidate& b) { return a.cost < b.cost; });
    // The best ones crowd together; a spread of the rest keeps a way out.
    std::vector<Candidate> kept;
    const std::size_t first = std::min(kept_candidates * 2 / 3, of_label.size());
    kept.assign(of_label.begin(), of_label.begin() + static_cast<std::ptrdiff_t>(first));
    const std::size_t rest = of_label.size() - first,
                      more = std::min(rest, kept_candidates - kept_candidates * 2 / 3);
    for (std::size_t k = 0; k < more; ++k) kept.push_back(of_label[first + k * rest / more]);
    every.push_back(of_label);
    range.push_back({out.size(), out.size() + kept.size()});
    out.insert(out.end(), kept.begin(), kept.end());
  }
  return out;
}

bool conflict(const Candidate& a, const Candidate& b) {
  const TurnedBox box_a = a.box.grown(gap), box_b = b.box.grown(gap);
  if (overlap(box_a, b.box)) return true;
  if (a.led && overlap(box_b, a.from, a.to)) return true;
  if (b.led && overlap(box_a, b.from, b.to)) return true;
  return a.led && b.led && segments_cross(a.from, a.to, b.from, b.to);
}

PaperBox reach_of(const Candidate& c) {
  const PaperBox b = inset(c.box.bounds(), -2 * gap);
  return c.led ? joined(b, inset(bounds({c.from, c.to}), -2 * gap)) : b;
}

/// For a candidate those of other labels it cannot stand with. Few candidates are ever chosen, and only of those it
/// is asked; so it is found when it is asked, once.
class Conflicts {
 public:
  explicit Conflicts(const std::vector<Candidate>& candidates) : candidates_(candidates), found_(candidates.size()) {
    reach_.reserve(candidates.size());
    for (const Candidate& c : candidates) reach_.push_back(reach_of(c));
  }
  const std::vector<std::uint32_t>& of(std::size_t i) {
    if (!found_[i]) found_[i] = find(i);
    return *found_[i];
  }

 private:
  std::vector<std::uint32_t> find(std::size_t i) const {
    std::vector<std::uint32_t> found;
    const PaperBox& own = reach_[i];
    for (std::size_t j = 0; j < candidates_.size(); ++j) {
      const PaperBox& other = reach_[j];
      if (own.x >= right(other) || other.x >= right(own) || own.y >= bottom(other) || other.y >= bottom(own))
        continue;
      if (candidates_[j].label != candidates_[i].label && conflict(candidates_[i], candidates_[j]))
        found.push_back(static_cast<std::uint32_t>(j));
    }
    return found;
  }

  const std::vector<Candidate>& candidates_;
  std::vector<PaperBox> reach_;
  std::vector<std::optional<std::vector<std::uint32_t>>> found_;
};

}  // namespace

std::vector<PlacedLabel> place_labels(const std::vector<Label>& labels, const Obstacles& obstacles,
                                      const PaperBox& frame) {
  std::vector<std::array<std::size_t, 2>> range;
  std::vector<std::vector<Candidate>> every;
  const std::vector<Candidate> candidates = all_candidates(labels, obstacles, frame, range, every);
  Conflicts conflicts(candidates);

  // pressure[c]: summed weight of the chosen candidates that c cannot stand with.
  std::vector<double> pressure(candidates.size(), 0);
  std::vector<std::size_t> chosen(labels.size(), SIZE_MAX);
  const auto weight = [&](std::size_t label) { return conflict_cost * labels[label].priority; };
  const auto choose = [&](std::size_t label, std::size_t candidate) {
    if (chosen[label] != SIZE_MAX) {
      for (const std::uint32_t other : conflicts.of(chosen[label])) pressure[other] -= weight(label);
    }
    chosen[label] = candidate;
    if (candidate != SIZE_MAX) {
      for (const std::uint32_t other : conflicts.of(candidate)) pressure[other] += weight(label);
    }
  };
  const auto best_of = [&](std::size_t label) {
    std::size_t best = SIZE_MAX;
    for (std::size_t c = range[label][0]; c < range[label][1]; ++c) {
      if (best == SIZE_MAX || candidates[c].cost + pressure[c] < candidates[best].cost + pressure[best]) best = c;
    }
    return best;
  };

  std::vector<std::size_t> order(labels.size());
  for (std::size_t i = 0; i < order.size(); ++i) order[i] = i;
  // The important and the constrained first.
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
    if (labels[a].priority != labels[b].priority) return labels[a].priority > labels[b].priority;
    return range[a][1] - range[a][0] < range[b][1] - range[b][0];
  });
  for (const std::size_t label : order) choose(label, best_of(label));
  // Rounds of improvement; a label in conflict now and then takes a random place, so that its neighbours must move.
  std::uint32_t noise = 2463534242u;
  const auto random = [&](std::size_t below) {
    noise ^= noise << 13;
    noise ^= noise >> 17;
    noise ^= noise << 5;
    return static_cast<std::size_t>(noise % below);
  };
  std::vector<std::size_t> best_choice = chosen;
  const auto total = [&] {
    double sum = 0;
    for (std::size_t i = 0; i < labels.size(); ++i) {
      if (chosen[i] != SIZE_MAX) sum += candidates[chosen[i]].cost + pressure[chosen[i]];
    }
    return sum;
  };
  double best_total = total();
  for (int round = 0; round < 240; ++round) {
    bool changed = false, any_conflict = false;
    for (const std::size_t label : order) {
      if (chosen[label] == SIZE_MAX) continue;
      const bool in_conflict = pressure[chosen[label]] > 0.5 * conflict_cost;
      any_conflict = any_conflict || in_conflict;
      std::size_t next = best_of(label);
      if (in_conflict && round % 4 == 3) next = range[label][0] + random(range[label][1] - range[label][0]);
      if (next != chosen[label]) {
        choose(label, next);
        changed = true;
      }
    }
    const double now = total();
    if (now < best_total) {
      best_total = now;
      best_choice = chosen;
    }
    if (!changed && !any_conflict) break;
  }
  for (std::size_t i = 0; i < labels.size(); ++i) choose(i, best_choice[i]);
  // What still stands in something's way goes, the least important first; its facts are in the tables.
  for (auto label = order.rbegin(); label != order.rend(); ++label) {
    if (chosen[*label] != SIZE_MAX && pressure[chosen[*label]] > 0.5 * conflict_cost) {
      choose(*label, SIZE_MAX);
    }
  }
  // Room made by those that went.
  for (const std::size_t label : order) {
    if (chosen[label] != SIZE_MAX) continue;
    const std::size_t c = best_of(label);
    if (c != SIZE_MAX && pressure[c] < 0.5 * conflict_cost) choose(label, c);
  }

  std::vector<Candidate> standing;
  for (std::size_t i = 0; i < labels.size(); ++i) {
    if (chosen[i] != SIZE_MAX) standing.push_back(candidates[chosen[i]]);
  }
  // A label without a place may still find one among all that are possible.
  for (const std::size_t label : order) {
    if (chosen[label] != SIZE_MAX) continue;
    for (const Candidate& c : every[label]) {
      if (std::any_of(standing.begin(), standing.end(), [&](const Candidate& s) { return conflict(c, s); })) continue;
      standing.push_back(c);
      break;
    }
  }
  std::sort(standing.begin(), standing.end(),
            [](const Candidate& a, const Candidate& b) { return a.label < b.label; });
  std::vector<PlacedLabel> out;
  for (const Candidate& c : standing) {
    PlacedLabel placed{c.label, c.form, c.box, std::nullopt};
    if (c.led && distance(c.from, c.to) > 0.5) placed.leader = std::array{c.from, c.to};
    out.push_back(placed);
  }
  return out;
}

std::vector<Mark> label_marks(const Label& label, const PlacedLabel& placed) {
  std::vector<Mark> marks;
  const TurnedBox& box = placed.box;
  if (label.knock_out) {
    Path paper;
    const auto corners = box.grown(0.25).corners();
    paper.add_polyline({corners.begin(), corners.end()}, true);
    paper.fill = Fill{label.paper, 1};
    marks.emplace_back(std::move(paper));
  }
  const double c = std::cos(box.rotation), s = std::sin(box.rotation);
  for (Text text : label.forms[placed.form].lines) {
    const double x = text.at.x - box.half_width, y = text.at.y - box.half_height;
    text.at = {box.centre.x + x * c - y * s, box.centre.y + x * s + y * c};
    text.rotation = box.rotation;
    marks.emplace_back(std::move(text));
  }
  return marks;
}

}  // namespace swingtie
