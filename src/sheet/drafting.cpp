#include "sheet/drafting.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <cmath>
#include <numbers>

namespace swingtie {

Drafting start_drafting(const Placed& placed, const Findings& findings, const Style& style, Typesetter& type) {
  Drafting d{placed, findings, style, type, SheetKind::dig, {}, {}, {}, 1};
  for (std::size_t i = 0; i < findings.items.size(); ++i) {
    const ItemFinding& item = findings.items[i];
    // A bend or a change of pipe speaks for itself on the plan; a numbered item is something that was seen.
    if (!placed.runs[item.run].log[item.log].what.empty() || item.act != Act::none) d.item_order.push_back(i);
    d.log_order.push_back(i);
  }
  for (std::vector<std::size_t>* order : {&d.item_order, &d.log_order}) {
    std::stable_sort(order->begin(), order->end(), [&](std::size_t a, std::size_t b) {
      const ItemFinding &x = findings.items[a], &y = findings.items[b];
      return x.line != y.line ? x.line < y.line : x.station.metres < y.station.metres;
    });
  }
  d.item_numbers.assign(findings.items.size(), 0);
  for (std::size_t n = 0; n < d.item_order.size(); ++n) d.item_numbers[d.item_order[n]] = n + 1;
  return d;
}

SheetBuilder::SheetBuilder(double width, double height) {
  sheet.width = width;
  sheet.height = height;
  for (const auto& [id, title] :
       std::initializer_list<std::pair<const char*, const char*>>{{"tints", "Sides of the right-of-way"},
                                                                  {"base", "Lot, house and street"},
                                                                  {"band", "95 % band of the line"},
                                                                  {"trees", "Trees and root zones"},
                                                                  {"utilities", "Utilities and tolerance zones"},
                                                                  {"line", "Sewer line"},
                                                                  {"digging", "Dig windows"},
                                                                  {"ties", "Swing ties"},
                                                                  {"labels", "Labels"},
                                                                  {"insets", "Insets"},
                                                                  {"profile", "Profile"},
                                                                  {"blocks", "Tables and notes"},
                                                                  {"frame", "Border and title"}}) {
    sheet.layers.push_back({id, title, {}});
  }
}

Object& SheetBuilder::add(std::string_view layer, Object object) {
  const int use = ++used_ids_[object.id];
  if (use > 1) object.id += fmt::format("-{}", use);
  for (Layer& l : sheet.layers) {
    if (l.id == layer) return l.objects.emplace_back(std::move(object));
  }
  return sheet.layers.emplace_back(Layer{std::string(layer), std::string(layer), {}})
      .objects.emplace_back(std::move(object));
}

void SheetBuilder::add(std::string_view layer, std::string_view id, std::string_view kind, std::string_view title,
                       Role role, std::vector<Mark> marks, std::string_view link) {
  if (marks.empty()) return;
  Object object;
  object.id = id;
  object.kind = kind;
  object.title = title;
  object.link = link;
  object.role = role;
  object.marks = std::move(marks);
  add(layer, std::move(object));
}

std::string name_of(std::string_view text) {
  std::string out;
  for (const char c : text) {
    const bool good =
        (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' || c == '_';
    out += good ? c : '-';
  }
  if (out.empty() || !((out[0] >= 'a' && out[0] <= 'z') || (out[0] >= 'A' && out[0] <= 'Z') || out[0] == '_'))
    out = "n" + out;
  return out;
}

Pen pen_of(const Look& look) {
  return {look.line.value_or(Colour{}), look.width, look.dash, look.dash.empty()};
}

Path drawn(Path path, const Look& look) {
  if (look.line) path.pen = pen_of(look);
  if (look.fill) path.fill = Fill{*look.fill, look.opacity};
  return path;
}

std::vector<Mark> area_marks(const std::vector<Polyline>& rings, const Look& look, const PaperBox& clip) {
  std::vector<Polyline> inside;
  for (const Polyline& ring : rings) {
    Polyline cut = clip_ring(ring, clip);
    if (cut.size() >= 3) inside.push_back(std::move(cut));
  }
  std::vector<Mark> marks;
  if (inside.empty()) return marks;
  if (look.fill) {
    Path fill;
    for (const Polyline& ring : inside) fill.add_polyline(ring, true);
    fill.fill = Fill{*look.fill, look.opacity};
    marks.emplace_back(std::move(fill));
  }
  if (look.hatch) {
    Path lines;
    for (const auto& [a, b] : hatch(inside, look.hatch_spacing, look.hatch_angle_deg * std::numbers::pi / 180)) {
      lines.move_to(a).line_to(b);
    }
    lines.pen = Pen{*look.hatch, look.hatch_width, {}, false};
    if (!lines.points.empty()) marks.emplace_back(std::move(lines));
  }
  return marks;
}

std::vector<Mark> line_marks(const Polyline& line, const Look& look, const PaperBox& clip, bool closed) {
  std::vector<Mark> marks;
  if (!look.line || line.size() < 2) return marks;
  Polyline course = line;
  if (closed) course.push_back(course.front());
  Path path;
  const std::vector<Polyline> pieces = clip_line(course, clip);
  const bool whole = closed && pieces.size() == 1 && pieces.front().size() == course.size();
  for (Polyline piece : pieces) {
    if (whole) piece.pop_back();
    path.add_polyline(piece, whole);
  }
  path.pen = pen_of(look);
  if (!path.points.empty()) marks.emplace_back(std::move(path));
  return marks;
}

Colour legible(Colour colour) {
  const auto linear = [](std::uint8_t channel) {
    const double c = channel / 255.0;
    return c <= 0.03928 ? c / 12.92 : std::pow((c + 0.055) / 1.055, 2.4);
  };
  const auto darker = [](std::uint8_t channel) { return static_cast<std::uint8_t>(channel * 0.95); };
  while (1.05 / (0.2126 * linear(colour.red) + 0.7152 * linear(colour.green) + 0.0722 * linear(colour.blue) + 0.05) <
         4.5)
    colour = {darker(colour.red), darker(colour.green), darker(colour.blue)};
  return colour;
}

Text set_at(Text text, PaperPoint baseline, double align) {
  text.at = {baseline.x - align * text.width, baseline.y};
  return text;
}

namespace {

int decimals(const Drafting& d) {
  return is_feet(d.placed.unit) ? 1 : 2;
}
double in_unit(const Drafting& d, double metres) {
  return metres / metres_per(d.placed.unit);
}

/// Rounded without a negative zero.
std::string rounded(double value, int digits) {
  const double scale = std::pow(10, digits);
  const double r = std::round(value * scale) / scale;
  return fmt::format("{:.{}f}", r == 0 ? 0.0 : r, digits);
}

}  // namespace

std::string unit_name(const Drafting& d) {
  return is_feet(d.placed.unit) ? "ft" : "m";
}
std::string bare(const Drafting& d, double metres) {
  return rounded(in_unit(d, metres), decimals(d));
}
std::string feet_or_metres(const Drafting& d, double metres) {
  return bare(d, metres) + " " + unit_name(d);
}
std::string taped(const Drafting& d, double metres) {
  return format_length(metres, d.placed.unit, LengthStyle::tape);
}
std::string bare_range(const Drafting& d, const Interval& i) {
  return bare(d, i.low) + "–" + bare(d, i.high);
}
std::string range(const Drafting& d, const Interval& i) {
  return bare_range(d, i) + " " + unit_name(d);
}

std::string plus_minus(const Drafting& d, double metres) {
  // Rounded up: an inch or a centimetre too many is safer than one too few, and nothing is known without error.
  if (!is_feet(d.placed.unit)) return fmt::format("± {:.2f} m", std::max(std::ceil(100 * metres - 1e-6), 1.0) / 100);
  const double inches = std::ceil(metres / metres_per_inch - 1e-6);
  if (inches < 24) return fmt::format("± {:.0f}\"", std::max(inches, 1.0));
  return "± " + rounded(in_unit(d, metres), 1) + " ft";
}

std::string give_or_take(const Drafting& d, const Interval& i) {
  return plus_minus(d, (i.high - i.low) / 2);
}

std::string percentage(double p) {
  if (p > 0.999) return "over 99.9 %";
  if (p < 0.001) return "under 0.1 %";
  return p > 0.98 || p < 0.02 ? fmt::format("{:.1f} %", 100 * p) : fmt::format("{:.0f} %", 100 * p);
}

std::string short_percentage(double p) {
  return p > 0.999 ? "> 99.9 %" : p < 0.001 ? "< 0.1 %" : percentage(p);
}

std::string hundredths_of(double ratio) {
  return rounded(100 * ratio, 1);
}

std::string station_text(const Drafting& d, Station station) {
  const bool feet = is_feet(d.placed.unit);
  const double hundred = feet ? 100 : 1000;
  const double scale = feet ? 10 : 100;
  const double value = std::round(in_unit(d, station.metres) * scale) / scale;
  const double whole = std::floor(value / hundred);
  return feet ? fmt::format("{:.0f}+{:04.1f}", whole, value - whole * hundred)
              : fmt::format("{:.0f}+{:06.2f}", whole, value - whole * hundred);
}

std::string counter_text(const Drafting& d, CounterReading at) {
  std::string digits = rounded(in_unit(d, at.metres), 2);
  while (digits.back() == '0') digits.pop_back();
  if (digits.back() == '.') digits.pop_back();
  return digits + " " + unit_name(d);
}

std::string kind_words(FeatureKind kind) {
  if (kind == FeatureKind::main) return "city main";
  if (kind == FeatureKind::comms) return "communication";
  return std::string(spelled(kind));
}

namespace {

/// Whether an id is a name that one would say, such as `pecan` or `garden-wall`, and not short hand, such as `t2`.
bool can_be_said(std::string_view id) {
  if (id.size() < 3 || id.find_first_of("aeiouyAEIOUY") == std::string_view::npos) return false;
  return std::all_of(id.begin(), id.end(), [](unsigned char c) { return std::isalpha(c) != 0 || c == '-'; });
}

}  // namespace

std::string feature_name(const Placed& placed, std::size_t feature) {
  const Feature& f = placed.features.at(feature);
  const std::string kind = kind_words(f.kind);
  if (!f.label.empty() && f.label != f.id) return f.label;
  // The words call it by its id, so that the plan has to, too; `water` is a water line and `drive` a driveway.
  const bool by_kind =
      f.kind == FeatureKind::lot || f.kind == FeatureKind::right_of_way || f.kind == FeatureKind::main;
  const bool short_for_kind = spelled(f.kind).starts_with(f.id);
  return by_kind || short_for_kind || !can_be_said(f.id) ? kind : f.id;
}

std::string limit_name(const Placed& placed, std::size_t feature) {
  const FeatureKind kind = placed.features.at(feature).kind;
  const std::string name = feature_name(placed, feature);
  const bool limit = kind == FeatureKind::lot || kind == FeatureKind::right_of_way;
  return limit && name == kind_words(kind) ? name + " line" : name;
}

}  // namespace swingtie
