#include <png.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <vector>

#include "draw/draw.hpp"
#include "sheet/invented_lot.hpp"
#include "sheet/make_sheets.hpp"

using namespace swingtie;

namespace {

constexpr double picture_dpi = 60;

struct Picture {
  int width = 0, height = 0;
  std::vector<unsigned char> pixels;  ///< red, green, blue, row by row
};

Picture decoded(const std::string& bytes) {
  png_image image{};
  image.version = PNG_IMAGE_VERSION;
  Picture out;
  if (png_image_begin_read_from_memory(&image, bytes.data(), bytes.size()) == 0) return out;
  image.format = PNG_FORMAT_RGB;
  out.width = static_cast<int>(image.width);
  out.height = static_cast<int>(image.height);
  out.pixels.resize(PNG_IMAGE_SIZE(image));
  png_image_finish_read(&image, nullptr, out.pixels.data(), 0, nullptr);
  return out;
}

/// How far two pictures of one size are apart, in steps of 0 to 255.
struct Apart {
  double mean = 0;   ///< of all pixels and colours, absolute
  double patch = 0;  ///< of the mean colours of the worst patch of 10 × 10 pixels, which is 4 mm
};

// Another version of the font rasteriser moves grey from a pixel to its neighbour: the means of patches hardly
// notice. What is missing, moved or recoloured changes the mean of its patch.
Apart apart(const Picture& a, const Picture& b) {
  constexpr int patch = 10;
  Apart out;
  double sum = 0;
  for (std::size_t i = 0; i < a.pixels.size(); ++i) sum += std::abs(int(a.pixels[i]) - int(b.pixels[i]));
  out.mean = sum / static_cast<double>(std::max<std::size_t>(a.pixels.size(), 1));
  for (int top = 0; top + patch <= a.height; top += patch / 2) {
    for (int left = 0; left + patch <= a.width; left += patch / 2) {
      double difference[3] = {0, 0, 0};
      for (int y = top; y < top + patch; ++y) {
        for (int x = left; x < left + patch; ++x) {
          const std::size_t at = 3 * (static_cast<std::size_t>(y) * a.width + x);
          for (std::size_t c = 0; c < 3; ++c) difference[c] += int(a.pixels[at + c]) - int(b.pixels[at + c]);
        }
      }
      for (const double d : difference) out.patch = std::max(out.patch, std::abs(d) / (patch * patch));
    }
  }
  return out;
}

// Wider than what text set a third of a pixel aside changes, and narrower than what a mark left out does: the second
// test measures both.
constexpr double most_mean = 3, most_patch = 24;

bool alike(const Picture& a, const Picture& b) {
  if (a.width != b.width || a.height != b.height || a.pixels.empty()) return false;
  const Apart far = apart(a, b);
  return far.mean <= most_mean && far.patch <= most_patch;
}

struct Shown {
  const char* name;
  std::uint64_t seed;
  SheetKind kind;
  const char* style;
};
constexpr Shown shown[] = {{"dig", 4, SheetKind::dig, "colour"},
                           {"route", 23, SheetKind::route, "mono"},
                           {"boundary", 34, SheetKind::boundary, "high-contrast"}};

Sheet sheet_of(const Shown& s) {
  const InventedLot lot = invented_lot(s.seed);
  SheetOptions options;
  options.kind = s.kind;
  options.style = *built_in_style(s.style);
  return make_sheets(lot.placed, lot.findings, options).front();
}

}  // namespace

// Looked at by eye when they were accepted. SWINGTIE_ACCEPT=1 accepts what is drawn now.
TEST_CASE("a sheet of each kind and style looks as it did when it was looked at") {
  for (const Shown& s : shown) {
    const std::string path = std::string(SWINGTIE_SOURCE_DIR) + "/tests/draw/golden/" + s.name + ".png";
    const std::string now = write_png(sheet_of(s), picture_dpi);
    if (std::getenv("SWINGTIE_ACCEPT") != nullptr) std::ofstream(path, std::ios::binary) << now;
    std::ifstream in(path, std::ios::binary);
    const Picture accepted = decoded({std::istreambuf_iterator<char>(in), {}}), drawn = decoded(now);
    INFO(path << " is " << accepted.width << " by " << accepted.height << ", what is drawn now " << drawn.width
              << " by " << drawn.height);
    const bool same = alike(accepted, drawn);
    const auto beside = std::filesystem::temp_directory_path() / (std::string("swingtie-") + s.name + ".png");
    if (!same) std::ofstream(beside, std::ios::binary) << now;
    const Apart far = accepted.pixels.size() == drawn.pixels.size() ? apart(accepted, drawn) : Apart{255, 255};
    INFO("apart by " << far.mean << " in the mean, by " << far.patch << " in the worst patch; look at "
                     << beside.string() << ", then accept with SWINGTIE_ACCEPT=1");
    CHECK(same);
  }
}

// What the comparison of pictures is worth: it must see what a reader would miss, and overlook what no reader sees.
TEST_CASE("a picture without one of its marks is another picture, one with its text set a little aside is not") {
  const Sheet whole = sheet_of(shown[0]);
  const Picture picture = decoded(write_png(whole, picture_dpi));
  for (const std::string kind : {"house", "route", "dig-window", "tie", "north-arrow", "corridor"}) {
    Sheet lacking = whole;
    std::size_t gone = 0;
    for (Layer& layer : lacking.layers)
      gone += std::erase_if(layer.objects, [&](const Object& object) { return object.kind == kind; });
    INFO(kind);
    REQUIRE(gone > 0);
    CHECK(!alike(picture, decoded(write_png(lacking, picture_dpi))));
  }
  Sheet aside = whole;
  for (Layer& layer : aside.layers) {
    for (Object& object : layer.objects) {
      for (Mark& mark : object.marks) {
        if (auto* text = std::get_if<Text>(&mark)) text->at = {text->at.x + 0.12, text->at.y + 0.12};
      }
    }
  }
  const Apart far = apart(picture, decoded(write_png(aside, picture_dpi)));
  INFO("mean " << far.mean << ", worst patch " << far.patch);
  CHECK(far.mean > 0.1);
  CHECK(far.mean < most_mean);
  CHECK(far.patch < most_patch);
}
