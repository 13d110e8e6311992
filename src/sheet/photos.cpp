#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <filesystem>
#include <fstream>
#include <optional>
#include <sstream>

#include "sheet/tables.hpp"

namespace swingtie {
namespace {

constexpr std::size_t largest_photo = 40u << 20;
constexpr int largest_side = 20000;

std::uint32_t big_endian(const std::string& bytes, std::size_t at, std::size_t count) {
  std::uint32_t value = 0;
  for (std::size_t i = 0; i < count; ++i) value = value << 8 | static_cast<unsigned char>(bytes[at + i]);
  return value;
}

/// Format and size of a picture from its own head: ISO/IEC 15948 (PNG) and ITU-T T.81 (JPEG).
std::optional<Image> picture_of(std::string bytes) {
  Image image;
  if (bytes.size() > 33 && bytes.compare(0, 8, "\x89PNG\r\n\x1a\n") == 0) {
    image.format = Image::Format::png;
    image.pixels_wide = static_cast<int>(big_endian(bytes, 16, 4));
    image.pixels_high = static_cast<int>(big_endian(bytes, 20, 4));
  } else if (bytes.size() > 4 && bytes.compare(0, 3, "\xff\xd8\xff") == 0) {
    image.format = Image::Format::jpeg;
    std::size_t at = 2;
    while (at + 9 < bytes.size() && static_cast<unsigned char>(bytes[at]) == 0xff) {
      const auto marker = static_cast<unsigned char>(bytes[at + 1]);
      // A frame header says the size; the tables between them (C4, C8, CC) are not frames.
      if (marker >= 0xc0 && marker <= 0xcf && marker != 0xc4 && marker != 0xc8 && marker != 0xcc) {
        image.pixels_high = static_cast<int>(big_endian(bytes, at + 5, 2));
        image.pixels_wide = static_cast<int>(big_endian(bytes, at + 7, 2));
        break;
      }
      at += marker == 0xff ? 1 : 2 + big_endian(bytes, at + 2, 2);
    }
  }
  if (image.pixels_wide < 1 || image.pixels_high < 1 || image.pixels_wide > largest_side ||
      image.pixels_high > largest_side)
    return std::nullopt;
  image.bytes = std::make_shared<const std::string>(std::move(bytes));
  return image;
}

struct Photo {
  std::string file, caption, link;
  Image image;
};

}  // namespace

BlockMaker photos_block(const Drafting& d, const FileFence& files, std::vector<std::string>& remarks) {
  std::vector<Photo> photos;
  const auto take = [&](const std::string& file, std::string caption, std::string link) {
    if (file.empty()) return;
    for (const Photo& p : photos) {
      if (p.file == file) return;
    }
    const auto path = files.path(file);
    if (!path) {
      remarks.push_back(fmt::format("the photo `{}` lies outside the folder of the jobs", file));
      return;
    }
    // A named pipe would hold the program until somebody writes to it.
    std::error_code failed;
    std::ifstream in;
    if (std::filesystem::is_regular_file(*path, failed)) in.open(*path, std::ios::binary | std::ios::ate);
    if (!in.is_open() || in.tellg() < 0 || static_cast<std::size_t>(in.tellg()) > largest_photo) {
      remarks.push_back(
          fmt::format("the photo `{}` {}", file, in.is_open() ? "is larger than 40 MiB" : "cannot be opened"));
      return;
    }
    std::string bytes(static_cast<std::size_t>(in.tellg()), '\0');
    in.seekg(0);
    in.read(bytes.data(), static_cast<std::streamsize>(bytes.size()));
    std::optional<Image> image = picture_of(std::move(bytes));
    if (!in || !image) {
      remarks.push_back(fmt::format("the photo `{}` is neither JPEG nor PNG", file));
      return;
    }
    photos.push_back({file, std::move(caption), std::move(link), std::move(*image)});
  };
  for (const std::size_t i : d.log_order) {
    const ItemFinding& item = d.findings.items[i];
    const LogItem& log = d.placed.runs[item.run].log[item.log];
    const std::string words = fmt::format("{}, at {}", item.what, counter_text(d, item.at));
    const std::size_t number = d.item_numbers[i];
    take(log.photo, number > 0 ? fmt::format("{}  {}", number, words) : words,
         number > 0 ? fmt::format("#item-{}", number) : "");
  }
  for (const Run& run : d.placed.runs) {
    for (const Locate& locate : run.locates) take(locate.photo, "locate at " + counter_text(d, locate.at), "");
  }
  return [&d, photos = std::move(photos)](double width) {
    Block block{"photos", "PHOTOS", {}, {}, false};
    const std::size_t columns = width > 110 ? 3 : width > 60 ? 2 : 1;
    const double cell = (width - 3.0 * static_cast<double>(columns - 1)) / static_cast<double>(columns);
    for (std::size_t i = 0; i < photos.size(); i += columns) {
      Row row;
      for (std::size_t k = 0; k < columns && i + k < photos.size(); ++k) {
        const Photo& photo = photos[i + k];
        Image image = photo.image;
        const double proportion = static_cast<double>(image.pixels_high) / image.pixels_wide;
        const double shown = std::min(cell, 62 / proportion);
        image.box = {static_cast<double>(k) * (cell + 3), 0, shown, shown * proportion};
        Object object;
        object.id = fmt::format("photo-{}", i + k + 1);
        object.kind = "photo";
        object.title = photo.caption;
        object.link = photo.link;
        object.role = Role::block;
        double y = image.box.height + 1.0;
        const double x = image.box.x;
        object.marks.emplace_back(std::move(image));
        for (const std::string& line : d.type.wrap(photo.caption, d.type_look("body"), cell)) {
          object.marks.emplace_back(set_at(d.text(line, "body"), {x, y + 0.95 * d.em("body")}));
          y += leading(d, "body");
        }
        row.height = std::max(row.height, y + 1.5);
        row.objects.push_back(std::move(object));
      }
      block.rows.push_back(std::move(row));
    }
    return block;
  };
}

}  // namespace swingtie
