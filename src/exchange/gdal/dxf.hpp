#pragma once

#include <ogrsf_frmts.h>

#include <string>

#include "exchange/gdal/task.hpp"
#include "exchange/gdal/trap.hpp"

namespace swingtie {

/// GDAL's own DXF header says inches; this one says the unit of the coordinates (group $INSUNITS: 2 feet, 6 metres,
/// 21 US survey feet) and the drawing's measurement system. Throws std::runtime_error where GDAL's is missing.
std::string dxf_header(LengthUnit unit);

/// Draws a task's tables: outlines are closed lines, since hatches lose their colour in other programs; each table is
/// a layer, what stands on the lot a layer by kind; beside each place its title and its accuracy, since a drawing has
/// no attributes; below all of it the cautions.
void draw_dxf(const GdalTask& task, OGRLayer& entities, const ErrorTrap& trap);

}  // namespace swingtie
