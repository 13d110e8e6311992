#include "exchange/table.hpp"

#include <catch2/catch.hpp>
#include <fstream>
#include <iterator>
#include <set>

#include "exchange/invented.hpp"

using namespace swingtie;

TEST_CASE("attribute names fit Shapefile's ten letters and are told apart without case") {
  for (const TableSchema& schema : table_schemas()) {
    std::set<std::string> names;
    for (const TableField& field : schema.fields) {
      INFO(schema.name << "." << field.name);
      CHECK(field.name.size() <= 10);
      CHECK(names.insert(std::string(field.name)).second);
      CHECK_FALSE(field.meaning.empty());
    }
    CHECK(names.count("acc_h95") == 1);
    CHECK(names.count("basis") == 1);
  }
}

TEST_CASE("every table of a job has rows as wide as its schema, and none is left out") {
  const std::vector<Table> tables = tabulate(invented::lot().result(), CoordinateKind::grid);
  CHECK(tables.size() == table_schemas().size());
  for (const Table& table : tables) {
    INFO(table.schema->name);
    CHECK_FALSE(table.rows.empty());
    for (const TableRow& row : table.rows) CHECK(row.values.size() == table.schema->fields.size());
  }
}

TEST_CASE("the route is cut where the pipe or what is known of it changes") {
  const std::vector<Table> tables = tabulate(invented::lot().result(), CoordinateKind::grid);
  for (const Table& table : tables)
    if (table.schema->name == "route") {
      // Cast iron 0..20, clay located 20..30, clay inferred 30..60.
      REQUIRE(table.rows.size() == 3);
      CHECK(std::get<std::string>(table.rows[0].values[8]) == "4 in cast iron");
      CHECK(std::get<double>(table.rows[1].values[6]) == 30.0);
      CHECK(std::get<double>(table.rows[2].values[7]) == 30.0);
    }
}

TEST_CASE("samples/FORMATS.md holds the attribute tables as the program prints them") {
  std::ifstream file(SWINGTIE_SOURCE_DIR "/samples/FORMATS.md", std::ios::binary);
  const std::string text{std::istreambuf_iterator<char>(file), {}};
  // To accept a change: build/release/bin/swingtie schema --attributes, below the heading `Attributes`
  CHECK(text.find(attribute_tables()) != std::string::npos);
}
