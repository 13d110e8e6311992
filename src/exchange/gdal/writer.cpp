#include <cpl_conv.h>
#include <cpl_vsi.h>
#include <fmt/format.h>
#include <gdal_priv.h>
#include <ogrsf_frmts.h>

#include <algorithm>
#include <memory>

#include "exchange/gdal/geometry.hpp"
#include "exchange/gdal/looks.hpp"
#include "exchange/gdal/postgis.hpp"
#include "exchange/gdal/task.hpp"
#include "exchange/gdal/trap.hpp"
#include "load/module.hpp"

namespace swingtie {
namespace {

using Container = GdalTask::Container;

struct ContainerFacts {
  const char* driver;
  const char* extension;
  void (*enlist)();
};

/// Only the driver that writes is registered: all of GDAL's two hundred would cost more than the writing.
ContainerFacts facts(Container container) {
  switch (container) {
    case Container::geopackage:
      return {"GPKG", ".gpkg", &RegisterOGRGeoPackage};
    case Container::dxf:
      return {"DXF", ".dxf", &RegisterOGRDXF};
    case Container::kml:
      return {"LIBKML", ".kml", &RegisterOGRLIBKML};
    case Container::gpx:
      return {"GPX", ".gpx", &RegisterOGRGPX};
    case Container::shapefile:
      return {"ESRI Shapefile", ".shp.zip", &RegisterOGRShape};
    case Container::flatgeobuf:
      break;
  }
  return {"FlatGeobuf", ".fgb", &RegisterOGRFlatGeobuf};
}

/// A file in memory that is gone when this is.
class MemoryFile {
 public:
  explicit MemoryFile(const std::string& name) : path_("/vsimem/" + name) {}
  MemoryFile(const MemoryFile&) = delete;
  MemoryFile& operator=(const MemoryFile&) = delete;
  ~MemoryFile() { VSIUnlink(path_.c_str()); }
  const char* path() const { return path_.c_str(); }
  std::string bytes() const {
    vsi_l_offset size = 0;
    const GByte* data = VSIGetMemFileBuffer(path_.c_str(), &size, FALSE);
    if (!data) throw std::runtime_error("GDAL wrote nothing");
    return {reinterpret_cast<const char*>(data), static_cast<std::size_t>(size)};
  }

 private:
  std::string path_;
};

struct DatasetCloser {
  void operator()(GDALDataset* dataset) const { GDALClose(GDALDataset::ToHandle(dataset)); }
};
using DatasetPointer = std::unique_ptr<GDALDataset, DatasetCloser>;

char geometry_letter(const TableGeometry& geometry) {
  if (std::holds_alternative<PointShape>(geometry)) return 'p';
  return std::holds_alternative<LineShape>(geometry) ? 'l' : 'a';
}

/// Writes one task's tables into one dataset.
class Filler {
 public:
  Filler(const GdalTask& task, GDALDataset& dataset, const ErrorTrap& trap)
      : task_(task), dataset_(dataset), trap_(trap) {
    if (task.crs.empty()) return;
    reference_ = std::make_unique<OGRSpatialReference>();
    reference_->SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
    const bool understood = task.crs == "EPSG:4326" ? reference_->importFromEPSG(4326) == OGRERR_NONE
                                                    : reference_->importFromWkt(task.crs.c_str()) == OGRERR_NONE;
    trap_.check(understood, "use the job's coordinate system");
  }

  void geopackage() {
    for (const Table& table : task_.tables) {
      const bool multi = table.schema->kind != TableGeometryKind::any;
      OGRLayer* into = layer(table, std::string(table.schema->name), multi,
                             {{"GEOMETRY_NAME", "geom"}, {"DESCRIPTION", std::string(table.schema->meaning)}});
      fill(*into, table.rows, multi);
    }
    style_table();
    for (std::size_t i = 0; i < task_.cautions.size(); ++i)
      dataset_.SetMetadataItem(fmt::format("CAUTION_{}", i + 1).c_str(), task_.cautions[i].c_str());
    dataset_.SetMetadataItem("TITLE", task_.title.c_str());
  }

  /// A shapefile holds one kind of geometry and no booleans; the features of the lot become three files.
  void shapefile() {
    for (const Table& table : task_.tables) {
      if (table.rows.empty()) continue;
      const std::string name(table.schema->name);
      if (table.schema->kind != TableGeometryKind::any) {
        fill(*layer(table, name, true, shape_options()), table.rows, true);
        continue;
      }
      part(table, name + "_points", 'p', wkbPoint);
      part(table, name + "_lines", 'l', wkbMultiLineString);
      part(table, name + "_areas", 'a', wkbMultiPolygon);
    }
  }

