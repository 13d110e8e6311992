#include "exchange/gdal/geopackage.hpp"

#include <fmt/format.h>
#include <ogrsf_frmts.h>

#include "exchange/gdal/looks.hpp"

namespace swingtie {
namespace {

char style_letter(TableGeometryKind kind) {
  if (kind == TableGeometryKind::point) return 'p';
  return kind == TableGeometryKind::line ? 'l' : 'a';
}

/// A string constant of SQL.
std::string literal(std::string_view text) {
  std::string all = "'";
  for (const char c : text) {
    if (c == '\'') all += '\'';
    all += c;
  }
  return all + "'";
}

}  // namespace

std::string written_day(const GdalTask& task) {
  return task.date.empty() ? "2000-01-01" : task.date;
}

void write_layer_styles(const GdalTask& task, GDALDataset& dataset, const ErrorTrap& trap) {
  OGRLayer* styles = dataset.CreateLayer("layer_styles", nullptr, wkbNone, nullptr);
  trap.check(styles != nullptr, "create the table of styles");
  const auto add = [&](const char* name, OGRFieldType type) {
    OGRFieldDefn field(name, type);
    trap.check(styles->CreateField(&field) == OGRERR_NONE, "create the table of styles");
  };
  for (const char* name : {"f_table_catalog", "f_table_schema", "f_table_name", "f_geometry_column", "styleName",
                           "styleQML", "styleSLD"})
    add(name, OFTString);
  OGRFieldDefn use("useAsDefault", OFTInteger);
  use.SetSubType(OFSTBoolean);
  trap.check(styles->CreateField(&use) == OGRERR_NONE, "create the table of styles");
  for (const char* name : {"description", "owner", "ui"}) add(name, OFTString);
  add("update_time", OFTDateTime);
  for (const Table& table : task.tables) {
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
    feature.SetField("update_time", (written_day(task) + "T00:00:00Z").c_str());
    trap.check(styles->CreateFeature(&feature) == OGRERR_NONE, "write a style");
  }
}

void write_data_columns(const GdalTask& task, GDALDataset& dataset, const ErrorTrap& trap) {
  const auto sql = [&](const std::string& statement) {
    if (OGRLayer* result = dataset.ExecuteSQL(statement.c_str(), nullptr, nullptr)) dataset.ReleaseResultSet(result);
    trap.check(!trap.failed(), "describe the columns");
  };
  // The two tables as the standard defines them.
  sql("CREATE TABLE IF NOT EXISTS gpkg_data_columns (table_name TEXT NOT NULL, column_name TEXT NOT NULL, name TEXT, "
      "title TEXT, description TEXT, mime_type TEXT, constraint_name TEXT, CONSTRAINT pk_gdc PRIMARY KEY "
      "(table_name, "
      "column_name), CONSTRAINT gdc_tn UNIQUE (table_name, name))");
  sql("CREATE TABLE IF NOT EXISTS gpkg_data_column_constraints (constraint_name TEXT NOT NULL, constraint_type TEXT "
      "NOT NULL, value TEXT, min NUMERIC, min_is_inclusive BOOLEAN, max NUMERIC, max_is_inclusive BOOLEAN, "
      "description "
      "TEXT, CONSTRAINT gdcc_ntv UNIQUE (constraint_name, constraint_type, value))");
  sql("CREATE TABLE IF NOT EXISTS gpkg_extensions (table_name TEXT, column_name TEXT, extension_name TEXT NOT NULL, "
      "definition TEXT NOT NULL, scope TEXT NOT NULL, CONSTRAINT ge_tce UNIQUE (table_name, column_name, "
      "extension_name))");
  for (const char* table : {"gpkg_data_columns", "gpkg_data_column_constraints"})
    sql(
        fmt::format("INSERT INTO gpkg_extensions VALUES ('{}', NULL, 'gpkg_schema', "
                    "'http://www.geopackage.org/spec121/#extension_schema', 'read-write')",
                    table));
  sql("INSERT INTO gpkg_data_column_constraints VALUES ('probability', 'range', NULL, 0, 1, 1, 1, 'a probability')");
  for (const Table& table : task.tables)
    for (const TableField& field : table.schema->fields) {
      const std::string unit(unit_words(field.unit));
      std::string description(field.meaning);
      if (!unit.empty()) description += fmt::format(" ({})", unit);
      if (!field.notion.empty()) description += fmt::format("; {}", field.notion);
      sql(fmt::format("INSERT INTO gpkg_data_columns VALUES ({}, {}, NULL, NULL, {}, NULL, {})",
                      literal(table.schema->name), literal(field.name), literal(description),
                      field.unit == FieldUnit::probability ? "'probability'" : "NULL"));
    }
}

}  // namespace swingtie
