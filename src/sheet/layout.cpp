#include "sheet/layout.hpp"

#include <algorithm>
#include <cmath>
#include <map>

#include "sheet/furniture.hpp"
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

namespace {

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
      if (building || (limit && d.kind == SheetKind::boundary)) add_near(required, closed, core, reach);
      add_near(out.wanted, closed, core, building || limit ? 2 * reach : 2.0);
    }
    if (f.shape == Shape::point) add_near(out.wanted, {f.point, f.point + PlanVector{0.01, 0}}, core, 4.0);
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

constexpr double margin = 8;      ///< of the paper
constexpr double gutter = 5;      ///< between plan and columns
constexpr double label_room = 7;  ///< around the required extent, for labels

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

/// Evaluates arrangements of one paper.
class Arranger {
 public:
  Arranger(const Drafting& d, const SiteExtent& extent, Azimuth up, std::optional<double> wanted_scale,
           const BlockSetter& blocks, const BlockMaker& cautions, bool with_profile, double smallest)
      : d_(d),
        extent_(extent),
        up_(up),
        wanted_scale_(wanted_scale),
        set_(blocks),
        cautions_(cautions),
        with_profile_(with_profile),
        smallest_(smallest) {}

  void try_paper(PaperSize size) {
    for (const bool wide : {true, false}) {
      const PaperSize sheet = wide ? PaperSize{size.height, size.width} : size;
      const PaperBox border{margin, margin, sheet.width - 2 * margin, sheet.height - 2 * margin};
      const PaperBox strip{border.x, bottom(border) - title_height, border.width, title_height};
      const PaperBox work{border.x + 3, border.y + 3, border.width - 6, border.height - title_height - 6};
      for (const double width : {58.0, 62.0, 66.0, 70.0, 74.0, 78.0, 84.0, 92.0, 104.0}) {
        for (const int count : {1, 2}) {
          if (count * width + (count - 1) * gutter < work.width * 0.66)
            beside(sheet, border, strip, work, width, count);
        }
      }
      const int count = std::max(1, static_cast<int>((work.width + gutter) / (62 + gutter)));
      for (const int columns : {count, std::max(1, count - 1)}) {
        for (const double share : {0.2, 0.26, 0.32, 0.38, 0.44, 0.5, 0.56})
          below(sheet, border, strip, work, columns, share);
      }
    }
  }

  const Layout& best() const { return best_; }

 private:
  double profile_height(const PaperBox& work) const {
    return with_profile_ ? std::clamp(work.height * 0.2, 37.0, 90.0) : 0;
  }

  void beside(PaperSize sheet, const PaperBox& border, const PaperBox& strip, const PaperBox& work, double width,
              int count) {
    const double side = count * width + (count - 1) * gutter;
    Layout layout = start(sheet, border, strip, width);
    PaperBox plan{work.x, work.y, work.width - side - gutter, work.height};
    take_profile(layout, plan, work);
    for (int k = 0; k < count; ++k) {
      layout.columns.push_back({right(plan) + gutter + k * (width + gutter), work.y, width, work.height});
    }
    finish(layout, plan, work);
  }

  void below(PaperSize sheet, const PaperBox& border, const PaperBox& strip, const PaperBox& work, int count,
             double share) {
    const double width = (work.width - (count - 1) * gutter) / count;
    Layout layout = start(sheet, border, strip, width);
    const double foot = work.height * share;
    PaperBox plan{work.x, work.y, work.width, work.height - foot - gutter};
    for (int k = 0; k < count; ++k) {
      layout.columns.push_back({work.x + k * (width + gutter), bottom(plan) + gutter, width, foot});
    }
    take_profile(layout, plan, work);
    finish(layout, plan, work);
  }

  Layout start(PaperSize sheet, const PaperBox& border, const PaperBox& strip, double width) const {
    Layout layout;
    layout.sheet = sheet;
    layout.border = border;
    layout.strip = strip;
    layout.column_width = layout.cautions_width = width;
    return layout;
  }

  void take_profile(Layout& layout, PaperBox& plan, const PaperBox& work) const {
    if (!with_profile_) return;
    const double height = profile_height(work);
    plan.height -= height + gutter / 2;
    layout.profile = PaperBox{plan.x, bottom(plan) + gutter / 2, plan.width, height};
  }

