#pragma once

#include <cairo.h>

#include "sheet/sheet.hpp"

namespace swingtie {

/// A picture as a Cairo surface of its own pixels. The caller destroys it.
/// @param as_it_is  for surfaces that take JPEG bytes (PDF): the pixels stay empty, the file's bytes go along
/// Throws std::runtime_error when the picture cannot be read.
cairo_surface_t* picture_surface(const Image& image, bool as_it_is);

}  // namespace swingtie
