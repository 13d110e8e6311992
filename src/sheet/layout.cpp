#include "sheet/layout.hpp"

#include <algorithm>
#include <cmath>
#include <map>

#include "sheet/furniture.hpp"
#include "sheet/profile.hpp"
#include "sheet/scales.hpp"

namespace swingtie {

PaperSize paper_size(Paper paper) {
  // ASME Y14.1 and ISO 216, as in tests/reference/sheets.md.
  switch (paper) {
    case Paper::letter:
      return {215.9, 279.4};
    case Paper::tabloid:
      return {279.4, 431.8};
    case Paper::ansi_c:
      return {431.8, 558.8};
    case Paper::ansi_d:
      return {558.8, 863.6};
    case Paper::a4:
      return {210, 297};
    case Paper::a3:
      return {297, 420};
    case Paper::a2:
      return {420, 594};
  }
  return {215.9, 279.4};
}

double lettering_of(Paper paper) {
  switch (paper) {
    case Paper::ansi_d:
      return 1.7;
    case Paper::ansi_c:
    case Paper::a2:
      return 1.3;
    default:
      return 1;
  }
}

namespace {

PaperSize size_to_lay_out(const Drafting& d, Paper paper) {
  const PaperSize size = paper_size(paper);
  return {size.width / d.enlarged, size.height / d.enlarged};
}

/// The standard scale at which an extent fits a box, as a denominator before the sheet is enlarged.
double fitting_scale(const Drafting& d, const TurnedExtent& extent, double mm_wide, double mm_high) {
  return d.enlarged *
         scale_to_fit(d.placed.unit, extent.width(), extent.height(), mm_wide * d.enlarged, mm_high * d.enlarged);
}

void add_region(TurnedExtent& extent, const Region& region) {
  for (const auto& ring : region) extent.add(ring);
}

/// The points of a long line that are near an extent, so that a street of a mile does not shrink the plan.
void add_near(TurnedExtent& extent, const std::vector<PlanPoint>& line, const TurnedExtent& near, double reach) {
  TurnedExtent frame = near;
  frame.grow(reach);
  for (std::size_t i = 0; i + 1 < line.size(); ++i) {
    const double span = distance(line[i], line[i + 1]);
    const int steps = std::clamp(static_cast<int>(span / 0.5), 1, 2000);
    for (int k = 0; k <= steps; ++k) {
      const PlanPoint p = line[i] + (static_cast<double>(k) / steps) * (line[i + 1] - line[i]);
      TurnedExtent one(extent.up);
      one.add(p);
      if (one.left >= frame.left && one.left <= frame.right && one.low >= frame.low && one.low <= frame.high)
        extent.add(p);
    }
  }
}

}  // namespace

SiteExtent site_extent(const Drafting& d, Azimuth up) {
  SiteExtent out{TurnedExtent(up), TurnedExtent(up)};
  TurnedExtent& required = out.required;
  for (const LineFinding& line : d.findings.lines) {
    for (const StationFinding& s : line.stations) required.add(plan(s.at));
    add_region(required, line.corridor95);
    for (const RouteAlternative& a : line.alternatives) {
      if (a.probability < 0.05) continue;
      for (const SitePoint p : a.route) required.add(plan(p));
    }
  }
  for (const Run& run : d.placed.runs) required.add(run.access.at);
  for (const ItemFinding& item : d.findings.items) required.add(plan(item.position));
  if (d.kind == SheetKind::dig) {
    for (const DigFinding& dig : d.findings.digs) {
      for (const SwingTie& tie : dig.ties.ties) required.add(tie.fixed);
      for (const Footprint& f : dig.footprints) {
        if (f.slope <= 0 || f.applies) required.add(f.outline);
      }
    }
  } else if (d.kind == SheetKind::boundary) {
    for (const TieSet& set : d.findings.tie_sets) {
      if (set.of.find("crossing") == std::string::npos) continue;
      for (const SwingTie& tie : set.ties) required.add(tie.fixed);
    }
  }
  if (required.empty) required.add(PlanPoint{});
  const TurnedExtent core = required;
  const double reach = std::max(0.5 * std::max(core.width(), core.height()), 6.0);
  // A house is part of the picture where it stands near; the rest is shown as far as there is room.
  out.wanted = required;
  for (const Feature& f : d.placed.features) {
    const bool building = f.kind == FeatureKind::house;
    const bool limit = f.kind == FeatureKind::lot;
    const bool street =
        f.kind == FeatureKind::curb || f.kind == FeatureKind::right_of_way || f.kind == FeatureKind::main;
    for (const auto& line : f.lines) {
      if (street) add_near(required, line, core, 1.0);
      add_near(out.wanted, line, core, street ? 3.0 : 2.0);
    }
    for (const AreaPart& part : f.areas) {
      std::vector<PlanPoint> closed = part.outer;
      if (!closed.empty()) closed.push_back(closed.front());
      // Whoever digs needs the walls that the tapes are held on; how deep the house is, is nothing to him.
      if (building || (limit && d.kind == SheetKind::boundary))
        add_near(required, closed, core, d.kind == SheetKind::dig ? std::min(reach, 3.0) : reach);
      add_near(out.wanted, closed, core, building || limit ? 2 * reach : 2.0);
    }
    if (f.shape == GeometryKind::point) add_near(out.wanted, {f.point, f.point + PlanVector{0.01, 0}}, core, 4.0);
  }
  required.grow(0.8);
  out.wanted.grow(0.8);
  out.wanted.left = std::min(out.wanted.left, required.left);
  out.wanted.right = std::max(out.wanted.right, required.right);
  out.wanted.low = std::min(out.wanted.low, required.low);
  out.wanted.high = std::max(out.wanted.high, required.high);
  return out;
}

namespace {

constexpr double margin = 8;          ///< of the paper
constexpr double gutter = 5;          ///< between plan and columns
constexpr double label_room = 7;      ///< around the required extent, for labels
constexpr double least_profile = 37;  ///< height
/// The plan is what the sheet is for: below this share of the work area a further sheet is better than a smaller
/// plan.
constexpr double least_plan = 0.42, plan_weight = 12;
constexpr double smallest_plan = 0.18;  ///< share of the work area below which labels crowd on a plan

PlanView view_of(const SiteExtent& extent, Azimuth up, const PaperBox& box, double denominator) {
  PlanView view{box, denominator, up, extent.required.middle()};
  const double half_width = box.width * denominator / 2000, half_height = box.height * denominator / 2000;
  const double room = label_room * denominator / 1000;
  // The wished-for extent in the middle, moved so that the required one stays inside.
  const auto placed = [](double wanted, double low, double high, double half, double spare) {
    const double least = high + spare - half, most = low - spare + half;
    if (least > most) return (low + high) / 2;
    return std::clamp(wanted, least, most);
  };
  const TurnedExtent &r = extent.required, &w = extent.wanted;
  const double x = placed((w.left + w.right) / 2, r.left, r.right, half_width, room);
  const double y = placed((w.low + w.high) / 2, r.low, r.high, half_height, room);
  const PlanVector upward = direction(up);
  view.focus = PlanPoint{} + x * right_of(upward) + y * upward;
  return view;
}

/// What an arrangement leaves to the eye: areas in mm².
struct Waste {
  double columns = 0;  ///< of the columns, what the flow did not fill
  double plan = 0;     ///< of the plan, what lies beyond all that it is to show
  double beyond = 0;   ///< of the work area, what no part has taken
};

/// Whether a block goes on in a column left of the one it began in, where nobody looks for it.
bool goes_backward(const Flow& filled) {
  std::string block;
  double x = -1e300;
  for (const PlacedRow& row : filled.rows) {
    if (!row.heading_id.empty()) {
      if (row.heading_id == block && row.x < x) return true;
      block = row.heading_id;
    }
    x = row.x;
  }
  return false;
}

/// What the border and the title strip leave.
PaperBox work_area(const PaperBox& border) {
  return {border.x + 3, border.y + 3, border.width - 6, border.height - title_height - 6};
}

/// Evaluates arrangements of one paper.
class Arranger {
 public:
  Arranger(const Drafting& d, const SiteExtent& extent, Azimuth up, std::optional<double> wanted_scale,
           const BlockSetter& blocks, const BlockMaker& cautions, std::optional<std::size_t> profiled,
           double smallest)
      : d_(d),
        extent_(extent),
        up_(up),
        wanted_scale_(wanted_scale),
        set_(blocks),
        cautions_(cautions),
        profiled_(profiled),
        profile_range_(profiled ? profile_range(d, *profiled) : ProfileRange{}),
        profiled_length_(profiled ? std::max(d.findings.lines[*profiled].length, 0.1) : 0),
        smallest_(smallest) {}