  const std::vector<Block>& blocks(double width) {
    const auto key = std::lround(width * 100);
    auto found = by_width_.find(key);
    if (found == by_width_.end()) found = by_width_.emplace(key, set_(width)).first;
    return found->second;
  }

  double cautions_height(double width) {
    const auto key = std::lround(width * 100);
    const auto found = cautions_by_width_.find(key);
    if (found != cautions_by_width_.end()) return found->second;
    return cautions_by_width_[key] = height_of(d_, cautions_(width));
  }

  void finish(Layout& layout, const PaperBox& plan, const PaperBox& work) {
    if (plan.width < 60 || plan.height < 50) return;
    // The cautions keep the foot of the last column.
    PaperBox& last = layout.columns.back();
    const double caution = cautions_height(layout.column_width);
    if (caution > last.height) return;
    layout.cautions = PaperBox{last.x, bottom(last) - caution, last.width, caution};
    last.height -= caution + 3;
    if (last.height < 12) layout.columns.pop_back();

    const TurnedExtent& r = extent_.required;
    double denominator = 0;
    bool fits = true;
    if (wanted_scale_) {
      denominator = *wanted_scale_;
      fits = r.width() * 1000 / denominator <= plan.width && r.height() * 1000 / denominator <= plan.height;
    } else {
      denominator = scale_to_fit(d_.placed.unit, r.width(), r.height(), plan.width - 2 * label_room,
                                 plan.height - 2 * label_room);
      fits = r.width() * 1000 / denominator <= plan.width && r.height() * 1000 / denominator <= plan.height;
    }
    layout.view = view_of(extent_, up_, plan, denominator);

    const std::vector<Block>& set = blocks(layout.column_width);
    Flow filled = flow(d_, set, {}, layout.columns, false);
    FlowPlace place = filled.end;
    // Further sheets have the whole work area; rows are set to one width, so what is left stays between the columns.
    const int further = std::max(1, static_cast<int>((work.width + gutter) / (layout.column_width + gutter)));
    const double between = further > 1 ? (work.width - further * layout.column_width) / (further - 1) : 0;
    for (int k = 0; k < further; ++k) {
      layout.further_columns.push_back(
          {work.x + k * (layout.column_width + between), work.y, layout.column_width, work.height});
    }
    while (place.block < set.size() && layout.further_sheets < 12) {
      place = flow(d_, set, place, layout.further_columns, true).end;
      ++layout.further_sheets;
    }
    const double sheet_area = layout.sheet.width * layout.sheet.height;
    const double per_metre = 1000 / denominator;
    const double shown = std::min(extent_.wanted.width() * per_metre, plan.width) *
                         std::min(extent_.wanted.height() * per_metre, plan.height);
    const double cramped = std::any_of(set.begin(), set.end(), [](const Block& b) { return b.cramped; }) ? 1 : 0;
    layout.cost = 1.6 * std::log2(denominator) + 3.0 * layout.further_sheets + (fits ? 0 : 8) +
                  (denominator > smallest_ && !wanted_scale_ ? 4 : 0) + 4.0 * cramped +
                  0.8 * (1 - shown / (plan.width * plan.height)) + 1.6 * (1 - std::min(1.0, filled.fullness)) -
                  0.5 * plan.width * plan.height / sheet_area;
    if (best_.cost == 0 || layout.cost < best_.cost) best_ = layout;
  }

  const Drafting& d_;
  const SiteExtent& extent_;
  Azimuth up_;
  std::optional<double> wanted_scale_;
  const BlockSetter& set_;
  const BlockMaker& cautions_;
  bool with_profile_;
  double smallest_;  ///< denominator above which the plan is hard to read
  std::map<long, std::vector<Block>> by_width_;
  std::map<long, double> cautions_by_width_;
  Layout best_;
};

}  // namespace

Layout best_layout(const Drafting& d, const SiteExtent& extent, Azimuth up, Paper paper,
                   std::optional<double> wanted_scale, const BlockSetter& blocks, const BlockMaker& cautions,
                   bool with_profile, double smallest) {
  Arranger arranger(d, extent, up, wanted_scale, blocks, cautions, with_profile, smallest);
  arranger.try_paper(paper_size(paper));
  return arranger.best();
}

}  // namespace swingtie