  /// One layer of everything: the columns of all tables, and one that says which table a row is of.
  void flatgeobuf() {
    OGRLayer* all = created("swingtie", wkbUnknown, {});
    add_field(*all, {"layer", FieldType::text, FieldUnit::none, "", ""});
    for (const Table& table : task_.tables)
      for (const TableField& field : table.schema->fields)
        if (all->GetLayerDefn()->GetFieldIndex(std::string(field.name).c_str()) < 0) add_field(*all, field);
    for (const Table& table : task_.tables)
      for (const TableRow& row : table.rows) {
        OGRFeature feature(all->GetLayerDefn());
        feature.SetField("layer", std::string(table.schema->name).c_str());
        for (std::size_t i = 0; i < row.values.size(); ++i)
          set_by_name(feature, std::string(table.schema->fields[i].name), row.values[i]);
        put(*all, feature, row, false);
      }
  }

  void kml() {
    for (const Table& table : task_.tables) {
      if (table.rows.empty()) continue;
      OGRLayer* into = created(std::string(table.schema->name), layer_type(table.schema->kind, false), {});
      for (const TableField& field : table.schema->fields) add_field(*into, field);
      add_field(*into, {"Name", FieldType::text, FieldUnit::none, "", ""});
      const MapLook look = look_of(table.schema->name);
      for (const TableRow& row : table.rows) {
        OGRFeature feature(into->GetLayerDefn());
        set_values(feature, row);
        feature.SetField("Name", row.title.c_str());
        const char kind = geometry_letter(row.geometry);
        if (kind != 'p') feature.SetStyleString((kind == 'l' ? pen_style(look) : area_style(look)).c_str());
        put(*into, feature, row, false);
      }
    }
  }

  /// Points are way-points, the route is a track. The format wants all way-points first.
  void gpx() {
    gpx_layer(created("waypoints", wkbPoint, {}), true);
    gpx_layer(created("tracks", wkbMultiLineString, {{"FORCE_GPX_TRACK", "YES"}}), false);
  }

  /// Outlines are lines: hatches lose their colour in other programs. Each table is a layer, its titles text.
  void dxf() {
    OGRLayer* entities = created("entities", wkbUnknown, {});
    const double text_height = task_.unit == LengthUnit::metre ? 0.25 : 0.8;
    for (const Table& table : task_.tables) {
      const std::string layer_name = fmt::format("SEWER-{}", upper(table.schema->name));
      const MapLook look = look_of(table.schema->name);
      for (const TableRow& row : table.rows) {
        std::unique_ptr<OGRGeometry> geometry = to_ogr(row.geometry, false);
        if (std::holds_alternative<AreaShape>(row.geometry)) geometry.reset(geometry->Boundary());
        OGRPoint beside;
        geometry->Centroid(&beside);
        OGRFeature feature(entities->GetLayerDefn());
        feature.SetField("Layer", layer_name.c_str());
        if (look.dashed) feature.SetField("Linetype", "DASHED");
        feature.SetStyleString(fmt::format("PEN(c:#{:06X}{})", look.rgb,
                                           look.dashed ? fmt::format(",p:\"{0:.2f}g {0:.2f}g\"", text_height) : "")
                                   .c_str());
        feature.SetGeometryDirectly(geometry.release());
        trap_.check(entities->CreateFeature(&feature) == OGRERR_NONE, "write an entity");
        if (!std::holds_alternative<PointShape>(row.geometry) || row.title.empty()) continue;
        OGRFeature label(entities->GetLayerDefn());
        label.SetField("Layer", (layer_name + "-TEXT").c_str());
        label.SetStyleString(fmt::format("LABEL(f:\"Arial\",t:\"{}\",s:{:.2f}g,c:#{:06X},p:1,dx:{:.2f}g)",
                                         without_quotes(row.title), text_height, look.rgb, text_height)
                                 .c_str());
        label.SetGeometry(&beside);
        trap_.check(entities->CreateFeature(&label) == OGRERR_NONE, "write a text");
      }
    }
  }

 private:
  using Options = std::vector<std::pair<std::string, std::string>>;

  static std::string upper(std::string_view text) {
    std::string all(text);
    std::transform(all.begin(), all.end(), all.begin(),
                   [](unsigned char c) { return static_cast<char>(c == '_' ? '-' : std::toupper(c)); });
    return all;
  }

