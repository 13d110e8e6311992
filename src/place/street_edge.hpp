#pragma once

#include <optional>
#include <vector>

#include "place/placed.hpp"

namespace swingtie {

/// The lot's edge that faces the street, as the index of its first corner: the one that lies nearest, over its whole
/// length, to any curb, right-of-way or centerline among the features. Nothing where there is none of these.
std::optional<std::size_t> street_edge(const Feature& lot, const std::vector<Feature>& features);

}  // namespace swingtie
