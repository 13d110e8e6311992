#include "sheet/flow.hpp"

#include <algorithm>

namespace swingtie {
namespace {

constexpr double between_blocks = 2.8;

/// Height of the row and of those it must stand with.
double kept_height(const Block& block, std::size_t row) {
  double height = block.rows[row].height;
  while (block.rows[row].keep_with_next && row + 1 < block.rows.size()) height += block.rows[++row].height;
  return height;
}

bool is_space(const Row& row) {
  return row.objects.empty() && !row.draw;
}

/// The heading of a block that goes on from another column.
std::string continued_title(const Drafting& d, const Block& block, double width) {
  const std::string full = block.title + " (continued)";
  return d.type.width(full, d.type_look("heading")) <= heading_room(width) ? full : block.title + " (cont.)";
}

}  // namespace

double height_of(const Drafting& d, const Block& block) {
  double height = block.title.empty() ? 0 : heading_height(d) + 0.6;
  for (const Row& row : block.rows) height += row.height;
  return height;
}

Flow flow(const Drafting& d, const std::vector<Block>& blocks, FlowPlace begin, const std::vector<PaperBox>& columns,
          bool whole_sheet) {
  Flow out;
  out.end = begin;
  double used = 0, total = 0;
  for (const PaperBox& column : columns) total += column.height;
  for (const PaperBox& column : columns) {
    double y = column.y;
    while (out.end.block < blocks.size()) {
      const Block& block = blocks[out.end.block];
      if (block.rows.empty()) {
        out.end = {out.end.block + 1, 0};
        continue;
      }
      const bool fresh = y == column.y;
      const double gap = fresh ? 0 : between_blocks;
      const bool continued = out.end.row > 0;
      double head = block.title.empty() ? 0 : heading_height(d) + 0.6;
      if (continued) {
        for (const Row& row : block.repeated) head += row.height;
      }
      const double first = kept_height(block, out.end.row);
      const double whole = height_of(d, block);
      // A block that would leave only its first row or two behind begins in the next column.
      double start = first;
      for (std::size_t k = out.end.row + 1; k < std::min(out.end.row + 3, block.rows.size()); ++k)
        start += block.rows[k].height;
      const double needed = block.whole && whole <= column.height ? whole : gap + head + std::min(start, whole);
      if (y + needed > bottom(column) + 1e-6 && !(whole_sheet && fresh && first + head > column.height)) break;
      y += gap;
      if (!block.title.empty()) {
        out.rows.push_back({nullptr, block.id + "-title",
                            continued ? continued_title(d, block, column.width) : block.title, column.x, y,
                            column.width});
        y += heading_height(d) + 0.6;
      }
      if (continued) {
        for (const Row& row : block.repeated) {
          out.rows.push_back({&row, "", "", column.x, y, column.width});
          y += row.height;
        }
      }
      bool placed = false;
      while (out.end.row < block.rows.size()) {
        const Row& row = block.rows[out.end.row];
        if (placed && y + kept_height(block, out.end.row) > bottom(column) + 1e-6) break;
        out.rows.push_back({&row, "", "", column.x, y, column.width});
        y += row.height;
        ++out.end.row;
        placed = true;
      }
      // No column begins with the space between two paragraphs.
      while (out.end.row < block.rows.size() && is_space(block.rows[out.end.row])) ++out.end.row;
      if (out.end.row < block.rows.size()) break;
      out.end = {out.end.block + 1, 0};
    }
    used += y - column.y;
    if (out.end.block >= blocks.size()) break;
  }
  out.fullness = total > 0 ? used / total : 1;
  return out;
}

Flow balanced_flow(const Drafting& d, const std::vector<Block>& blocks, FlowPlace begin,
                   const std::vector<PaperBox>& columns) {
  for (double share = 0.3; share < 1; share += 0.05) {
    std::vector<PaperBox> shorter = columns;
    for (PaperBox& column : shorter) column.height *= share;
    Flow out = flow(d, blocks, begin, shorter, false);
    if (out.end.block >= blocks.size()) return out;
  }
  return flow(d, blocks, begin, columns, true);
}

void draw_flow(SheetBuilder& out, const Drafting& d, const Flow& flow) {
  for (const PlacedRow& placed : flow.rows) {
    if (placed.row == nullptr) {
      Object object = heading(d, placed.heading_id, placed.heading, placed.width);
      move(object, placed.x, placed.y);
      out.add("blocks", std::move(object));
      continue;
    }
    Row row = *placed.row;
    if (row.draw) {
      std::set<std::string, std::less<>> legend;
      row.draw(row, legend);
      for (const std::string& key : legend) out.note(key);
    }
    for (Object& object : row.objects) {
      move(object, placed.x, placed.y);
      out.add(row.layer, std::move(object));
    }
    if (row.map) {
      MapFrame map = *row.map;
      map.box.x += placed.x;
      map.box.y += placed.y;
      for (MapFrame::Tie& corner : map.corners) corner.paper = corner.paper + PaperPoint{placed.x, placed.y};
      out.sheet.maps.push_back(std::move(map));
    }
  }
}

}  // namespace swingtie