  static std::string without_quotes(const std::string& text) {
    std::string all;
    for (const char c : text) {
      if (c == '"' || c == '\\') all += '\\';
      all += c;
    }
    return all;
  }

  /// The columns that have a value, for formats without columns: `act: dig; depth: 4.4; …`
  static std::string description(const Table& table, const TableRow& row) {
    std::string text;
    for (std::size_t i = 0; i < row.values.size(); ++i) {
      std::string value;
      if (const std::string* words = std::get_if<std::string>(&row.values[i])) value = *words;
      if (const double* real = std::get_if<double>(&row.values[i])) value = fmt::format("{}", *real);
      if (const bool* truth = std::get_if<bool>(&row.values[i])) value = *truth ? "yes" : "no";
      if (!value.empty())
        text += fmt::format("{}{}: {}", text.empty() ? "" : "; ", table.schema->fields[i].name, value);
    }
    return text;
  }

  void gpx_layer(OGRLayer* into, bool points) {
    for (const Table& table : task_.tables)
      for (const TableRow& row : table.rows) {
        if (std::holds_alternative<PointShape>(row.geometry) != points) continue;
        OGRFeature feature(into->GetLayerDefn());
        feature.SetField("name", row.title.c_str());
        feature.SetField("desc", description(table, row).c_str());
        feature.SetField("type", std::string(table.schema->name).c_str());
        put(*into, feature, row, true);
      }
  }

  Options shape_options() const {
    return {{"ENCODING", "UTF-8"}, {"DBF_DATE_LAST_UPDATE", task_.date.empty() ? "2000-01-01" : task_.date}};
  }

  OGRLayer* created(const std::string& name, OGRwkbGeometryType type, const Options& options) {
    CPLStringList list;
    for (const auto& [key, value] : options) list.SetNameValue(key.c_str(), value.c_str());
    OGRLayer* made = dataset_.CreateLayer(name.c_str(), reference_.get(), type, list.List());
    trap_.check(made != nullptr, fmt::format("create the layer {}", name));
    return made;
  }

  void add_field(OGRLayer& layer, const TableField& field) {
    const auto definition = field_definition(field);
    trap_.check(layer.CreateField(definition.get()) == OGRERR_NONE, fmt::format("create the column {}", field.name));
  }

  OGRLayer* layer(const Table& table, const std::string& name, bool multi, const Options& options) {
    OGRLayer* made = created(name, layer_type(table.schema->kind, multi), options);
    for (const TableField& field : table.schema->fields) add_field(*made, field);
    return made;
  }

  void put(OGRLayer& into, OGRFeature& feature, const TableRow& row, bool multi) {
    feature.SetGeometryDirectly(to_ogr(row.geometry, multi).release());
    trap_.check(into.CreateFeature(&feature) == OGRERR_NONE, fmt::format("write a row of {}", into.GetName()));
  }

  void fill(OGRLayer& into, const std::vector<TableRow>& rows, bool multi) {
    for (const TableRow& row : rows) {
      OGRFeature feature(into.GetLayerDefn());
      set_values(feature, row);
      put(into, feature, row, multi);
    }
  }

  void part(const Table& table, const std::string& name, char kind, OGRwkbGeometryType type) {
    std::vector<TableRow> rows;
    for (const TableRow& row : table.rows)
      if (geometry_letter(row.geometry) == kind) rows.push_back(row);
    if (rows.empty()) return;
    OGRLayer* into = created(name, type, shape_options());
    for (const TableField& field : table.schema->fields) add_field(*into, field);
    fill(*into, rows, true);
  }

  static void set_by_name(OGRFeature& feature, const std::string& name, const TableValue& value) {
    const int at = feature.GetFieldIndex(name.c_str());
    if (const bool* truth = std::get_if<bool>(&value)) feature.SetField(at, *truth ? 1 : 0);
    if (const double* real = std::get_if<double>(&value)) feature.SetField(at, *real);
    if (const std::string* text = std::get_if<std::string>(&value)) feature.SetField(at, text->c_str());
  }

  static char style_letter(TableGeometryKind kind) {
    if (kind == TableGeometryKind::point) return 'p';
    return kind == TableGeometryKind::line ? 'l' : 'a';
  }

