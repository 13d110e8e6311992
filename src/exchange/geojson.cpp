#include "exchange/geojson.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <limits>
#include <nlohmann/json.hpp>
#include <optional>

#include "exchange/formats.hpp"
#include "exchange/frame.hpp"

namespace swingtie {
namespace {

using Json = nlohmann::ordered_json;

/// West, south, east, north in degrees (RFC 7946, section 5).
struct Bounds {
  double west = std::numeric_limits<double>::infinity(), south = west, east = -west, north = -west;
  void hold(LonLat p) {
    west = std::min(west, p.lon_deg);
    east = std::max(east, p.lon_deg);
    south = std::min(south, p.lat_deg);
    north = std::max(north, p.lat_deg);
  }
};

/// Eight decimals of a degree are about a millimetre on the ground.
std::string degrees(double value) {
  std::string text = fmt::format("{:.8f}", value);
  return text == "-0.00000000" ? "0.00000000" : text;
}

class Geometry {
 public:
  Geometry(const GeoReference& reference, Bounds& bounds) : reference_(reference), bounds_(bounds) {}

  std::string operator()(const PointShape& shape) const { return geometry("Point", position(shape.at)); }

  std::string operator()(const LineShape& shape) const {
    if (shape.parts.size() == 1) return geometry("LineString", positions(shape.parts.front()));
    std::vector<std::string> all;
    for (const auto& part : shape.parts) all.push_back(positions(part));
    return geometry("MultiLineString", array(all));
  }

  std::string operator()(const AreaShape& shape) const {
    if (shape.parts.size() == 1) return geometry("Polygon", polygon(shape.parts.front()));
    std::vector<std::string> all;
    for (const AreaPart& part : shape.parts) all.push_back(polygon(part));
    return geometry("MultiPolygon", array(all));
  }

 private:
  static std::string geometry(std::string_view type, const std::string& coordinates) {
    return fmt::format(R"({{"type":"{}","coordinates":{}}})", type, coordinates);
  }

  static std::string array(const std::vector<std::string>& elements) {
    return fmt::format("[{}]", fmt::join(elements, ","));
  }

  std::string position(PlanPoint p) const {
    const LonLat at = reference_.to_lon_lat(p);
    bounds_.hold(at);
    return fmt::format("[{},{}]", degrees(at.lon_deg), degrees(at.lat_deg));
  }

  std::string positions(const std::vector<PlanPoint>& points) const {
    std::vector<std::string> all;
    for (const PlanPoint& p : points) all.push_back(position(p));
    return array(all);
  }

  static double twice_area(const std::vector<PlanPoint>& ring) {
    double sum = 0;
    for (std::size_t i = 0; i < ring.size(); ++i) {
      const PlanVector a = ring[i] - ring.front(), b = ring[(i + 1) % ring.size()] - ring.front();
      sum -= clockwise_cross(a, b);
    }
    return sum;
  }

  /// A closed ring by the right-hand rule: the area lies to the left (RFC 7946, section 3.1.6).
  std::string ring(std::vector<PlanPoint> points, bool outer) const {
    if ((twice_area(points) > 0) != outer) std::reverse(points.begin(), points.end());
    points.push_back(points.front());
    return positions(points);
  }

  std::string polygon(const AreaPart& part) const {
    std::vector<std::string> rings{ring(part.outer, true)};
    for (const auto& hole : part.holes) rings.push_back(ring(hole, false));
    return array(rings);
  }

  const GeoReference& reference_;
  Bounds& bounds_;
};

Json as_json(const TableValue& value) {
  if (const bool* b = std::get_if<bool>(&value)) return *b;
  if (const std::int64_t* whole = std::get_if<std::int64_t>(&value)) return *whole;
  if (const double* real = std::get_if<double>(&value)) return *real;
  if (const std::string* text = std::get_if<std::string>(&value)) return *text;
  return nullptr;
}

std::string properties(const TableSchema& schema, const TableRow& row) {
  Json all{{"layer", schema.name}};
  for (std::size_t i = 0; i < row.values.size(); ++i)
    all[std::string(schema.fields[i].name)] = as_json(row.values[i]);
  return all.dump(-1, ' ', false, Json::error_handler_t::replace);
}

}  // namespace

std::string write_geojson(std::span<const JobFindings> jobs) {
  Bounds bounds;
  std::vector<std::string> features;
  lon_lat_frame(jobs, "GeoJSON");
  for (const JobFindings& job : jobs) {
    const Geometry geometry(*job.placed->georeference, bounds);
    for (const Table& table : tabulate(job, CoordinateKind::lon_lat))
      for (const TableRow& row : table.rows)
        features.push_back(fmt::format(R"({{"type":"Feature","geometry":{},"properties":{}}})",
                                       std::visit(geometry, row.geometry), properties(*table.schema, row)));
  }
  std::string bbox;
  if (!features.empty())
    bbox = fmt::format(R"("bbox":[{},{},{},{}],)", degrees(bounds.west), degrees(bounds.south), degrees(bounds.east),
                       degrees(bounds.north));
  // Members of our own, which the standard allows (section 6.1).
  Json cautions = cautions_of(jobs);
  return fmt::format("{{\"type\":\"FeatureCollection\",{}\"cautions\":{},\"features\":[\n{}\n]}}\n", bbox,
                     cautions.dump(-1, ' ', false, Json::error_handler_t::replace), fmt::join(features, ",\n"));
}

}  // namespace swingtie
