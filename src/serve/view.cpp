#include "serve/view.hpp"

#include <cmath>
#include <nlohmann/json.hpp>
#include <numbers>
#include <optional>
#include <string_view>
#include <vector>

#include "exchange/words.hpp"

namespace swingtie {
namespace {

using nlohmann::json;

/// Site metres to the numbers the job is written in.
class Writer {
 public:
  explicit Writer(LengthUnit unit) : per_unit_(metres_per(unit)) {}
  /// To a ten-thousandth of the unit: the map needs no more, and a counter reads back as it was written.
  double length(double metres) const { return std::round(metres / per_unit_ * 1e4) / 1e4; }
  json point(PlanPoint p) const { return json::array({length(p.e), length(p.n)}); }
  json ring(const std::vector<PlanPoint>& points) const {
    json list = json::array();
    for (const auto p : points) list.push_back(point(p));
    return list;
  }

 private:
  double per_unit_;
};

std::string_view shape_name(GeometryKind shape) {
  switch (shape) {
    case GeometryKind::point:
      return "point";
    case GeometryKind::line:
      return "line";
    case GeometryKind::area:
      break;
  }
  return "area";
}

json feature_view(const Feature& feature, const Writer& to) {
  json out = {{"id", feature.id},
              {"label", feature.label},
              {"kind", spelled(feature.kind)},
              {"shape", shape_name(feature.shape)}};
  json parts = json::array();
  if (feature.shape == GeometryKind::point) parts.push_back(to.point(feature.point));
  for (const auto& line : feature.lines) parts.push_back(to.ring(line));
  for (const auto& area : feature.areas) {
    json rings = json::array({to.ring(area.outer)});
    for (const auto& hole : area.holes) rings.push_back(to.ring(hole));
    parts.push_back(std::move(rings));
  }
  out["parts"] = std::move(parts);
  json corners = json::array();
  for (const auto& corner : feature.corners)
    corners.push_back({{"name", corner.name}, {"at", to.point(corner.point.at)}});
  out["corners"] = std::move(corners);
  if (feature.trunk) out["trunk"] = to.length(*feature.trunk);
  if (feature.spread) out["spread"] = to.length(*feature.spread);
  if (feature.width) out["width"] = to.length(*feature.width);
  return out;
}

json run_view(const Run& run, const Writer& to) {
  json locates = json::array();
  for (const auto& locate : run.locates) {
    const auto ellipse = error_ellipse(locate.position.covariance, 0.95);
    locates.push_back({{"at", to.length(locate.at.metres)},
                       {"position", to.point(locate.position.at)},
                       {"within", to.length(ellipse.semi_major)},
                       {"line", locate.span.line}});
  }
  const bool known = std::isfinite(run.access.at.e) && std::isfinite(run.access.at.n);
  return {
      {"id", run.id}, {"access", known ? to.point(run.access.at) : json(nullptr)}, {"locates", std::move(locates)}};
}

/// A lot seen from the street.
struct Front {
  std::string_view lot, left, right;  ///< the lot, and the corners of its front edge by name
  double up_deg = 0;                  ///< grid azimuth that one looks along: up on the map, as on the sheets
};

std::optional<Front> front(const Placed& placed) {
  for (const auto& lot : placed.features) {
    if (lot.kind != FeatureKind::lot || lot.shape != GeometryKind::area || !lot.street_edge || lot.areas.empty())
      continue;
    const auto& first = lot.corners[*lot.street_edge];
    const auto& second = lot.corners[(*lot.street_edge + 1) % lot.corners.size()];
    auto inward = right_of(second.point.at - first.point.at);
    // Over all corners the lot lies on one side of its edge.
    double side = 0;
    for (const auto p : lot.areas.front().outer) side += dot(inward, p - first.point.at);
    const bool on_the_right = side > 0;
    if (!on_the_right) inward = -inward;
    return Front{lot.id, (on_the_right ? second : first).name, (on_the_right ? first : second).name,
                 std::round(azimuth(inward).radians / std::numbers::pi * 180 * 100) / 100};
  }
  return std::nullopt;
}

}  // namespace

std::string write_view(const Placed& placed) {
  const Writer to(placed.unit);
  json features = json::array();
  for (const auto& feature : placed.features) features.push_back(feature_view(feature, to));
  json runs = json::array();
  for (const auto& run : placed.runs) runs.push_back(run_view(run, to));
  json out = {{"features", std::move(features)}, {"runs", std::move(runs)}, {"front", nullptr}};
  if (const auto seen = front(placed))
    out["front"] = {{"lot", seen->lot}, {"left", seen->left}, {"right", seen->right}, {"up", seen->up_deg}};
  return out.dump(-1, ' ', false, json::error_handler_t::replace);
}

}  // namespace swingtie
