#pragma once

#include <ogr_feature.h>
#include <ogr_geometry.h>

#include <memory>

#include "exchange/table.hpp"

namespace swingtie {

/// The geometry as GDAL has it, in the same coordinates. A line of one part is a LineString, an area of one part a
/// Polygon, else their Multi forms; `multi` asks for the Multi form of lines and areas always, for formats whose
/// layers hold one type only.
std::unique_ptr<OGRGeometry> to_ogr(const TableGeometry& geometry, bool multi);

/// Layer type of a table. @param multi  as for to_ogr
OGRwkbGeometryType layer_type(TableGeometryKind kind, bool multi);

/// The field of a layer for a column.
std::unique_ptr<OGRFieldDefn> field_definition(const TableField& field);

/// Puts a row's values into a feature whose fields begin with the row's columns.
void set_values(OGRFeature& feature, const TableRow& row);

}  // namespace swingtie
