#include "exchange/gdal/postgis.hpp"

#include <cpl_conv.h>
#include <cpl_string.h>
#include <fmt/format.h>
#include <gdal_priv.h>
#include <ogrsf_frmts.h>

#include <memory>

#include "exchange/gdal/geometry.hpp"
#include "exchange/gdal/trap.hpp"

namespace swingtie {
namespace {

/// Longitude and latitude on WGS 84: a city's table holds jobs of many grids.
constexpr int srid = 4326;

struct DatasetCloser {
  void operator()(GDALDataset* dataset) const { GDALClose(GDALDataset::ToHandle(dataset)); }
};
using DatasetPointer = std::unique_ptr<GDALDataset, DatasetCloser>;

/// A string constant of SQL.
std::string literal(const std::string& text) {
  std::string all = "'";
  for (const char c : text) {
    if (c == '\'') all += '\'';
    if (c != '\0') all += c;
  }
  return all + "'";
}

/// A name of SQL, kept as it is.
std::string name(std::string_view text) {
  std::string all = "\"";
  for (const char c : text) {
    if (c == '"') all += '"';
    all += c;
  }
  return all + "\"";
}

std::string_view column_type(FieldType type) {
  switch (type) {
    case FieldType::whole:
      return "bigint";
    case FieldType::real:
      return "double precision";
    case FieldType::truth:
      return "boolean";
    case FieldType::text:
      break;
  }
  return "text";
}

std::string_view geometry_type(TableGeometryKind kind) {
  switch (kind) {
    case TableGeometryKind::point:
      return "Point";
    case TableGeometryKind::line:
      return "MultiLineString";
    case TableGeometryKind::area:
      return "MultiPolygon";
    case TableGeometryKind::any:
      break;
  }
  return "Geometry";
}

std::string constant(const TableValue& value) {
  if (const bool* truth = std::get_if<bool>(&value)) return *truth ? "true" : "false";
  if (const std::int64_t* whole = std::get_if<std::int64_t>(&value)) return fmt::format("{}", *whole);
  if (const double* real = std::get_if<double>(&value)) return fmt::format("{}", *real);
  if (const std::string* text = std::get_if<std::string>(&value)) return literal(*text);
  return "NULL";
}

std::string hex_wkb(const OGRGeometry& geometry) {
  std::string wkb(static_cast<std::size_t>(geometry.WkbSize()), '\0');
  geometry.exportToWkb(wkbNDR, reinterpret_cast<unsigned char*>(wkb.data()));
  const std::unique_ptr<char, void (*)(void*)> hex(
      CPLBinaryToHex(static_cast<int>(wkb.size()), reinterpret_cast<const GByte*>(wkb.data())), &CPLFree);
  return hex.get();
}

class Appender {
 public:
  Appender(const PostgisTask& task, const ErrorTrap& trap) : task_(task), trap_(trap), schema_(name(task.schema)) {
    RegisterOGRPG();
    const char* const drivers[] = {"PostgreSQL", nullptr};
    dataset_.reset(GDALDataset::Open(task.connection.c_str(), GDAL_OF_VECTOR | GDAL_OF_UPDATE, drivers));
    trap.check(dataset_ != nullptr, "reach the database");
  }

  std::size_t run() {
    trap_.check(dataset_->StartTransaction(TRUE) == OGRERR_NONE, "begin the transaction");
    try {
      // One writer at a time: two first runs would otherwise both create the tables. GDAL 3.6 leaks a SELECT's
      // answer.
      sql("DO $$ BEGIN PERFORM pg_advisory_xact_lock(hashtext('swingtie')); END $$");
      create_tables();
      const std::size_t rows = replace_rows();
      trap_.check(dataset_->CommitTransaction() == OGRERR_NONE, "commit the transaction");
      return rows;
    } catch (...) {
      dataset_->RollbackTransaction();
      throw;
    }
  }

 private:
  void sql(const std::string& statement) {
    if (OGRLayer* result = dataset_->ExecuteSQL(statement.c_str(), nullptr, nullptr))
      dataset_->ReleaseResultSet(result);
    trap_.check(!trap_.failed(), "write to the database");
  }

  std::string table_name(const TableSchema& schema) const { return fmt::format("{}.{}", schema_, name(schema.name)); }

  void create_tables() {
    sql(fmt::format("CREATE SCHEMA IF NOT EXISTS {}", schema_));
    sql(fmt::format("CREATE TABLE IF NOT EXISTS {}.jobs (job text PRIMARY KEY, cautions text NOT NULL)", schema_));
    for (const Table& table : task_.tables) create_table(*table.schema);
  }

  void create_table(const TableSchema& schema) {
    std::string columns;
    for (const TableField& field : schema.fields) {
      columns += fmt::format(", {} {}", name(field.name), column_type(field.type));
      if (field.name == "job") columns += fmt::format(" NOT NULL REFERENCES {}.jobs ON DELETE CASCADE", schema_);
      if (field.name == "units") columns += " NOT NULL CHECK (units IN ('ft', 'us-ft', 'm'))";
      if (field.name == "basis") columns += " NOT NULL";
      if (field.name == "acc_h95" || field.name == "rel_h95")
        columns += fmt::format(" NOT NULL CHECK ({} >= 0)", name(field.name));
      if (field.unit == FieldUnit::probability)
        columns += fmt::format(" CHECK ({} BETWEEN 0 AND 1)", name(field.name));
    }
    sql(
        fmt::format("CREATE TABLE IF NOT EXISTS {} (id bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY{}, "
                    "geom geometry({}, {}) NOT NULL)",
                    table_name(schema), columns, geometry_type(schema.kind), srid));
    sql(fmt::format("CREATE INDEX IF NOT EXISTS {} ON {} USING gist (geom)",
                    name(fmt::format("{}_geom", schema.name)), table_name(schema)));
    sql(fmt::format("CREATE INDEX IF NOT EXISTS {} ON {} (job)", name(fmt::format("{}_job", schema.name)),
                    table_name(schema)));
  }

  std::size_t replace_rows() {
    for (const std::string& job : task_.jobs) {
      sql(fmt::format("DELETE FROM {}.jobs WHERE job = {}", schema_, literal(job)));
      sql(fmt::format("INSERT INTO {}.jobs VALUES ({}, {})", schema_, literal(job), literal(task_.cautions)));
    }
    std::size_t rows = 0;
    for (const Table& table : task_.tables) {
      std::string columns;
      for (const TableField& field : table.schema->fields) columns += fmt::format("{}, ", name(field.name));
      for (const TableRow& row : table.rows) {
        std::string values;
        for (const TableValue& value : row.values) values += constant(value) + ", ";
        const bool multi = table.schema->kind != TableGeometryKind::any;
        sql(fmt::format("INSERT INTO {} ({}geom) VALUES ({}ST_SetSRID('{}'::geometry, {}))",
                        table_name(*table.schema), columns, values, hex_wkb(*to_ogr(row.geometry, multi)), srid));
        ++rows;
      }
    }
    return rows;
  }

  const PostgisTask& task_;
  const ErrorTrap& trap_;
  std::string schema_;
  DatasetPointer dataset_;
};

}  // namespace

std::size_t append_to_postgis(const PostgisTask& task) {
  const ErrorTrap trap;
  return Appender(task, trap).run();
}

}  // namespace swingtie
