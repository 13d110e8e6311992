#include "sheet/scales.hpp"

#include <fmt/format.h>

#include <array>
#include <cmath>
#include <cstdlib>

#include "sheet/make_sheets.hpp"

namespace swingtie {

std::vector<double> plan_scales(LengthUnit unit) {
  if (is_feet(unit)) return {60, 120, 240, 360, 480, 600, 720, 1200, 2400, 3600, 4800, 6000};
  return {50, 100, 200, 250, 300, 400, 500, 1000, 2000, 5000};
}

std::vector<double> inset_scales(LengthUnit unit) {
  if (is_feet(unit)) return {24, 36, 48, 60, 72, 120};
  return {20, 25, 50, 100};
}

double scale_to_fit(LengthUnit unit, double metres_wide, double metres_high, double mm_wide, double mm_high) {
  const std::vector<double> scales = plan_scales(unit);
  // A box cut to an extent at a scale holds it at that scale, whichever way the figures were rounded.
  constexpr double rounding = 1e-6;
  for (const double s : scales) {
    if (metres_wide * 1000 / s <= mm_wide + rounding && metres_high * 1000 / s <= mm_high + rounding) return s;
  }
  return scales.back();
}

std::string format_scale(double denominator, LengthUnit unit) {
  if (!is_feet(unit)) return fmt::format("1:{:g}", denominator);
  const double feet = denominator / 12;
  return std::abs(feet - std::round(feet)) < 1e-9 ? fmt::format("1\" = {:.0f}'", feet)
                                                  : fmt::format("1:{:g}", denominator);
}

Parsed<double> parse_scale(std::string_view text) {
  const auto fault = [&](std::string message) {
    Parsed<double> out;
    out.fault = {0, text.size(), std::move(message), "1:240, 240 or 1\"=20'"};
    return out;
  };
  const auto number_of = [](std::string part, double& value) {
    char* end = nullptr;
    while (!part.empty() && part.front() == ' ') part.erase(0, 1);
    while (!part.empty() && part.back() == ' ') part.pop_back();
    if (part.empty()) return false;
    for (const char c : part) {
      if (!((c >= '0' && c <= '9') || c == '.')) return false;
    }
    value = std::strtod(part.c_str(), &end);
    return *end == '\0' && std::isfinite(value);
  };
  double denominator = 0;
  const std::size_t equals = text.find('='), colon = text.find(':');
  if (equals != std::string_view::npos) {
    const auto inches = parse_length(text.substr(0, equals), LengthUnit::foot);
    const auto feet = parse_length(text.substr(equals + 1), LengthUnit::foot);
    if (!inches.value || !feet.value || !(*inches.value > 0)) return fault("not a scale");
    denominator = *feet.value / *inches.value;
  } else if (colon != std::string_view::npos) {
    double one = 0;
    if (!number_of(std::string(text.substr(0, colon)), one) ||
        !number_of(std::string(text.substr(colon + 1)), denominator) || one <= 0) {
      return fault("not a scale");
    }
    denominator /= one;
  } else if (!number_of(std::string(text), denominator)) {
    return fault("not a scale");
  }
  if (!(denominator >= 10 && denominator <= 10000)) return fault("a plan's scale lies between 1:10 and 1:10000");
  Parsed<double> out;
  out.value = denominator;
  return out;
}

namespace {

struct KindName {
  SheetKind kind;
  std::string_view name;
};
constexpr std::array kinds = {KindName{SheetKind::dig, "dig"}, KindName{SheetKind::route, "route"},
                              KindName{SheetKind::boundary, "boundary"}, KindName{SheetKind::full, "full"}};

struct PaperName {
  Paper paper;
  std::string_view name;
};
constexpr std::array papers = {PaperName{Paper::letter, "letter"}, PaperName{Paper::tabloid, "tabloid"},
                               PaperName{Paper::ansi_c, "ansi-c"}, PaperName{Paper::ansi_d, "ansi-d"},
                               PaperName{Paper::a4, "a4"},         PaperName{Paper::a3, "a3"},
                               PaperName{Paper::a2, "a2"}};

std::string lower(std::string_view text) {
  std::string out(text);
  for (char& c : out) {
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  }
  return out;
}

}  // namespace

std::optional<SheetKind> sheet_kind(std::string_view name) {
  for (const KindName& k : kinds) {
    if (k.name == lower(name)) return k.kind;
  }
  return std::nullopt;
}

std::string_view sheet_kind_name(SheetKind kind) {
  return kinds[static_cast<std::size_t>(kind)].name;
}

std::optional<Paper> paper(std::string_view name) {
  for (const PaperName& p : papers) {
    if (p.name == lower(name)) return p.paper;
  }
  return std::nullopt;
}

std::string_view paper_name(Paper paper) {
  return papers[static_cast<std::size_t>(paper)].name;
}

std::vector<std::string> sheet_kind_names() {
  std::vector<std::string> out;
  for (const KindName& k : kinds) out.emplace_back(k.name);
  return out;
}

std::vector<std::string> paper_names() {
  std::vector<std::string> out;
  for (const PaperName& p : papers) out.emplace_back(p.name);
  return out;
}

}  // namespace swingtie