  void try_paper(PaperSize size, bool tight) {
    tight_ = tight;
    for (const bool wide : {true, false}) {
      const PaperSize sheet = wide ? PaperSize{size.height, size.width} : size;
      const PaperBox border{margin, margin, sheet.width - 2 * margin, sheet.height - 2 * margin};
      const PaperBox strip{border.x, bottom(border) - title_height, border.width, title_height};
      const PaperBox work = work_area(border);
      frame_ = {sheet, border, strip, work};
      std::vector<double> widths = {60, 66, 72, 80, 92, 104};
      // And those that fill the width of a further sheet.
      for (const int count : {2, 3, 4}) {
        const double width = (work.width - (count - 1) * gutter) / count;
        if (width > 58 && width < longest_line) widths.push_back(width);
      }
      for (const double width : widths) {
        for (const int count : {1, 2}) {
          if (count * width + (count - 1) * gutter < work.width * 0.66) beside(width, count);
        }
      }
      const int count = std::max(1, static_cast<int>((work.width + gutter) / (60 + gutter)));
      for (const int columns : {count, count - 1}) {
        if (columns > 0 && (work.width - (columns - 1) * gutter) / columns < longest_line) below(columns);
      }
    }
  }

  const Layout& best() const { return best_; }

 private:
  struct Frame {
    PaperSize sheet;
    PaperBox border, strip, work;
  };

