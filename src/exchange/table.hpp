#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <variant>
#include <vector>

#include "findings/findings.hpp"
#include "measure/plane.hpp"
#include "place/placed.hpp"

namespace swingtie {

/// The findings as tables: what every data format writes. One schema for all of them, so that a column means the
/// same in a GIS, a drawing, a spreadsheet and a database. Names have at most ten letters because Shapefile cuts
/// longer ones.

enum class FieldType { text, whole, real, truth };

/// What a number of a column is measured in.
enum class FieldUnit {
  none,
  site,         ///< the row's `units`: ft, us-ft or m
  degree,       ///< clockwise from grid north
  probability,  ///< 0..1
  millimetre,
  cubic,   ///< cube of the row's `units`
  square,  ///< square of the row's `units`
};

struct TableField {
  std::string_view name;
  FieldType type = FieldType::text;
  FieldUnit unit = FieldUnit::none;
  std::string_view meaning;
  std::string_view notion;  ///< the standard whose notion it is, or empty
};

enum class TableGeometryKind { point, line, area, any };

struct TableSchema {
  std::string_view name;
  TableGeometryKind kind = TableGeometryKind::point;
  std::string_view meaning;
  std::vector<TableField> fields;
};

/// All layers in the order they are written (areas first, so that points lie on top where a reader keeps order).
const std::vector<TableSchema>& table_schemas();

/// The schemas as tables in Markdown, a section each.
std::string attribute_tables();

/// Empty, truth, whole number, real number or text, in the unit its field states.
using TableValue = std::variant<std::monostate, bool, std::int64_t, double, std::string>;

struct PointShape {
  PlanPoint at;
};
struct LineShape {
  std::vector<std::vector<PlanPoint>> parts;
};
struct AreaShape {
  std::vector<AreaPart> parts;  ///< outer rings counter-clockwise, holes clockwise, open
};
using TableGeometry = std::variant<PointShape, LineShape, AreaShape>;

struct TableRow {
  TableGeometry geometry;
  std::string title;               ///< what a map or a phone shows beside it
  std::vector<TableValue> values;  ///< as many as the schema has fields
};

struct Table {
  const TableSchema* schema = nullptr;
  std::vector<TableRow> rows;
};

/// One job's findings, ready to be written.
struct JobFindings {
  const Placed* placed = nullptr;
  const Findings* findings = nullptr;
  std::string name;  ///< of the job, unique among the jobs written together: its file's stem
};

/// Which coordinates a file holds, and so what its horizontal accuracies have to cover.
enum class CoordinateKind {
  grid,     ///< a grid, in its own unit
  lon_lat,  ///< WGS 84, degrees, e is the longitude: the way from the grid to there counts as well
};

/// The tables of a job, geometry in metres of its own site grid. As many as there are
/// schemas, in their order, empty ones included.
/// @param kind  of the coordinates that the geometry will be turned into
std::vector<Table> tabulate(const JobFindings& job, CoordinateKind kind);

/// What a coordinate of this kind is worth: half the long axis of its 95 % ellipse, metres.
/// @param ellipse95  of the place, against the drawing
double coordinate_accuracy95(const Placed& placed, CoordinateKind kind, PlanPoint at, const ErrorEllipse& ellipse95);

/// Unit word of a job as the `units` column and the JSON have it: `ft`, `us-ft`, `m`.
std::string_view unit_word(LengthUnit unit);

/// Metres per unit of the coordinates a person writes in the job: the CRS's own unit, else the site's.
double metres_per_coordinate(const Placed& placed);

/// What a reader of any file must know first: that nothing in it is a survey and where its accuracy stands; then the
/// cautions of all the findings, each once.
std::vector<std::string> cautions_of(std::span<const JobFindings> jobs);

/// What a column is measured in, in words; empty for none.
inline std::string_view unit_words(FieldUnit unit) {
  switch (unit) {
    case FieldUnit::site:
      return "`units`";
    case FieldUnit::square:
      return "`units` squared";
    case FieldUnit::cubic:
      return "`units` cubed";
    case FieldUnit::degree:
      return "degrees";
    case FieldUnit::probability:
      return "0 to 1";
    case FieldUnit::millimetre:
      return "mm";
    case FieldUnit::none:
      break;
  }
  return "";
}

/// `value` rounded to so many decimals, never -0; the way every number of the outputs is fixed.
double fixed(double value, int decimals);

}  // namespace swingtie
