#pragma once

#include <cstdint>

#include "findings/findings.hpp"
#include "place/placed.hpp"

namespace swingtie {

/// A lot with what the earlier stages would say of it, made up for tests of the sheet: no reading is solved here, so
/// a test of five hundred lots takes seconds.
struct InventedLot {
  Placed placed;
  Findings findings;
};

/// The same seed gives the same lot on any machine. Lots run from a courtyard of 6 m to an easement of 180 m, in feet
/// or metres, turned any way, with or without trees, services, a right-of-way, a georeference and several dig points.
InventedLot invented_lot(std::uint64_t seed);

}  // namespace swingtie
