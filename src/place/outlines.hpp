#pragma once

#include <optional>
#include <vector>

#include "job/terms.hpp"
#include "place/gdal_module.hpp"

namespace swingtie {

/// True for what is an area by its nature: a drawing shows it as a closed line all the same.
bool is_outlined(FeatureKind kind);

/// The areas that closed lines run round, a ring inside another being its hole; nothing where a line is open, has
/// fewer than three corners or the feature has other geometry than lines. Attributes stay.
std::optional<FileFeature> as_area(const FileFeature& drawn);

/// Several areas as one, where all the others are holes of the largest; nothing where they are not.
std::optional<FileFeature> as_one_area(const std::vector<FileFeature>& drawn);

}  // namespace swingtie
