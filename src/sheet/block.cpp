#include "sheet/block.hpp"

#include <fmt/format.h>
#include <qrencode.h>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace swingtie {

namespace {

constexpr std::size_t kept_whole = 7;  ///< lines of a paragraph that is not broken

}  // namespace

double leading(const Drafting& d, std::string_view type) {
  return 1.32 * d.em(type);
}
double heading_height(const Drafting& d) {
  return 1.5 * d.em("heading") + 1.2;
}

Row text_row(const Drafting& d, const std::string& id, const std::string& words, std::string_view type,
             double indent) {
  Row row;
  row.height = leading(d, type);
  Object object;
  object.id = id;
  object.kind = "text";
  object.role = Role::block;
  object.marks = {set_at(d.text(words, type), {indent, 0.95 * d.em(type)})};
  row.objects = {std::move(object)};
  return row;
}

std::vector<Row> paragraph(const Drafting& d, const std::string& id, const std::string& words, std::string_view type,
                           double width, double indent) {
  std::vector<Row> rows;
  for (const std::string& line : d.type.wrap(words, d.type_look(type), width - indent)) {
    rows.push_back(text_row(d, id, line, type, indent));
  }
  // A short one stays whole; of a long one at least three lines stand at the head or foot of a column.
  const std::size_t count = rows.size();
  for (std::size_t i = 0; i + 1 < count; ++i) rows[i].keep_with_next = count <= kept_whole || i < 2 || i + 3 >= count;
  return rows;
}

std::vector<Row> list(const Drafting& d, const std::string& id, const std::vector<std::string>& words,
                      std::string_view type, double width) {
  std::vector<Row> rows;
  for (const std::string& entry : words) {
    std::vector<Row> lines = paragraph(d, id, entry, type, width, 3.0);
    if (lines.empty()) continue;
    Path dash;
    const double y = 0.62 * d.em(type);
    dash.move_to({0.6, y}).line_to({2.0, y});
    dash.pen = Pen{d.look("rule").line.value_or(Colour{}), 0.3, {}, false};
    lines.front().objects.front().marks.emplace_back(std::move(dash));
    for (Row& row : lines) rows.push_back(std::move(row));
    rows.back().height += 0.5;
  }
  return rows;
}

Row space_row(double height) {
  Row row;
  row.height = height;
  return row;
}