  double profile_height() const {
    return profiled_length_ > 0 ? std::clamp(frame_.work.height * 0.2, least_profile, 90.0) : 0;
  }

  /// The profile in a box of this width and at most this height.
  const ProfileFit& profile_in(double width, double most) {
    const auto key = std::pair(std::lround(width * 100), std::lround(most * 100));
    const auto found = profiles_.find(key);
    if (found != profiles_.end()) return found->second;
    return profiles_[key] = profile_fit(d_, *profiled_, profile_range_, width, most);
  }

  /// The scale of a plan in a box of this size.
  double scale_in(double width, double height) const {
    if (wanted_scale_) return *wanted_scale_ * d_.enlarged;
    return fitting_scale(d_, extent_.required, width - 2 * label_room, height - 2 * label_room);
  }

  /// The heights, no greater than `most`, that a plan of this width may well have.
  std::vector<double> plan_heights(double width, double most) const {
    std::vector<double> out = {most};
    for (double height = most; out.size() < 4;) {
      const double scale = scale_in(width, height);
      // What must be seen, and what one would like to see besides.
      const double least = extent_.required.height() * 1000 / scale + 2 * label_room;
      const double liked = extent_.wanted.height() * 1000 / scale + label_room;
      for (const double h : {std::min(liked, least + 30), least}) {
        if (h < out.back() - 6 && h > 50) out.push_back(h);
      }
      // And the next smaller scale, if that is not what is wanted anyway.
      height = least - 1;
      if (wanted_scale_ || scale >= smallest_ || height < 60) break;
    }
    return out;
  }

  /// Columns to the right of the plan; under it the profile, and more columns where there is room.
  void beside(double width, int count) {
    const PaperBox& work = frame_.work;
    const double side = count * width + (count - 1) * gutter;
    const double plan_width = work.width - side - gutter;
    const double profile = profile_height();
    for (const double height : plan_heights(plan_width, work.height - (profile > 0 ? profile + gutter / 2 : 0))) {
      Layout layout = start(width);
      const PaperBox plan{work.x, work.y, plan_width, height};
      for (int k = 0; k < count; ++k)
        layout.columns.push_back({right(plan) + gutter + k * (width + gutter), work.y, width, work.height});
      const PaperBox foot{work.x, bottom(plan) + gutter / 2, plan_width, bottom(work) - bottom(plan) - gutter / 2};
      arrange_foot(layout, plan, foot, true);
    }
  }

