#pragma once

#include <gdal_priv.h>

#include "exchange/gdal/task.hpp"
#include "exchange/gdal/trap.hpp"

namespace swingtie {

/// The table in which desktop GIS programs look for a layer's style.
void write_layer_styles(const GdalTask& task, GDALDataset& dataset, const ErrorTrap& trap);

/// What each column means and in which unit, by the schema extension of the standard (OGC 12-128r18, annex F.9:
/// gpkg_data_columns), so that a GIS says it where the column is shown.
void write_data_columns(const GdalTask& task, GDALDataset& dataset, const ErrorTrap& trap);

/// ISO 8601 day that stands for the time of writing, so that bytes repeat: that of the inspection, or a fixed one.
std::string written_day(const GdalTask& task);

}  // namespace swingtie
