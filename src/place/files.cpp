// Features and ground heights that come from files.

#include <fmt/format.h>

#include "place/resolver.hpp"

namespace swingtie {

std::optional<ShapedFeature> Resolver::shape_file(const FeatureEntry& entry, const FileSource& source) {
  report_.error(source.path.at, fmt::format("the file of `{}` cannot be read", entry.id.value));
  return std::nullopt;
}

std::shared_ptr<const GroundSurface> Resolver::elevation_model(const Ground::Dem& dem, const Placed&) {
  report_.error(dem.path.at, "the elevation model cannot be read");
  return nullptr;
}

}  // namespace swingtie