  /// Columns under the plan.
  void below(int count) {
    const PaperBox& work = frame_.work;
    const double width = (work.width - (count - 1) * gutter) / count;
    const double profile = profile_height();
    for (const double share : {0.2, 0.26, 0.32, 0.38, 0.44, 0.5, 0.56}) {
      const double height = work.height * (1 - share) - gutter;
      for (const double h : plan_heights(work.width, height - (profile > 0 ? profile + gutter / 2 : 0))) {
        Layout layout = start(width);
        const PaperBox plan{work.x, work.y, work.width, h};
        arrange_foot(layout, plan,
                     {work.x, bottom(plan) + gutter / 2, work.width, bottom(work) - bottom(plan) - gutter / 2},
                     false);
        if (wanted_scale_) break;
      }
    }
  }

  /// The strip under the plan: the profile over its whole width with columns under it, or at its left with columns
  /// beside it.
  void arrange_foot(const Layout& layout, const PaperBox& plan, const PaperBox& foot, bool has_columns) {
    const double width = layout.column_width;
    const double profile = profile_height();
    const auto with_columns = [&](Layout out, const PaperBox& area) {
      const int count = static_cast<int>((area.width + gutter + 0.01) / (width + gutter));
      const double between = count > 1 ? (area.width - count * width) / (count - 1) : 0;
      for (int k = 0; k < count && area.height > 20; ++k)
        out.columns.push_back({area.x + k * (width + between), area.y, width, area.height});
      if (!out.columns.empty()) finish(std::move(out), plan);
    };
    if (profile <= 0) {
      if (has_columns) finish(layout, plan);
      with_columns(layout, foot);
      return;
    }
    if (has_columns) {
      // With nothing under the profile, the plan takes what the profile does not need.
      Layout alone = layout;
      alone.profile = PaperBox{foot.x, 0, foot.width, 0};
      alone.profile->height = profile_in(foot.width, std::min(foot.height, 1.35 * profile)).height;
      alone.profile->y = bottom(foot) - alone.profile->height;
      PaperBox taller = plan;
      taller.height = alone.profile->y - gutter / 2 - plan.y;
      finish(std::move(alone), taller);
    }
    double before = 0;
    for (const double most : {profile, least_profile}) {
      // Columns have what the profile does not need.
      const double height = profile_in(foot.width, std::min(foot.height, most)).height;
      const double under = foot.height - height - gutter;
      if (height == before || under <= 20) continue;
      before = height;
      Layout over = layout;
      over.profile = PaperBox{foot.x, foot.y, foot.width, height};
      with_columns(over, {foot.x, bottom(foot) - under, foot.width, under});
    }
    // As wide as the line is at the scale of the plan, or at one below it.
    before = 0;
    for (const double scale : {scale_in(plan.width, plan.height), 1.5 * scale_in(plan.width, plan.height)}) {
      const double natural = profile_width(profiled_length_, scale);
      if (natural == before || natural > foot.width - width - gutter) continue;
      before = natural;
      // What no column takes is the profile's.
      const int count = static_cast<int>((foot.width - natural + 0.01) / (width + gutter));
      const double taken = count * (width + gutter);
      Layout next = layout;
      next.profile = PaperBox{foot.x, foot.y, foot.width - taken, std::min(foot.height, 1.5 * profile)};
      with_columns(next, {right(foot) - taken + gutter, foot.y, taken - gutter, foot.height});
    }
  }

  Layout start(double width) const {
    Layout layout;
    layout.sheet = frame_.sheet;
    layout.border = frame_.border;
    layout.strip = frame_.strip;
    layout.column_width = width;
    layout.tight = tight_;
    return layout;
  }

