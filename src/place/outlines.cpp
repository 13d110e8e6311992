#include "place/outlines.hpp"

#include <algorithm>
#include <cstddef>

#include "place/shapes.hpp"

namespace swingtie {
namespace {

/// The ring of a closed line; nothing for an open one.
std::optional<Ring> ring_of(const Polyline& line) {
  if (line.size() < 4 || line.front().e != line.back().e || line.front().n != line.back().n) return std::nullopt;
  return Ring(line.begin(), line.end() - 1);
}

void turn(Ring& ring, bool counter_clockwise) {
  // The first vertex stays the first.
  if ((signed_area(ring) > 0) != counter_clockwise) std::reverse(ring.begin() + 1, ring.end());
}

/// Rings by how many others they lie in: even ones are outer, odd ones holes of the smallest that holds them.
std::vector<AreaPart> nested(std::vector<Ring> rings) {
  for (Ring& ring : rings) turn(ring, true);
  std::stable_sort(rings.begin(), rings.end(),
                   [](const Ring& a, const Ring& b) { return signed_area(a) > signed_area(b); });
  std::vector<AreaPart> parts;
  std::vector<std::size_t> part_of(rings.size(), 0);
  for (std::size_t i = 0; i < rings.size(); ++i) {
    std::size_t depth = 0, holder = 0;
    for (std::size_t j = 0; j < i; ++j) {
      if (!holds(rings[j], rings[i].front())) continue;
      ++depth;
      holder = j;  // the last is the smallest
    }
    if (depth % 2 == 0) {
      part_of[i] = parts.size();
      parts.push_back({rings[i], {}});
    } else {
      part_of[i] = part_of[holder];
      turn(rings[i], false);
      parts[part_of[holder]].holes.push_back(rings[i]);
    }
  }
  return parts;
}

}  // namespace

bool is_outlined(FeatureKind kind) {
  return kind == FeatureKind::lot || kind == FeatureKind::house || kind == FeatureKind::driveway;
}

std::optional<FileFeature> as_area(const FileFeature& drawn) {
  if (drawn.shape != GeometryKind::line) return std::nullopt;
  std::vector<Ring> rings;
  for (const Polyline& line : drawn.lines) {
    auto ring = ring_of(line);
    if (!ring) return std::nullopt;
    rings.push_back(std::move(*ring));
  }
  FileFeature area = drawn;
  area.lines.clear();
  area.areas = nested(std::move(rings));
  area.shape = GeometryKind::area;
  return area;
}

std::optional<FileFeature> as_one_area(const std::vector<FileFeature>& drawn) {
  if (drawn.empty()) return std::nullopt;
  std::vector<Ring> rings;
  for (const FileFeature& feature : drawn) {
    for (const AreaPart& part : feature.areas) {
      rings.push_back(part.outer);
      rings.insert(rings.end(), part.holes.begin(), part.holes.end());
    }
  }
  FileFeature one = drawn.front();
  one.areas = nested(std::move(rings));
  return one.areas.size() == 1 ? std::optional(std::move(one)) : std::nullopt;
}

}  // namespace swingtie
