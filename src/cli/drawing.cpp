#include "cli/drawing.hpp"

#include <fmt/format.h>

#include <charconv>
#include <fstream>
#include <iterator>

#include "cli/terminal.hpp"
#include "draw/draw.hpp"

namespace swingtie {
namespace {

Style style_named(const std::string& name) {
  if (auto style = built_in_style(name)) return *style;
  std::ifstream file(name, std::ios::binary);
  if (!file) {
    const auto names = built_in_style_names();
    const auto near = nearest_name(name, names);
    throw Usage{fmt::format("there is no style `{}`: expected {} or a style file", name, fmt::join(names, ", ")),
                near ? fmt::format("did you mean `{}`?", *near) : std::string{}};
  }
  const Source source{name, name, ".", {std::istreambuf_iterator<char>(file), {}}};
  Checked<Style> style = read_style(source.text);
  if (!style.value) throw JobWrong{rendered(style.diagnostics, source, colour_on_errors())};
  return std::move(*style.value);
}

std::string described(const std::optional<Colour>& colour) {
  return colour ? fmt::format("{:02x}{:02x}{:02x}", colour->red, colour->green, colour->blue) : std::string("-");
}

}  // namespace

std::string described(const Style& style) {
  std::string text = style.name;
  for (const auto& [name, look] : style.looks)
    text += fmt::format("|{} {} {} {} {} {} {} {} {} {}", name, described(look.line), look.width,
                        fmt::join(look.dash, ","), described(look.fill), look.opacity, described(look.hatch),
                        look.hatch_spacing, look.hatch_angle_deg, look.hatch_width);
  for (const auto& [name, type] : style.types)
    text += fmt::format("|{} {} {} {}", name, type.face, type.size_pt, described(type.colour));
  return text;
}

std::vector<Flag> drawing_flags() {
  return {
      {.name = "--sheet",
       .letter = 's',
       .value = "KIND",
       .brief = "whom it is for: dig, route, boundary or full (default dig)",
       .more = "dig for the excavator, route for the buyer, boundary for the city, full for all three.",
       .choices = sheet_kind_names()},
      {.name = "--scale", .value = "SCALE", .brief = "1:240, or 1\"=20' (default: the largest that fits)"},
      {.name = "--paper",
       .letter = 'p',
       .value = "PAPER",
       .brief = "letter, tabloid, ansi-c, ansi-d, a4, a3 or a2",
       .choices = paper_names()},
      {.name = "--style", .value = "STYLE", .brief = "colour, mono, high-contrast, or a style file"},
      {.name = "--dpi", .value = "N", .brief = "pixels per inch of a PNG (default 150)", .more = "From 36 to 1200."},
  };
}

DrawingWish drawing_wish(const Arguments& arguments) {
  DrawingWish wish;
  if (const auto kind = arguments.value("--sheet")) wish.options.kind = sheet_kind(*kind).value();
  if (const auto name = arguments.value("--paper")) wish.options.paper = paper(*name).value();
  if (const auto style = arguments.value("--style")) wish.options.style = style_named(*style);
  if (const auto scale = arguments.value("--scale")) {
    const Parsed<double> denominator = parse_scale(*scale);
    if (!denominator.value)
      throw Usage{fmt::format("`{}` is not a scale: {}", *scale, denominator.fault.message),
                  "write 1:240 or 1\"=20'"};
    wish.options.scale_denominator = denominator.value;
  }
  if (const auto text = arguments.value("--dpi")) {
    const auto [end, error] = std::from_chars(text->data(), text->data() + text->size(), wish.dpi);
    if (error != std::errc{} || end != text->data() + text->size() || !(wish.dpi >= 36 && wish.dpi <= 1200))
      throw Usage{fmt::format("`{}` is not a value of `--dpi`", *text), "write a number from 36 to 1200"};
  }
  return wish;
}

const std::vector<std::string>& drawing_endings() {
  static const std::vector<std::string> endings{"pdf", "svg", "png", "html"};
  return endings;
}

std::vector<std::string> drawn(const std::string& format, const Worked& worked, DrawingWish wish,
                               std::vector<std::string>& remarks) {
  wish.options.folder = worked.source.folder;
  const std::vector<Sheet> sheets = make_sheets(worked.placed, worked.findings, wish.options);
  for (const Sheet& sheet : sheets) remarks.insert(remarks.end(), sheet.remarks.begin(), sheet.remarks.end());
  if (format == "pdf") return {write_pdf(sheets)};
  if (format == "html") return {write_html(sheets)};
  std::vector<std::string> pictures;
  for (const Sheet& sheet : sheets)
    pictures.push_back(format == "svg" ? write_svg(sheet) : write_png(sheet, wish.dpi));
  return pictures;
}

std::string numbered_path(const std::string& path, std::size_t number) {
  if (number == 1) return path;
  const std::size_t dot = path.rfind('.');
  return fmt::format("{}-{}{}", path.substr(0, dot), number, path.substr(dot));
}

}  // namespace swingtie
