#include "exchange/gdal/dxf.hpp"

#include <cpl_conv.h>
#include <cpl_vsi.h>
#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <memory>
#include <optional>
#include <stdexcept>

#include "exchange/gdal/geometry.hpp"
#include "exchange/gdal/looks.hpp"

namespace swingtie {
namespace {

/// A layer's name as drawings have them: `SEWER-DIG-WINDOWS`.
std::string upper(std::string_view text) {
  std::string all(text);
  std::transform(all.begin(), all.end(), all.begin(),
                 [](unsigned char c) { return static_cast<char>(c == '_' ? '-' : std::toupper(c)); });
  return all;
}

/// A text inside the quotes of an OGR feature style.
std::string in_style(const std::string& text) {
  std::string all;
  for (const char c : text) {
    if (c == '"' || c == '\\') all += '\\';
    all += c;
  }
  return all;
}

const TableValue* value_of(const Table& table, const TableRow& row, std::string_view field) {
  for (std::size_t i = 0; i < row.values.size(); ++i)
    if (table.schema->fields[i].name == field) return &row.values[i];
  return nullptr;
}

std::optional<double> number_of(const Table& table, const TableRow& row, std::string_view field) {
  const TableValue* value = value_of(table, row, field);
  const double* number = value ? std::get_if<double>(value) : nullptr;
  return number ? std::optional(*number) : std::nullopt;
}

std::string text_of(const Table& table, const TableRow& row, std::string_view field) {
  const TableValue* value = value_of(table, row, field);
  const std::string* text = value ? std::get_if<std::string>(value) : nullptr;
  return text ? *text : std::string{};
}

/// `dig: joint offset 1 in at 41.0 ft, depth 4.7 to 5.9, ±2.1 ft at 95 %`
std::string label_of(const Table& table, const TableRow& row) {
  std::string text = row.title;
  const auto low = number_of(table, row, "dep_lo95"), high = number_of(table, row, "dep_hi95");
  if (low && high) text += fmt::format("{}depth {:.1f} to {:.1f}", text.empty() ? "" : ", ", *low, *high);
  if (const auto accuracy = number_of(table, row, "acc_h95"))
    text += fmt::format("{}±{:.1f} {} at 95 %", text.empty() ? "" : ", ", *accuracy, text_of(table, row, "units"));
  return text;
}

/// A sentence in lines that fit under a lot.
std::vector<std::string> wrapped(const std::string& sentence) {
  constexpr std::size_t widest = 90;
  std::vector<std::string> lines(1);
  std::size_t at = 0;
  while (at < sentence.size()) {
    const std::size_t end = std::min(sentence.find(' ', at), sentence.size());
    const std::string word = sentence.substr(at, end - at);
    if (!lines.back().empty() && lines.back().size() + 1 + word.size() > widest) lines.emplace_back();
    lines.back() += (lines.back().empty() ? "" : " ") + word;
    at = end + 1;
  }
  return lines;
}

class Drawing {
 public:
  Drawing(const GdalTask& task, OGRLayer& entities, const ErrorTrap& trap)
      : task_(task), entities_(entities), trap_(trap), text_height_(task.unit == LengthUnit::metre ? 0.25 : 0.8) {}

  void draw() {
    for (const Table& table : task_.tables)
      for (const TableRow& row : table.rows) {
        const MapLook look = look_of(table.schema->name);
        std::string layer = fmt::format("SEWER-{}", upper(table.schema->name));
        if (const std::string kind = text_of(table, row, "kind"); table.schema->name == "features" && !kind.empty())
          layer += "-" + upper(kind);
        const OGRPoint beside = shape(row, look, layer);
        // A tape's title is its length, which is between two points and has its interval on the sheet.
        if (table.schema->name != "ties") text(layer + "-TEXT", label_of(table, row), beside, look.rgb);
      }
    notes();
  }

 private:
  /// @return where its text goes
  OGRPoint shape(const TableRow& row, const MapLook& look, const std::string& layer) {
    std::unique_ptr<OGRGeometry> geometry = to_ogr(row.geometry, false);
    if (std::holds_alternative<AreaShape>(row.geometry)) geometry.reset(geometry->Boundary());
    OGREnvelope box;
    geometry->getEnvelope(&box);
    extent_.Merge(box);
    OGRPoint beside;
    geometry->Centroid(&beside);
    OGRFeature feature(entities_.GetLayerDefn());
    feature.SetField("Layer", layer.c_str());
    if (look.dashed) feature.SetField("Linetype", "DASHED");
    feature.SetStyleString(fmt::format("PEN(c:#{:06X}{})", look.rgb,
                                       look.dashed ? fmt::format(",p:\"{0:.2f}g {0:.2f}g\"", text_height_) : "")
                               .c_str());
    feature.SetGeometryDirectly(geometry.release());
    trap_.check(entities_.CreateFeature(&feature) == OGRERR_NONE, "write an entity");
    return beside;
  }

  void text(const std::string& layer, const std::string& words, const OGRPoint& at, unsigned rgb) {
    if (words.empty()) return;
    OGRFeature label(entities_.GetLayerDefn());
    label.SetField("Layer", layer.c_str());
    label.SetStyleString(fmt::format("LABEL(f:\"Arial\",t:\"{}\",s:{:.2f}g,c:#{:06X},p:1,dx:{:.2f}g)",
                                     in_style(words), text_height_, rgb, text_height_)
                             .c_str());
    label.SetGeometry(&at);
    trap_.check(entities_.CreateFeature(&label) == OGRERR_NONE, "write a text");
  }

  void notes() {
    if (!extent_.IsInit()) return;
    std::vector<std::string> lines{task_.title, task_.coordinates};
    lines.insert(lines.end(), task_.cautions.begin(), task_.cautions.end());
    double y = extent_.MinY - 4 * text_height_;
    for (const std::string& line : lines) {
      for (const std::string& part : wrapped(line)) {
        text("SEWER-NOTES", part, OGRPoint(extent_.MinX, y), 0x1A1A1A);
        y -= 2 * text_height_;
      }
    }
  }

  const GdalTask& task_;
  OGRLayer& entities_;
  const ErrorTrap& trap_;
  double text_height_;
  OGREnvelope extent_;
};

}  // namespace

std::string dxf_header(LengthUnit unit) {
  const char* path = CPLFindFile("gdal", "header.dxf");
  if (!path) throw std::runtime_error("GDAL's data file header.dxf is missing");
  GByte* data = nullptr;
  vsi_l_offset size = 0;
  if (!VSIIngestFile(nullptr, path, &data, &size, 1 << 20))
    throw std::runtime_error(fmt::format("cannot read {}", path));
  std::string text(reinterpret_cast<const char*>(data), static_cast<std::size_t>(size));
  VSIFree(data);
  const auto put = [&](std::string_view variable, int value) {
    const std::size_t name = text.find(variable);
    if (name == std::string::npos) return;
    const std::size_t code = text.find('\n', name) + 1, number = text.find('\n', code) + 1;
    text.replace(number, text.find('\n', number) - number, fmt::format("{:>6}", value));
  };
  int code = 6;
  if (unit == LengthUnit::foot) code = 2;
  if (unit == LengthUnit::us_survey_foot) code = 21;
  put("$INSUNITS", code);
  put("$MEASUREMENT", unit == LengthUnit::metre ? 1 : 0);
  return text;
}

void draw_dxf(const GdalTask& task, OGRLayer& entities, const ErrorTrap& trap) {
  Drawing(task, entities, trap).draw();
}

}  // namespace swingtie