  const std::vector<Block>& blocks(double width) {
    const auto key = std::pair(tight_, std::lround(width * 100));
    auto found = by_width_.find(key);
    if (found == by_width_.end()) found = by_width_.emplace(key, set_(width, tight_)).first;
    return found->second;
  }

  double cautions_height(double width) {
    const auto key = std::lround(width * 100);
    const auto found = cautions_by_width_.find(key);
    if (found != cautions_by_width_.end()) return found->second;
    return cautions_by_width_[key] = height_of(d_, cautions_(width));
  }

  void finish(Layout layout, const PaperBox& plan) {
    const PaperBox& work = frame_.work;
    if (plan.width < 60 || plan.height < 50) return;
    // The cautions keep the foot of the column whose foot is nearest the lower right corner.
    const double caution = cautions_height(layout.column_width);
    auto last = layout.columns.begin();
    for (auto c = layout.columns.begin(); c != layout.columns.end(); ++c) {
      if (right(*c) + bottom(*c) > right(*last) + bottom(*last) + 0.01) last = c;
    }
    if (caution > last->height) return;
    layout.cautions = PaperBox{last->x, bottom(*last) - caution, last->width, caution};
    last->height -= caution + 3;
    if (last->height < 12) layout.columns.erase(last);

    const TurnedExtent &r = extent_.required, &w = extent_.wanted;
    const double denominator = scale_in(plan.width, plan.height), per_metre = 1000 / denominator;
    const bool fits = r.width() * per_metre <= plan.width && r.height() * per_metre <= plan.height;
    layout.view = view_of(extent_, up_, plan, denominator);

    const std::vector<Block>& set = blocks(layout.column_width);
    const Flow filled = flow(d_, set, {}, layout.columns, false);
    FlowPlace place = filled.end;
    // Further sheets have the whole work area; rows are set to one width, so what is left stays between the columns,
    // as far as they still look like neighbours.
    const int further = std::max(1, static_cast<int>((work.width + gutter + 0.01) / (layout.column_width + gutter)));
    const double between =
        further > 1 ? std::min((work.width - further * layout.column_width) / (further - 1), 3 * gutter) : 0;
    for (int k = 0; k < further; ++k) {
      layout.further_columns.push_back(
          {work.x + k * (layout.column_width + between), work.y, layout.column_width, work.height});
    }
    double last_fullness = 1;
    while (place.block < set.size() && layout.further_sheets < 12) {
      const Flow more = flow(d_, set, place, layout.further_columns, true);
      place = more.end;
      last_fullness = more.fullness;
      ++layout.further_sheets;
    }

    const double unused =
        layout.further_sheets > 0 ? 1 - (further * layout.column_width + (further - 1) * gutter) / work.width : 0;

    Waste waste;
    double columns = 0;
    for (const PaperBox& c : layout.columns) columns += c.width * c.height;
    waste.columns = columns * (1 - std::min(1.0, filled.fullness));
    const auto shown = [&](const TurnedExtent& e, double room) {
      return std::min(e.width() * per_metre + room, plan.width) *
             std::min(e.height() * per_metre + room, plan.height);
    };
    // What only would be liked counts half.
    waste.plan = plan.width * plan.height - 0.5 * (shown(r, 2 * label_room) + shown(w, 0));
    const double work_area = work.width * work.height;
    waste.beyond = work_area - columns - plan.width * plan.height - caution * layout.column_width -
                   (layout.profile ? layout.profile->width * layout.profile->height : 0);
    const double cramped = std::any_of(set.begin(), set.end(), [](const Block& b) { return b.cramped; }) ? 1 : 0;
    const double broken = std::any_of(set.begin(), set.end(), [](const Block& b) { return b.broken; }) ? 1 : 0;
    const double plan_share = plan.width * plan.height / work_area;
    const double backward = goes_backward(filled) ? 1 : 0;
    // Depth and tapes of a dig belong on one sheet.
    const bool torn = filled.end.row > 0 && set[filled.end.block].id.starts_with("card-");
    // A profile at the scale of the plan is read together with it; one that is flat shows neither fall nor depth.
    double profile_apart = 0, profile_flat = 0;
    if (layout.profile) {
      const ProfileFit& fit = profile_in(layout.profile->width, layout.profile->height);
      profile_apart = std::max(0.0, std::log2(fit.denominator / denominator));
      profile_flat = std::log2(most_exaggerated / fit.exaggeration);
    }
    // The legend is of use beside the plan that it explains.
    const auto legend = std::find_if(set.begin(), set.end(), [](const Block& b) { return b.id == "legend"; });
    const double legend_apart = legend < set.begin() + static_cast<std::ptrdiff_t>(filled.end.block) ? 0 : 1;
    // A further sheet is worth its paper where it is filled, and where the plan would else be squeezed. Whoever digs
    // would rather have one.
    const bool dig = d_.kind == SheetKind::dig;
    const double sheet_cost = dig ? 4.0 : 2.4, plan_cost = dig ? plan_weight / 2 : plan_weight;
    layout.cost = 1.6 * std::log2(denominator) + sheet_cost * layout.further_sheets + 2.0 * (1 - last_fullness) +
                  plan_cost * std::max(0.0, least_plan - shown(w, 2 * label_room) / work_area) + (fits ? 0 : 8) +
                  (denominator > smallest_ && !wanted_scale_ ? 4 : 0) +
                  30 * std::max(0.0, smallest_plan - plan_share) + 0.5 * profile_apart + 0.05 * profile_flat +
                  unused + 4.0 * cramped + 12.0 * broken + 1.5 * (backward + legend_apart) + (torn ? 3 : 0) +
                  (tight_ ? 0.4 : 0) + 2.0 * (waste.columns + 0.4 * waste.plan + waste.beyond) / work_area -
                  0.8 * plan_share;
    if (best_.cost == 0 || layout.cost < best_.cost) best_ = layout;
  }

