#include <fmt/format.h>

#include "exchange/table.hpp"

namespace swingtie {
namespace {

std::string_view type_word(FieldType type) {
  switch (type) {
    case FieldType::whole:
      return "whole number";
    case FieldType::real:
      return "real";
    case FieldType::truth:
      return "true or false";
    case FieldType::text:
      break;
  }
  return "text";
}

std::string_view geometry_word(TableGeometryKind kind) {
  switch (kind) {
    case TableGeometryKind::point:
      return "points";
    case TableGeometryKind::line:
      return "lines";
    case TableGeometryKind::area:
      return "areas";
    case TableGeometryKind::any:
      break;
  }
  return "points, lines and areas";
}

}  // namespace

std::string attribute_tables() {
  std::string text;
  for (const TableSchema& schema : table_schemas()) {
    text += fmt::format(
        "{}### `{}`\n\n{}: {}.\n\n| attribute | type | unit | meaning | whose notion |\n|---|---|---|---|---|\n",
        text.empty() ? "" : "\n", schema.name, geometry_word(schema.kind), schema.meaning);
    for (const TableField& field : schema.fields)
      text += fmt::format("| `{}` | {} | {} | {} | {} |\n", field.name, type_word(field.type), unit_words(field.unit),
                          field.meaning, field.notion);
  }
  return text;
}

}  // namespace swingtie
