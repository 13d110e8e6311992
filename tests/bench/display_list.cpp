// Writes the display list of a job's first sheet as plain text, for cairo_alone to draw. usage: bench_display_list
// JOB OUT

#include <fmt/format.h>

#include <filesystem>
#include <fstream>
#include <iterator>

#include "findings/findings.hpp"
#include "job/job.hpp"
#include "sheet/embedded.hpp"
#include "sheet/make_sheets.hpp"

namespace {

using namespace swingtie;

void write(std::ostream& out, const Path& path) {
  out << "path " << path.pen.has_value() << ' ' << path.fill.has_value() << ' ' << path.verbs.size() << '\n';
  if (path.pen) {
    const Pen& pen = *path.pen;
    out << fmt::format("{} {} {} {} {} {}", pen.colour.red, pen.colour.green, pen.colour.blue, pen.width,
                       int{pen.round}, pen.dash.size());
    for (const double dash : pen.dash) out << ' ' << dash;
    out << '\n';
  }
  if (path.fill)
    out << fmt::format("{} {} {} {}\n", path.fill->colour.red, path.fill->colour.green, path.fill->colour.blue,
                       path.fill->opacity);
  auto point = path.points.begin();
  for (const Path::Verb verb : path.verbs) {
    const int points = verb == Path::Verb::close ? 0 : verb == Path::Verb::cubic ? 3 : 1;
    out << static_cast<int>(verb);
    for (int i = 0; i < points; ++i, ++point) out << fmt::format(" {:.4f} {:.4f}", point->x, point->y);
    out << '\n';
  }
}

void write(std::ostream& out, const Text& text) {
  out << fmt::format("text {} {} {} {:.4f} {:.4f} {:.6f} {:.4f} {}\n", text.colour.red, text.colour.green,
                     text.colour.blue, text.at.x, text.at.y, text.rotation, text.size, text.runs.size());
  for (const GlyphRun& run : text.runs) {
    out << run.font << ' ' << run.glyphs.size();
    for (const Glyph& glyph : run.glyphs) out << fmt::format(" {} {:.4f} {:.4f}", glyph.id, glyph.x, glyph.y);
    out << '\n';
  }
}

void write(std::ostream&, const Image&) {}

/// The path of the font's file; one of ours is written beside the list.
std::string font_file(const Font& font, const std::string& beside) {
  if (font.embedded.empty()) return font.file;
  const auto bytes = embedded_font(font.embedded);
  std::string path = beside + "." + font.embedded;
  std::ofstream(path, std::ios::binary)
      .write(reinterpret_cast<const char*>(bytes.data()), static_cast<std::streamsize>(bytes.size()));
  return path;
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 3) {
    fmt::print(stderr, "usage: bench_display_list JOB OUT\n");
    return 2;
  }
  std::ifstream file(argv[1]);
  const std::string yaml{std::istreambuf_iterator<char>(file), {}};
  const auto job = read_job(yaml);
  if (!job.value) return 2;
  const auto placed = place(*job.value, std::filesystem::path(argv[1]).parent_path().string());
  if (!placed.value) return 2;
  const Sheet sheet = make_sheets(*placed.value, find(*placed.value, solve(*placed.value)), {}).front();

  std::ofstream out(argv[2]);
  out << fmt::format("{} {} {}\n", sheet.width, sheet.height, sheet.fonts.size());
  for (const Font& font : sheet.fonts) out << font_file(font, argv[2]) << ' ' << font.face_index << '\n';
  int marks = 0;
  for (const Layer& layer : sheet.layers)
    for (const Object& object : layer.objects)
      for (const Mark& mark : object.marks) {
        std::visit([&](const auto& m) { write(out, m); }, mark);
        ++marks;
      }
  fmt::print("{} marks\n", marks);
}