namespace {

constexpr double cell_padding = 1.1;

/// Width of the longest word, which is the least a cell can do with.
double longest_word(const Drafting& d, const std::string& words, const TypeLook& look) {
  double out = 0;
  for (std::size_t i = 0; i < words.size();) {
    const std::size_t end = std::min(words.find(' ', i), words.size());
    out = std::max(out, d.type.width(words.substr(i, end - i), look));
    i = end + 1;
  }
  return out;
}

/// Width of a figure from its decimal point on.
double after_point(const Drafting& d, const std::string& figure, const TypeLook& look) {
  const std::size_t point = figure.find('.');
  return point == std::string::npos ? 0 : d.type.width(figure.substr(point), look);
}

/// The widest of a column's figures from the point on; 0 for columns that are not set by it.
std::vector<double> widest_after_point(const Drafting& d, const std::vector<Column>& columns,
                                       const std::vector<Cells>& rows) {
  std::vector<double> out(columns.size(), 0);
  for (std::size_t c = 0; c < columns.size(); ++c) {
    for (const Cells& row : rows) {
      if (columns[c].align == Align::decimal && !row.group)
        out[c] = std::max(out[c], after_point(d, row.cells[c], d.type_look(columns[c].type)));
    }
  }
  return out;
}

/// @param after  widths after the decimal points
struct Squeeze {
  bool cramped = false;  ///< entries must wrap
  bool broken = false;   ///< words must break
};

/// @param squeeze  what becomes of the entries
std::vector<double> column_widths(const Drafting& d, double width, const std::vector<Column>& columns,
                                  const std::vector<Cells>& rows, const std::vector<double>& after,
                                  Squeeze& squeeze) {
  // Of each column the least, so that no word is broken, and what keeps every entry on one line.
  std::vector<double> least(columns.size(), 0), whole(columns.size(), 0);
  double sum_least = 0, sum_whole = 0, wrapping = 0;
  for (std::size_t c = 0; c < columns.size(); ++c) {
    const TypeLook& look = d.type_look(columns[c].type);
    // A head may wrap between words.
    least[c] = whole[c] = longest_word(d, columns[c].head, d.type_look("table-head"));
    for (const Cells& row : rows) {
      if (row.group) continue;
      const double aside = columns[c].align == Align::decimal ? after[c] - after_point(d, row.cells[c], look) : 0;
      least[c] = std::max(least[c], longest_word(d, row.cells[c], look) + aside);
      whole[c] = std::max(whole[c], d.type.width(row.cells[c], look) + aside);
    }
    least[c] += 2 * cell_padding;
    whole[c] += 2 * cell_padding;
    if (columns[c].wraps) {
      ++wrapping;
      least[c] = std::min(least[c], 0.5 * width);
      whole[c] = std::max(least[c], std::min(whole[c], 15.0));
    }
    sum_least += least[c];
    sum_whole += whole[c];
  }
  squeeze = {sum_whole > width, sum_least > width + 0.01};
  std::vector<double> out = whole;
  if (sum_whole <= width) {
    const double rest = width - sum_whole;
    for (std::size_t c = 0; c < columns.size(); ++c) {
      if (wrapping == 0) out[c] += rest / static_cast<double>(columns.size());
      if (columns[c].wraps) out[c] += rest / wrapping;
    }
  } else if (sum_least < width) {
    // Too narrow for every entry on one line: the columns that can wrap between words give way in proportion.
    const double share = (width - sum_least) / (sum_whole - sum_least);
    for (std::size_t c = 0; c < columns.size(); ++c) out[c] = least[c] + share * (whole[c] - least[c]);
  } else {
    for (std::size_t c = 0; c < columns.size(); ++c) out[c] = least[c] * width / sum_least;
  }
  return out;
}

Row table_row(const Drafting& d, const std::vector<double>& widths, const std::vector<Column>& columns,
              const std::vector<std::string>& cells, const std::vector<double>& after, bool head) {
  Row row;
  std::size_t most = 1;
  std::vector<std::vector<std::string>> lines;
  for (std::size_t c = 0; c < columns.size(); ++c) {
    const TypeLook& look = d.type_look(head ? "table-head" : columns[c].type);
    lines.push_back(d.type.wrap(cells[c], look, widths[c] - 2 * cell_padding + 0.01));
    most = std::max(most, lines.back().size());
  }
  const double step = leading(d, head ? "table-head" : "table");
  row.height = static_cast<double>(most) * step + 0.9;
  Object object;
  object.kind = head ? "table-head" : "table-row";
  object.role = Role::block;
  double x = 0;
  for (std::size_t c = 0; c < columns.size(); ++c) {
    const TypeLook& look = d.type_look(head ? "table-head" : columns[c].type);
    const double em = look.size_pt * mm_per_point;
    // Heads sit at the foot of their cells, entries at the head of theirs.
    const double top = head ? (static_cast<double>(most - lines[c].size())) * step : 0;
    for (std::size_t k = 0; k < lines[c].size(); ++k) {
      const double y = 0.45 + top + static_cast<double>(k) * step + 0.95 * em;
      const Align align = columns[c].align;
      const double share = align == Align::left ? 0 : align == Align::centre ? 0.5 : 1;
      const double aside = align == Align::decimal && !head ? after[c] - after_point(d, lines[c][k], look) : 0;
      object.marks.emplace_back(set_at(d.type.set(lines[c][k], look),
                                       {x + cell_padding + share * (widths[c] - 2 * cell_padding) - aside, y},
                                       share));
    }
    x += widths[c];
  }
  row.objects.push_back(std::move(object));
  return row;
}

}  // namespace

