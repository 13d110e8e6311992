#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "sheet/plan.hpp"
#include "sheet/tables.hpp"

namespace swingtie {
namespace {

enum class Sample {
  line,
  area,
  access,
  dig_item,
  watch_item,
  plain_item,
  locate,
  locate_wrong,
  crossing,
  collar,
  tick,
  tie,
  tree,
  fixture,
  utility
};

struct Entry {
  std::string_view key;  ///< what SheetBuilder::note was told
  std::string_view words;
  Sample sample;
  FeatureKind kind = FeatureKind::mark;
};

/// In the order a reader looks for them: the line, what is on it, what is dug, what limits it, what else is about.
constexpr std::array entries = {
    Entry{"route", "sewer, known to the tolerance zone", Sample::line},
    Entry{"route-inferred", "sewer, inferred", Sample::line},
    Entry{"corridor", "95 % band of the line", Sample::area},
    Entry{"alternative", "another route that fits", Sample::line},
    Entry{"station-tick", "station", Sample::tick},
    Entry{"access", "clean-out or access", Sample::access},
    Entry{"collar", "pipe changes", Sample::collar},
    Entry{"dig-item", "to be dug", Sample::dig_item},
    Entry{"watch-item", "to be watched", Sample::watch_item},
    Entry{"plain-item", "noted", Sample::plain_item},
    Entry{"region", "95 % region of the point", Sample::line},
    Entry{"dig-window", "dig window", Sample::area},
    Entry{"footprint", "edge of the hole at grade", Sample::line},
    Entry{"tie", "tape and its arc", Sample::tie},
    Entry{"locate", "locate, 95 % ellipse", Sample::locate},
    Entry{"locate-wrong", "locate that does not fit", Sample::locate_wrong},
    Entry{"crossing", "crossing, 95 % interval", Sample::crossing},
    Entry{"right-of-way", "right-of-way line", Sample::line},
    Entry{"lot", "lot line", Sample::line},
    Entry{"neighbour", "lot line of a neighbour", Sample::line},
    Entry{"public-side", "public side", Sample::area},
    Entry{"main", "city main", Sample::utility, FeatureKind::main},
    Entry{"water", "water", Sample::utility, FeatureKind::water},
    Entry{"gas", "gas", Sample::utility, FeatureKind::gas},
    Entry{"electric", "electric", Sample::utility, FeatureKind::electric},
    Entry{"comms", "communication", Sample::utility, FeatureKind::comms},
    Entry{"water-zone", "tolerance zone", Sample::area},
    Entry{"gas-zone", "tolerance zone", Sample::area},
    Entry{"electric-zone", "tolerance zone", Sample::area},
    Entry{"comms-zone", "tolerance zone", Sample::area},
    Entry{"centerline", "centerline of the street", Sample::line},
    Entry{"fence", "fence", Sample::line},
    Entry{"tree", "tree trunk", Sample::tree},
    Entry{"crown", "crown", Sample::line},
    Entry{"root-zone", "root zone", Sample::area},
    Entry{"mark", "mark on the ground", Sample::fixture, FeatureKind::mark},
    Entry{"profile-band", "95 % band of the depth", Sample::area},
};

constexpr double sample_width = 8.5, sample_height = 3.3;

std::vector<Mark> sample_of(const Drafting& d, const Entry& entry) {
  const PaperPoint left{0.5, sample_height / 2}, right_end{sample_width - 0.5, sample_height / 2};
  const PaperPoint middle{sample_width / 2, sample_height / 2};
  const PaperBox box{0, 0, sample_width, sample_height};
  std::vector<Mark> marks;
  switch (entry.sample) {
    case Sample::line: {
      // A long pattern is shown smaller, so that one sees it repeat.
      Look look = d.look(entry.key);
      double period = 0;
      for (const double dash : look.dash) period += dash;
      for (double& dash : look.dash) dash *= std::min(1.0, (right_end.x - left.x) / 1.6 / std::max(period, 0.1));
      return line_marks({left, right_end}, look, box);
    }
    case Sample::area: {
      const Polyline ring = {{0.8, 0.5},
                             {sample_width - 0.8, 0.5},
                             {sample_width - 0.8, sample_height - 0.5},
                             {0.8, sample_height - 0.5}};
      marks = area_marks({ring}, d.look(entry.key), box);
      for (Mark& m : line_marks(ring, d.look(entry.key), box, true)) marks.push_back(std::move(m));
      return marks;
    }
    case Sample::access:
      return access_symbol(d, middle);
    case Sample::dig_item:
      return item_symbol(d, middle, Act::dig);
    case Sample::watch_item:
      return item_symbol(d, middle, Act::watch);
    case Sample::plain_item:
      return item_symbol(d, middle, Act::none);
    case Sample::locate:
      return locate_symbol(d, middle, false);
    case Sample::locate_wrong:
      return locate_symbol(d, middle, true);
    case Sample::crossing:
      return crossing_symbol(d, middle, std::numbers::pi / 2);
    case Sample::collar: {
      marks = line_marks({left, right_end}, d.look("route"), box);
      Path collar;
      for (const double x : {-0.45, 0.45})
        collar.move_to({middle.x + x, middle.y - 1.1}).line_to({middle.x + x, middle.y + 1.1});
      collar.pen = Pen{d.look("route").line.value_or(Colour{}), 0.35, {}, false};
      marks.emplace_back(std::move(collar));
      return marks;
    }
    case Sample::tick: {
      marks = line_marks({left, right_end}, d.look("route"), box);
      Path tick;
      for (const double x : {-2.5, 2.5})
        tick.move_to({middle.x + x, middle.y - 1.3}).line_to({middle.x + x, middle.y + 1.3});
      tick.pen = pen_of(d.look("station-tick"));
      marks.emplace_back(std::move(tick));
      return marks;
    }
    case Sample::tie: {
      marks = line_marks({{1.2, middle.y}, {right_end.x - 1.6, middle.y}}, d.look("tie"), box);
      Path arc;
      for (int i = -4; i <= 4; ++i) {
        const double t = i / 4.0 * 0.16;
        const PaperPoint p{1.2 + (right_end.x - 2.2) * std::cos(t), middle.y + (right_end.x - 2.2) * std::sin(t)};
        if (i == -4) {
          arc.move_to(p);
        } else {
          arc.line_to(p);
        }
      }
      arc.pen = pen_of(d.look("tie-arc"));
      Path end;
      end.add_circle({1.2, middle.y}, 0.75);
      marks.emplace_back(std::move(arc));
      marks.emplace_back(drawn(std::move(end), d.look("tie-end")));
      return marks;
    }
    case Sample::tree: {
      Path ring;
      ring.add_circle(middle, 1.0);
      return {drawn(std::move(ring), d.look("tree"))};
    }
    case Sample::fixture:
      return fixture_symbol(d, middle, entry.kind);
    case Sample::utility: {
      marks = line_marks({left, right_end}, d.look(entry.key), box);
      Text letter = d.text(utility_letter(entry.kind), "utility");
      Path gap;
      gap.add_circle(middle, 0.62 * letter.size);
      gap.fill = Fill{*d.look("knock-out").fill, 1};
      marks.emplace_back(std::move(gap));
      letter.colour = legible(d.look(entry.key).line.value_or(Colour{}));
      const double y = middle.y + cap_height / 2 * letter.size;
      marks.emplace_back(set_at(std::move(letter), {middle.x, y}, 0.5));
      return marks;
    }
  }
  return marks;
}

}  // namespace

BlockMaker legend_block(const Drafting& d, const std::set<std::string, std::less<>>& shown, bool tight) {
  return [&d, shown, tight](double width) {
    Block block{"legend", "LEGEND", {}, {}, true};
    // As many columns as leave room for the words.
    const auto columns = std::max<std::size_t>(1, static_cast<std::size_t>(width / (tight ? 27.5 : 33.0)));
    const std::string_view type = tight ? "field" : "body";
    const double cell_width = width / static_cast<double>(columns), step = leading(d, type);
    std::vector<Row> cells;
    double total = 0;
    for (const Entry& entry : entries) {
      if (!shown.contains(entry.key)) continue;
      Row cell;
      Object object;
      object.id = "legend-" + std::string(entry.key);
      object.kind = "legend-entry";
      object.role = Role::block;
      object.marks = sample_of(d, entry);
      const auto lines = d.type.wrap(entry.words, d.type_look(type), cell_width - sample_width - 2);
      double y = sample_height / 2 + cap_height / 2 * d.em(type);
      for (const std::string& line : lines) {
        object.marks.emplace_back(set_at(d.text(line, type), {sample_width + 1.2, y}));
        y += step;
      }
      cell.height = std::max(sample_height + 0.05, y - step + 0.35 * d.em(type));
      total += cell.height;
      cell.objects = {std::move(object)};
      cells.push_back(std::move(cell));
    }
    // Down each column in turn. The columns are as short as they can be with the entries in their order.
    const auto columns_at = [&](double most) {
      std::size_t needed = 1;
      double y = 0;
      for (const Row& cell : cells) {
        if (y > 0 && y + cell.height > most + 1e-9) {
          ++needed;
          y = 0;
        }
        y += cell.height;
      }
      return needed;
    };
    double most = total / static_cast<double>(columns);
    while (columns_at(most) > columns) most += 0.5;
    Row whole;
    double x = 0, y = 0;
    for (Row& cell : cells) {
      if (y > 0 && y + cell.height > most + 1e-9) {
        x += cell_width;
        y = 0;
      }
      for (Object& object : cell.objects) {
        move(object, x, y);
        whole.objects.push_back(std::move(object));
      }
      y += cell.height;
      whole.height = std::max(whole.height, y);
    }
    if (!whole.objects.empty()) block.rows = {std::move(whole)};
    return block;
  };
}

}  // namespace swingtie
