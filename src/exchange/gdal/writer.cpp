#include <cpl_conv.h>
#include <cpl_vsi.h>
#include <fmt/format.h>
#include <gdal_priv.h>
#include <ogrsf_frmts.h>

#include <algorithm>
#include <memory>
#include <mutex>

#include "exchange/gdal/dxf.hpp"
#include "exchange/gdal/geometry.hpp"
#include "exchange/gdal/geopackage.hpp"
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
    write_layer_styles(task_, dataset_, trap_);
    write_data_columns(task_, dataset_, trap_);
    for (std::size_t i = 0; i < task_.cautions.size(); ++i)
      dataset_.SetMetadataItem(fmt::format("CAUTION_{}", i + 1).c_str(), task_.cautions[i].c_str());
    dataset_.SetMetadataItem("TITLE", task_.title.c_str());
    dataset_.SetMetadataItem("COORDINATES", task_.coordinates.c_str());
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

  void dxf() { draw_dxf(task_, *created("entities", wkbUnknown, {}), trap_); }

  /// Points are way-points, the route is a track. The format wants all way-points first.
  void gpx() {
    gpx_layer(created("waypoints", wkbPoint, {}), true);
    gpx_layer(created("tracks", wkbMultiLineString, {{"FORCE_GPX_TRACK", "YES"}}), false);
  }

 private:
  using Options = std::vector<std::pair<std::string, std::string>>;

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
        feature.SetField("desc", ("Estimate, not a survey. " + description(table, row)).c_str());
        feature.SetField("type", std::string(table.schema->name).c_str());
        put(*into, feature, row, true);
      }
  }

  Options shape_options() const { return {{"ENCODING", "UTF-8"}, {"DBF_DATE_LAST_UPDATE", written_day(task_)}}; }

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

  const GdalTask& task_;
  GDALDataset& dataset_;
  const ErrorTrap& trap_;
  std::unique_ptr<OGRSpatialReference> reference_;
};

class Writer final : public GdalWriter {
 public:
  std::string write(const GdalTask& task) const override {
    // One at a time: GDAL's files in memory and its list of drivers are the whole process's.
    static std::mutex mutex;
    const std::lock_guard lock(mutex);
    const ErrorTrap trap;
    const ContainerFacts container = facts(task.container);
    container.enlist();
    GDALDriver* driver = GetGDALDriverManager()->GetDriverByName(container.driver);
    trap.check(driver != nullptr, fmt::format("find GDAL's driver {}", container.driver));
    // The formats that store when they were written store the day of the inspection, so that bytes repeat.
    CPLSetThreadLocalConfigOption("OGR_CURRENT_DATE", (written_day(task) + "T00:00:00.000Z").c_str());
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
    if (task.container == Container::kml) {
      options.SetNameValue("NAME", task.title.c_str());
      options.SetNameValue("DESCRIPTION", joined(task.cautions, " ").c_str());
    }
    {
      const DatasetPointer dataset(driver->Create(file.path(), 0, 0, 0, GDT_Unknown, options.List()));
      trap.check(dataset != nullptr, "begin the file");
      fill(task, *dataset, trap);
    }
    trap.check(!trap.failed(), "write the file");
    std::string bytes = file.bytes();
    if (task.container == Container::gpx) name_creator(bytes);
    return bytes;
  }

  std::size_t append(const PostgisTask& task) const override { return append_to_postgis(task); }

 private:
  /// GPX names the program that made it, and GDAL names itself.
  static void name_creator(std::string& gpx) {
    constexpr std::string_view begins = "creator=\"";
    const std::size_t at = gpx.find(begins);
    if (at == std::string::npos) return;
    const std::size_t from = at + begins.size();
    gpx.replace(from, gpx.find('"', from) - from, "swingtie");
  }

  static std::string joined(const std::vector<std::string>& parts, std::string_view between) {
    return fmt::format("{}", fmt::join(parts, between));
  }

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