  const Drafting& d_;
  const SiteExtent& extent_;
  Azimuth up_;
  std::optional<double> wanted_scale_;
  const BlockSetter& set_;
  const BlockMaker& cautions_;
  std::optional<std::size_t> profiled_;
  ProfileRange profile_range_;
  double profiled_length_;  ///< of the line in the profile, metres; 0: no profile
  double smallest_;         ///< denominator above which the plan is hard to read
  bool tight_ = false;
  Frame frame_;
  std::map<std::pair<bool, long>, std::vector<Block>> by_width_;
  std::map<long, double> cautions_by_width_;
  std::map<std::pair<long, long>, ProfileFit> profiles_;  ///< by width and room
  Layout best_;
};

}  // namespace

std::vector<PaperBox> columns_of_further_sheet(const Layout& layout, int count) {
  const PaperBox work = work_area(layout.border);
  const double width = (work.width - (count - 1) * gutter) / count;
  std::vector<PaperBox> out;
  for (int k = 0; k < count; ++k) out.push_back({work.x + k * (width + gutter), work.y, width, work.height});
  return out;
}

PlanView first_view(const Drafting& d, const SiteExtent& extent, Azimuth up, Paper paper) {
  const PaperSize size = size_to_lay_out(d, paper);
  const PaperBox box{0, 0, 0.6 * size.width, 0.65 * size.height};
  return view_of(extent, up, box,
                 fitting_scale(d, extent.required, box.width - 2 * label_room, box.height - 2 * label_room));
}

Layout best_layout(const Drafting& d, const SiteExtent& extent, Azimuth up, Paper paper,
                   std::optional<double> wanted_scale, const BlockSetter& blocks, const BlockMaker& cautions,
                   std::optional<std::size_t> profiled, double smallest) {
  Arranger arranger(d, extent, up, wanted_scale, blocks, cautions, profiled, smallest);
  arranger.try_paper(size_to_lay_out(d, paper), false);
  // Set tighter only where that may save a sheet or a scale.
  const bool small = !wanted_scale && arranger.best().view.denominator > smallest;
  if (arranger.best().further_sheets > 0 || small) arranger.try_paper(size_to_lay_out(d, paper), true);
  return arranger.best();
}

}  // namespace swingtie