void set_table(const Drafting& d, Block& block, double width, const std::vector<Column>& columns,
               const std::vector<Cells>& rows) {
  if (rows.empty()) return;
  Squeeze squeeze;
  const std::vector<double> after = widest_after_point(d, columns, rows);
  const std::vector<double> widths = column_widths(d, width, columns, rows, after, squeeze);
  block.cramped = block.cramped || squeeze.cramped;
  block.broken = block.broken || squeeze.broken;
  std::vector<std::string> heads;
  for (const Column& column : columns) heads.push_back(column.head);
  Row head = table_row(d, widths, columns, heads, after, true);
  head.keep_with_next = true;
  head.objects.front().id = block.id + "-head";
  Path rule;
  rule.move_to({0, head.height}).line_to({width, head.height});
  rule.pen = pen_of(d.look("rule"));
  head.objects.front().marks.emplace_back(std::move(rule));
  block.repeated = {head};
  block.rows.push_back(std::move(head));
  bool striped = false;
  for (std::size_t r = 0; r < rows.size(); ++r) {
    const bool group = rows[r].group;
    Row row = group ? table_row(d, {width}, {{"", Align::left, true, "table-strong"}}, rows[r].cells, {0}, false)
                    : table_row(d, widths, columns, rows[r].cells, after, false);
    row.keep_with_next = group;
    Object& object = row.objects.front();
    object.id = rows[r].id.empty() ? fmt::format("{}-{}", block.id, r + 1) : rows[r].id;
    object.title = rows[r].title;
    object.link = rows[r].link;
    striped = !group && r > 0 && !rows[r - 1].group && !striped;
    if (striped) {
      Path stripe;
      stripe.add_box({0, 0, width, row.height});
      stripe.fill = Fill{*d.look("stripe").fill, 1};
      object.marks.insert(object.marks.begin(), std::move(stripe));
    }
    Path rule_below;
    rule_below.move_to({0, row.height}).line_to({width, row.height});
    rule_below.pen = pen_of(d.look("hairline"));
    object.marks.emplace_back(std::move(rule_below));
    block.rows.push_back(std::move(row));
  }
}

namespace {

constexpr double arc_radius = 2.6;  ///< at the end of a heading's rule

}  // namespace

double heading_room(double width) {
  return width - arc_radius - 1;
}

Object heading(const Drafting& d, const std::string& id, const std::string& words, double width) {
  Object object;
  object.id = id;
  object.kind = "heading";
  object.role = Role::block;
  const double em = d.em("heading"), y = heading_height(d) - 1.0;
  const Pen pen = pen_of(d.look("rule"));
  constexpr double radius = arc_radius;
  const std::string shown = d.type.shortened(words, d.type_look("heading"), heading_room(width));
  Text text = set_at(d.text(shown, "heading"), {0, y - 0.32 * em});
  Path rule;
  rule.move_to({0, y}).line_to({width, y});
  rule.pen = pen;
  // The rule ends in an arc, as if a tape were swung from it.
  Path arc;
  for (int i = 0; i <= 8; ++i) {
    const double t = i * std::numbers::pi / 2 / 8 * 0.8;
    const PaperPoint p{width - radius + radius * std::cos(t), y - radius * std::sin(t)};
    if (i == 0) {
      arc.move_to(p);
    } else {
      arc.line_to(p);
    }
  }
  arc.pen = pen;
  object.marks = {std::move(text), std::move(rule), std::move(arc)};
  return object;
}

void move(Object& object, double dx, double dy) {
  for (Mark& mark : object.marks) {
    if (auto* path = std::get_if<Path>(&mark)) {
      for (PaperPoint& p : path->points) p = {p.x + dx, p.y + dy};
    } else if (auto* text = std::get_if<Text>(&mark)) {
      text->at = {text->at.x + dx, text->at.y + dy};
    } else {
      PaperBox& box = std::get<Image>(mark).box;
      box.x += dx;
      box.y += dy;
    }
  }
}

std::vector<Mark> qr_code(std::string_view text, const PaperBox& square, Colour ink) {
  QRcode* code = QRcode_encodeData(static_cast<int>(text.size()), reinterpret_cast<const unsigned char*>(text.data()),
                                   0, QR_ECLEVEL_M);
  if (code == nullptr) return {};
  // Four modules of quiet zone on each side belong to the symbol.
  const double module = square.width / (code->width + 8);
  Path path;
  for (int y = 0; y < code->width; ++y) {
    for (int x = 0; x < code->width;) {
      int run = 0;
      while (x + run < code->width && (code->data[y * code->width + x + run] & 1) != 0) ++run;
      if (run > 0) path.add_box({square.x + (4 + x) * module, square.y + (4 + y) * module, run * module, module});
      x += std::max(run, 1);
    }
  }
  QRcode_free(code);
  path.fill = Fill{ink, 1};
  return {std::move(path)};
}

}  // namespace swingtie
