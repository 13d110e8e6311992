#include "serve/view.hpp"

#include <cmath>
#include <nlohmann/json.hpp>
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

std::string_view shape_name(Shape shape) {
  switch (shape) {
    case Shape::point:
      return "point";
    case Shape::line:
      return "line";
    case Shape::area:
      break;
  }
  return "area";
}

json feature_view(const Feature& feature, const Writer& to) {
  json out = {{"id", feature.id},
              {"label", feature.label},
              {"kind", word(feature.kind)},
              {"shape", shape_name(feature.shape)}};
  json parts = json::array();
  if (feature.shape == Shape::point) parts.push_back(to.point(feature.point));
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
  return {{"id", run.id}, {"access", to.point(run.access.at)}, {"locates", std::move(locates)}};
}

}  // namespace

std::string write_view(const Placed& placed) {
  const Writer to(placed.unit);
  json features = json::array();
  for (const auto& feature : placed.features) features.push_back(feature_view(feature, to));
  json runs = json::array();
  for (const auto& run : placed.runs) runs.push_back(run_view(run, to));
  return json{{"features", std::move(features)}, {"runs", std::move(runs)}}.dump(-1, ' ', false,
                                                                                 json::error_handler_t::replace);
}

}  // namespace swingtie
