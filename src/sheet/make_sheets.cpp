#include "sheet/make_sheets.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <memory>
#include <set>

#include "sheet/flow.hpp"
#include "sheet/furniture.hpp"
#include "sheet/layout.hpp"
#include "sheet/line_course.hpp"
#include "sheet/plan.hpp"
#include "sheet/profile.hpp"
#include "sheet/scales.hpp"
#include "sheet/tables.hpp"

namespace swingtie {
namespace {

PlanContent content_of(SheetKind kind) {
  PlanContent content;
  switch (kind) {
    case SheetKind::dig:
      content.digs = content.ties = true;
      break;
    case SheetKind::route:
      content.item_words = content.locates = content.pipes = true;
      break;
    case SheetKind::boundary:
      content.sides = content.lot_calls = content.crossing_ties = content.pipes = true;
      break;
    case SheetKind::full:
      break;
  }
  return content;
}

constexpr double inset_proportion = 0.85, tight_inset_proportion = 0.6;  ///< height to width

std::string inset_id(const Drafting& d, std::size_t index) {
  return fmt::format("inset-dig-{}", d.item_numbers[d.findings.digs[index].item]);
}

/// The surroundings of a dig point at a scale one can dig by.
/// @param proportion  height to width
/// @param most  height in mm
BlockMaker inset_block(const Drafting& d, std::size_t index, Azimuth up, double proportion, double most = 90) {
  return [&d, index, up, proportion, most](double width) {
    const DigFinding& dig = d.findings.digs[index];
    const std::size_t number = d.item_numbers[dig.item];
    Block block{inset_id(d, index), "", {}, {}, true};
    TurnedExtent around(up);
    around.add({dig.window.begin(), dig.window.end()});
    around.add({dig.bottom.begin(), dig.bottom.end()});
    for (const auto& ring : d.findings.items[dig.item].region95) around.add(ring);
    const double height = std::clamp(width * proportion, 36.0, most);
    double denominator = d.enlarged * inset_scales(d.placed.unit).back();
    for (const double s : inset_scales(d.placed.unit)) {
      denominator = s * d.enlarged;
      // Room for the dimensions and a little of what lies around.
      if (around.width() * 1000 / denominator <= width - 18 && around.height() * 1000 / denominator <= height - 16)
        break;
    }
    const double head = leading(d, "table-head");
    Row row;
    row.layer = "insets";
    row.height = head + 0.4 + height + 0.5;
    const PlanView view{{0, head + 0.4, width, height}, denominator, up, around.middle()};
    row.draw = [&d, index, number, view, width, height, id = block.id](Row& drawn_row,
                                                                       std::set<std::string, std::less<>>& legend) {
      SheetBuilder drawn(width, height);
      PlanContent content;
      content.inset_of = index;
      content.prefix = fmt::format("inset-{}-", number);
      draw_plan(drawn, d, view, content);
      legend = drawn.legend();
      Row title =
          text_row(d, id + "-title",
                   fmt::format("DIG {}, {}", number, format_scale(view.denominator / d.enlarged, d.placed.unit)),
                   "table-head");
      drawn_row.objects = std::move(title.objects);
      for (Layer& layer : drawn.sheet.layers) {
        for (Object& object : layer.objects) drawn_row.objects.push_back(std::move(object));
      }
      drawn_row.map = map_frame(d, view);
    };
    block.rows = {std::move(row)};
    return block;
  };
}

/// The blocks of a sheet, the same ones set in less height where they can be.
struct Makers {
  std::vector<BlockMaker> usual, tight;
};

Makers makers_of(const Drafting& d, Azimuth up, const SheetOptions& options,
                 std::set<std::string, std::less<>>& legend, std::vector<std::string>& remarks) {
  Makers out;
  const auto add = [&out](const BlockMaker& usual, const BlockMaker& tight) {
    out.usual.push_back(usual);
    out.tight.push_back(tight);
  };
  const auto add_one = [&add](const BlockMaker& maker) { add(maker, maker); };
  const auto add_legend = [&] {
    const auto later = [&d, &legend](bool tight) {
      return [&d, &legend, tight](double width) { return legend_block(d, legend, tight)(width); };
    };
    add(later(false), later(true));
  };
  switch (d.kind) {
    case SheetKind::dig:
      for (std::size_t i = 0; i < d.findings.digs.size(); ++i) {
        add_one(dig_card(d, i));
        out.usual.push_back(inset_block(d, i, up, inset_proportion));
      }
      add_legend();
      // Small pieces last fill what is left of a column.
      for (std::size_t i = 0; i < d.findings.digs.size(); ++i)
        out.tight.push_back(inset_block(d, i, up, tight_inset_proportion));
      break;
    case SheetKind::route:
      add_one(items_block(d, true, true));
      // Before what is long, so that it stays on the sheet with the plan.
      add_legend();
      add_one(words_block(d, "WHAT WAS FOUND"));
      add_one(verdict_block(d));
      add_one(words_block(d, "WHERE IT RUNS"));
      add_one(pipes_block(d));
      add_one(trees_block(d));
      add_one(grades_block(d));
      add_one(locates_block(d));
      break;
    case SheetKind::boundary:
      add_one(ownership_block(d));
      add_one(crossings_block(d));
      add_one(sides_block(d));
      add_legend();
      add_one(items_block(d, true, false));
      add_one(crossing_ties_block(d));
      add_one(separations_block(d));
      break;
    case SheetKind::full:
      break;
  }
  if (d.kind == SheetKind::route) add_one(photos_block(d, {options.folder, options.within}, remarks));
  return out;
}

/// The line that the profile under the plan shows: the one with something to dig, or else the longest.
std::size_t main_line(const Drafting& d) {
  for (const DigFinding& dig : d.findings.digs) return d.findings.items[dig.item].line;
  std::size_t best = 0;
  for (std::size_t i = 0; i < d.findings.lines.size(); ++i) {
    if (d.findings.lines[i].length > d.findings.lines[best].length) best = i;
  }
  return best;
}

/// Profiles of the other lines, as blocks.
BlockMaker profile_block(const Drafting& d, std::size_t line) {
  return [&d, line](double width) {
    Block block{fmt::format("profile-{}", line + 1), "", {}, {}, true};
    constexpr double height = 40;
    Row row;
    row.layer = "profile";
    row.height = height;
    row.draw = [&d, line, width](Row& drawn_row, std::set<std::string, std::less<>>& legend) {
      SheetBuilder drawn(width, height);
      draw_profile(drawn, d, {0, 0, width, height}, line);
      legend = drawn.legend();
      for (Layer& layer : drawn.sheet.layers) {
        for (Object& object : layer.objects) drawn_row.objects.push_back(std::move(object));
      }
    };
    block.rows = {std::move(row)};
    return block;
  };
}

/// One kind of sheet laid out, with what is needed to draw it.
struct Prepared {
  Drafting d;
  PlanContent content;
  Layout layout;
  std::vector<Block> blocks;
  std::vector<Block> further_blocks;  ///< of the one further sheet, when it is set to a width of its own
  std::vector<std::string> remarks;
};

/// Beyond this denominator one can no longer tell a foot on the plan.
double smallest_readable(const Drafting& d) {
  if (d.kind == SheetKind::dig) return is_feet(d.placed.unit) ? 240 : 300;
  return is_feet(d.placed.unit) ? 360 : 500;
}

/// Sets the insets among the blocks to another height.
void set_insets(const Drafting& d, std::vector<Block>& blocks, Azimuth up, double width, double proportion,
                double most) {
  for (std::size_t i = 0; i < d.findings.digs.size(); ++i) {
    for (Block& block : blocks) {
      if (block.id == inset_id(d, i)) block = inset_block(d, i, up, proportion, most)(width);
    }
  }
}

bool is_inset(const Block& block) {
  return block.id.starts_with("inset-");
}

/// The insets grow into what the columns have left.
void enlarge_insets(Prepared& p, Azimuth up) {
  const auto breaks = [&p](const std::vector<Block>& blocks) {
    std::vector<std::size_t> out;
    FlowPlace place = flow(p.d, blocks, {}, p.layout.columns, false).end;
    while (place.block < blocks.size() && out.size() < 2 * static_cast<std::size_t>(p.layout.further_sheets)) {
      out.insert(out.end(), {place.block, place.row});
      place = flow(p.d, blocks, place, p.layout.further_columns, true).end;
    }
    out.push_back(place.block);
    return out;
  };
  if (std::none_of(p.blocks.begin(), p.blocks.end(), is_inset)) return;
  const auto now = breaks(p.blocks);
  std::vector<Block> larger = p.blocks;
  constexpr double step = 0.05;
  for (double proportion = (p.layout.tight ? tight_inset_proportion : inset_proportion) + step; proportion < 1.01;
       proportion += step) {
    set_insets(p.d, larger, up, p.layout.column_width, proportion, 90);
    if (breaks(larger) != now) break;
    p.blocks = larger;
  }
}

/// A further sheet that begins with a block of its own has as few and as wide columns as its blocks need.
void widen_further_columns(Prepared& p, Azimuth up, const BlockSetter& setter) {
  const FlowPlace end = flow(p.d, p.blocks, {}, p.layout.columns, false).end;
  if (p.layout.further_sheets != 1 || end.row > 0) return;
  const auto first = static_cast<std::ptrdiff_t>(end.block);
  const bool only_insets = std::all_of(p.blocks.begin() + first, p.blocks.end(), is_inset);
  for (int count = 1;; ++count) {
    const std::vector<PaperBox> columns = columns_of_further_sheet(p.layout, count);
    const double width = columns.front().width;
    if (width <= p.layout.column_width) return;
    if (width > longest_line && !only_insets) continue;
    std::vector<Block> blocks = setter(width, p.layout.tight);
    set_insets(p.d, blocks, up, width, inset_proportion, only_insets ? columns.front().height - 8 : 90);
    blocks.erase(blocks.begin(), blocks.begin() + first);
    if (flow(p.d, blocks, {}, columns, false).end.block < blocks.size()) continue;
    p.layout.further_columns = columns;
    p.further_blocks = std::move(blocks);
    return;
  }
}

std::unique_ptr<Prepared> prepare(const Drafting& base, SheetKind kind, const SheetOptions& options) {
  // In its place from the start: rows that draw themselves later keep hold of its Drafting.
  auto prepared = std::make_unique<Prepared>(Prepared{base, content_of(kind), {}, {}, {}, {}});
  Prepared& out = *prepared;
  Drafting& d = out.d;
  d.kind = kind;
  const Azimuth up = d.findings.viewer.facing;
  const SiteExtent extent = site_extent(d, up);
  std::set<std::string, std::less<>> legend;
  const Makers makers = makers_of(d, up, options, legend, out.remarks);
  const BlockMaker cautions = cautions_block(d);
  const std::size_t profiled = main_line(d);
  const std::optional<std::size_t> in_profile = d.findings.lines.empty() ? std::nullopt : std::optional(profiled);
  const auto setter = [&](double width, bool tight) {
    std::vector<Block> blocks;
    for (const BlockMaker& make : tight ? makers.tight : makers.usual) blocks.push_back(make(width));
    for (std::size_t i = 0; i < d.findings.lines.size(); ++i) {
      if (i != profiled && kind == SheetKind::route) blocks.push_back(profile_block(d, i)(width));
    }
    return blocks;
  };

  std::vector<Paper> papers;
  if (options.paper) {
    papers = {*options.paper};
  } else if (is_feet(d.placed.unit)) {
    papers = {Paper::letter, Paper::tabloid};
  } else {
    papers = {Paper::a4, Paper::a3};
  }
  // The legend names what the plan and the profile show, and takes room from both: guess what they show, lay out, and
  // again where the plan then shows something else.
  const auto shown_on = [&](const PlanView& view, const std::optional<PaperBox>& profile) {
    SheetBuilder trial(out.layout.sheet.width, out.layout.sheet.height);
    PlanContent unlabelled = out.content;
    unlabelled.labels = false;
    draw_plan(trial, d, view, unlabelled);
    if (!d.findings.digs.empty() && kind == SheetKind::dig) {
      // Shown in the insets whether or not the plan has them.
      for (const char* key : {"dig-window", "footprint", "region"}) trial.note(key);
    }
    if (profile) draw_profile(trial, d, *profile, profiled, false);
    return trial.legend();
  };
  for (const Paper paper : papers) {
    d.enlarged = lettering_of(paper);
    legend = shown_on(first_view(d, extent, up, paper), PaperBox{0, 0, 200, 60});
    for (int round = 0; round < 3; ++round) {
      out.layout = best_layout(d, extent, up, paper, options.scale_denominator, setter, cautions, in_profile,
                               d.enlarged * smallest_readable(d));
      const auto shown = shown_on(out.layout.view, out.layout.profile);
      if (shown == legend) break;
      legend = shown;
    }
    if (options.scale_denominator || out.layout.view.denominator <= d.enlarged * smallest_readable(d)) break;
  }
  out.layout.profile_line = profiled;
  out.blocks = setter(out.layout.column_width, out.layout.tight);
  enlarge_insets(out, up);
  widen_further_columns(out, up, setter);
  return prepared;
}

void finish(SheetBuilder& out, const Drafting& d, const Prepared& prepared) {
  std::string lower;
  for (const char c : kind_title(d.kind)) lower += c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
  out.sheet.title = fmt::format("{}: {}", d.placed.site_name.empty() ? "unnamed site" : d.placed.site_name, lower);
  out.sheet.subject = "Route of a house sewer with its 95 % limits; not a survey";
  out.sheet.author = d.placed.by;
  out.sheet.date = d.placed.inspected;
  out.sheet.remarks = prepared.remarks;
  std::erase_if(out.sheet.layers, [](const Layer& layer) { return layer.objects.empty(); });
}

}  // namespace

std::vector<Sheet> make_sheets(const Placed& placed, const Findings& findings, const SheetOptions& options) {
  Typesetter type;
  const Drafting base = start_drafting(placed, findings, options.style, type);
  std::vector<SheetKind> kinds = {options.kind};
  if (options.kind == SheetKind::full) {
    kinds = {SheetKind::dig, SheetKind::route, SheetKind::boundary};
    if (findings.digs.empty()) kinds.erase(kinds.begin());
  }
  std::vector<std::unique_ptr<Prepared>> prepared;
  int count = 0;
  for (const SheetKind kind : kinds) {
    prepared.push_back(prepare(base, kind, options));
    count += 1 + prepared.back()->layout.further_sheets;
  }
  std::vector<Sheet> sheets;
  const auto start = [&](const Layout& layout) {
    SheetBuilder out(layout.sheet.width, layout.sheet.height);
    out.sheet.number = static_cast<int>(sheets.size()) + 1;
    out.sheet.count = count;
    return out;
  };
  for (const auto& p : prepared) {
    const Layout& layout = p->layout;
    SheetBuilder out = start(layout);
    out.sheet.maps.push_back(map_frame(p->d, layout.view));
    draw_plan(out, p->d, layout.view, p->content);
    if (layout.profile) draw_profile(out, p->d, *layout.profile, layout.profile_line);
    Flow placed_rows = flow(p->d, p->blocks, {}, layout.columns, false);
    draw_flow(out, p->d, placed_rows);
    std::vector<Block> cautions = {cautions_block(p->d)(layout.column_width)};
    draw_flow(out, p->d, flow(p->d, cautions, {}, {*layout.cautions}, true));
    draw_title(out, p->d, layout.border, layout.strip, layout.view.denominator);
    finish(out, p->d, *p);
    enlarge(out.sheet, p->d.enlarged);
    sheets.push_back(std::move(out.sheet));
    FlowPlace place = placed_rows.end;
    for (int k = 0; k < layout.further_sheets; ++k) {
      SheetBuilder next = start(layout);
      const bool wider = !p->further_blocks.empty();
      const std::vector<Block>& blocks = wider ? p->further_blocks : p->blocks;
      if (wider) place = {};
      Flow more = flow(p->d, blocks, place, layout.further_columns, true);
      if (k + 1 == layout.further_sheets) more = balanced_flow(p->d, blocks, place, layout.further_columns);
      place = more.end;
      draw_flow(next, p->d, more);
      draw_title(next, p->d, layout.border, layout.strip, 0);
      finish(next, p->d, *p);
      enlarge(next.sheet, p->d.enlarged);
      sheets.push_back(std::move(next.sheet));
    }
  }
  for (Sheet& sheet : sheets) {
    sheet.fonts = type.fonts();
    sheet.remarks.insert(sheet.remarks.end(), type.remarks().begin(), type.remarks().end());
  }
  return sheets;
}

}  // namespace swingtie