  /// The table in which desktop GIS programs look for a layer's style.
  void style_table() {
    OGRLayer* styles = dataset_.CreateLayer("layer_styles", nullptr, wkbNone, nullptr);
    trap_.check(styles != nullptr, "create the table of styles");
    for (const char* name : {"f_table_catalog", "f_table_schema", "f_table_name", "f_geometry_column", "styleName",
                             "styleQML", "styleSLD"}) {
      OGRFieldDefn field(name, OFTString);
      styles->CreateField(&field);
    }
    OGRFieldDefn use("useAsDefault", OFTInteger);
    use.SetSubType(OFSTBoolean);
    styles->CreateField(&use);
    for (const char* name : {"description", "owner", "ui"}) {
      OGRFieldDefn field(name, OFTString);
      styles->CreateField(&field);
    }
    OGRFieldDefn updated("update_time", OFTDateTime);
    styles->CreateField(&updated);
    for (const Table& table : task_.tables) {
      // A table of mixed geometry is opened as three layers, and no one style fits them.
      if (table.schema->kind == TableGeometryKind::any) continue;
      const std::string name(table.schema->name);
      const char letter = style_letter(table.schema->kind);
      OGRFeature feature(styles->GetLayerDefn());
      feature.SetField("f_table_catalog", "");
      feature.SetField("f_table_schema", "");
      feature.SetField("f_table_name", name.c_str());
      feature.SetField("f_geometry_column", "geom");
      feature.SetField("styleName", name.c_str());
      feature.SetField("styleQML", qml_style(name, letter).c_str());
      feature.SetField("styleSLD", sld_style(name, letter).c_str());
      feature.SetField("useAsDefault", 1);
      feature.SetField("description", std::string(table.schema->meaning).c_str());
      feature.SetField("owner", "");
      feature.SetField("update_time", (day() + "T00:00:00Z").c_str());
      trap_.check(styles->CreateFeature(&feature) == OGRERR_NONE, "write a style");
    }
  }

  std::string day() const { return task_.date.empty() ? "2000-01-01" : task_.date; }

  const GdalTask& task_;
  GDALDataset& dataset_;
  const ErrorTrap& trap_;
  std::unique_ptr<OGRSpatialReference> reference_;
};

/// GDAL's own DXF header says inches; ours says the unit of the coordinates (group $INSUNITS: 2 feet, 6 metres,
/// 21 US survey feet) and the drawing's measurement system.
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

class Writer final : public GdalWriter {
 public:
  std::string write(const GdalTask& task) const override {
    const ErrorTrap trap;
    const ContainerFacts container = facts(task.container);
    container.enlist();
    GDALDriver* driver = GetGDALDriverManager()->GetDriverByName(container.driver);
    trap.check(driver != nullptr, fmt::format("find GDAL's driver {}", container.driver));
    // The formats that store when they were written store the day of the inspection, so that bytes repeat.
    const std::string day = task.date.empty() ? "2000-01-01" : task.date;
    CPLSetThreadLocalConfigOption("OGR_CURRENT_DATE", (day + "T00:00:00.000Z").c_str());
    const MemoryFile file(fmt::format("swingtie/out{}", container.extension));
    const MemoryFile header("swingtie/header.dxf");
    CPLStringList options;
    std::string header_text;
    if (task.container == Container::dxf) {
      header_text = dxf_header(task.unit);
      VSILFILE* handle = VSIFileFromMemBuffer(header.path(), reinterpret_cast<GByte*>(header_text.data()),
                                              header_text.size(), FALSE);
      trap.check(handle != nullptr, "prepare the header");
      VSIFCloseL(handle);
      options.SetNameValue("HEADER", header.path());
    }
    {
      const DatasetPointer dataset(driver->Create(file.path(), 0, 0, 0, GDT_Unknown, options.List()));
      trap.check(dataset != nullptr, "begin the file");
      fill(task, *dataset, trap);
    }
    trap.check(!trap.failed(), "write the file");
    return file.bytes();
  }

  std::size_t append(const PostgisTask& task) const override { return append_to_postgis(task); }

 private:
  static void fill(const GdalTask& task, GDALDataset& dataset, const ErrorTrap& trap) {
    Filler filler(task, dataset, trap);
    switch (task.container) {
      case Container::geopackage:
        return filler.geopackage();
      case Container::dxf:
        return filler.dxf();
      case Container::kml:
        return filler.kml();
      case Container::gpx:
        return filler.gpx();
      case Container::shapefile:
        return filler.shapefile();
      case Container::flatgeobuf:
        return filler.flatgeobuf();
    }
  }
};

}  // namespace
}  // namespace swingtie

SWINGTIE_MODULE(swingtie::GdalWriter, swingtie::Writer)
