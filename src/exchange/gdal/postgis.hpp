#pragma once

#include <cstddef>

#include "exchange/gdal/task.hpp"

namespace swingtie {

/// GdalWriter::append.
std::size_t append_to_postgis(const PostgisTask& task);

}  // namespace swingtie
