#pragma once

#include <cmath>
#include <memory>
#include <random>

#include "findings/findings.hpp"
#include "measure/bearing.hpp"
#include "place/placed.hpp"
#include "route/posterior.hpp"

namespace swingtie::test {

/// Normal numbers that are the same with every standard library.
class Normal {
 public:
  explicit Normal(unsigned seed) : bits_(seed) {}
  double operator()(double sigma = 1) {
    const double u = uniform(), v = uniform();
    return sigma * std::sqrt(-2 * std::log(u)) * std::cos(2 * pi * v);
  }
  double uniform() { return (static_cast<double>(bits_() >> 11) + 0.5) * 0x1p-53; }

 private:
  std::mt19937_64 bits_;
};

struct FlatGround : GroundSurface {
  explicit FlatGround(bool elevations = false, double level = 0) : elevations_(elevations), level_(level) {}
  double height(PlanPoint) const override { return level_; }
  double sigma(PlanPoint) const override { return 0; }
  bool has_elevations() const override { return elevations_; }

 private:
  bool elevations_;
  double level_;
};

inline Feature point_feature(std::string id, FeatureKind kind, PlanPoint at) {
  Feature f;
  f.id = f.label = std::move(id);
  f.kind = kind;
  f.shape = GeometryKind::point;
  f.point = at;
  f.corners = {{"1", {at, PlanCovariance::Zero()}}};
  return f;
}

inline Feature line_feature(std::string id, FeatureKind kind, std::vector<PlanPoint> vertices) {
  Feature f;
  f.id = f.label = std::move(id);
  f.kind = kind;
  f.shape = GeometryKind::line;
  for (std::size_t i = 0; i < vertices.size(); ++i)
    f.corners.push_back({std::to_string(i + 1), {vertices[i], PlanCovariance::Zero()}});
  f.lines = {std::move(vertices)};
  return f;
}

/// @param ring  counter-clockwise
inline Feature area_feature(std::string id, FeatureKind kind, std::vector<PlanPoint> ring,
                            std::vector<std::string> corners = {}) {
  Feature f;
  f.id = f.label = std::move(id);
  f.kind = kind;
  f.shape = GeometryKind::area;
  for (std::size_t i = 0; i < ring.size(); ++i)
    f.corners.push_back({i < corners.size() ? corners[i] : std::to_string(i + 1), {ring[i], PlanCovariance::Zero()}});
  f.areas = {{std::move(ring), {}}};
  return f;
}

/// A lot in metres whose street runs along the south: the house's front wall on n = 0 from e = -6 to 6, the
/// right-of-way line at n = -12, the curb at -15, the city main at -19. The lateral leaves the house at e = 1 and
/// runs south. Readings with `feet` are printed in feet, the numbers stay metres.
inline Placed plain_lot(LengthUnit unit = LengthUnit::foot) {
  Placed placed;
  placed.site_name = "3 Sorrel Bend";
  placed.inspected = "2026-04-18";
  placed.unit = unit;
  placed.ground = std::make_shared<FlatGround>();
  placed.digging.rules = is_feet(unit) ? "us" : "none";
  // By id, as place() leaves them.
  placed.features = {
      line_feature("curb", FeatureKind::curb, {{-25, -15}, {25, -15}}),
      area_feature("house", FeatureKind::house, {{-6, 0}, {6, 0}, {6, 8}, {-6, 8}}, {"sw", "se", "ne", "nw"}),
      point_feature("hydrant", FeatureKind::hydrant, {11, -13.5}),
      area_feature("lot", FeatureKind::lot, {{-12, -12}, {12, -12}, {12, 20}, {-12, 20}}, {"sw", "se", "ne", "nw"}),
      line_feature("main", FeatureKind::main, {{-25, -19}, {25, -19}}),
      line_feature("row", FeatureKind::right_of_way, {{-25, -12}, {25, -12}}),
  };
  Line line;
  line.id = "main";
  placed.lines = {line};
  Run run;
  run.id = "R1";
  run.access.at = {1, 0};
  run.access_what = "clean-out";
  run.drop = 1.2;
  LogItem pipe, suspect, change, end;
  pipe.at = {0};
  pipe.pipe = Pipe{4 * metres_per_inch, Material::cast_iron, "4 in cast iron"};
  suspect.at = {8};
  suspect.what = "joint offset 1 in, soil washing in";
  suspect.act = Act::dig;
  change.at = {11.5};
  change.pipe = Pipe{6 * metres_per_inch, Material::clay, "6 in clay"};
  end.at = {19};
  end.end = "city main";
  end.ends_at_main = true;
  run.log = {pipe, suspect, change, end};
  placed.runs = {run};
  placed.ownership.until = PrivateUntil::right_of_way;
  placed.ownership.feature = 5;
  placed.ownership.source = "city sewer code";
  return placed;
}

inline std::size_t index_of(const Placed& placed, std::string_view id) {
  for (std::size_t i = 0; i < placed.features.size(); ++i)
    if (placed.features[i].id == id) return i;
  return placed.features.size();
}

/// How far the hand-made routes stray from the straight line south.
struct Spread {
  double start = 0.05, heading = 0.02, scale = 0.005, zero = 0.05, depth = 0.1,
         grade = 0.003;  ///< standard deviations
  double bow = 0;        ///< a share of `bow_share` of the draws bends by this many radians at half its length
  double bow_share = 0;
  double mean_depth = 1.6, fall = 0.02;
  double length = 19;
};

/// Routes drawn at random: start, heading, counter and depth independent and normal, the pipe otherwise straight.
inline Posterior straight_posterior(const Placed& placed, const Spread& spread = {}, int draws = 800,
                                    unsigned seed = 7) {
  Posterior out;
  Normal normal(seed);
  constexpr double piece = 0.6;
  const int pieces = static_cast<int>(std::ceil(spread.length / piece));
  for (int d = 0; d < draws; ++d) {
    RouteDraw draw;
    const bool bowed = spread.bow_share > 0 && d < spread.bow_share * draws;
    draw.alternative = bowed == (spread.bow_share > 0.5) ? 0 : 1;
    if (spread.bow_share == 0) draw.alternative = 0;
    double heading = pi + normal(spread.heading);
    const double fall = spread.fall + normal(spread.grade);
    SitePoint at{placed.runs[0].access.at.e + normal(spread.start), placed.runs[0].access.at.n + normal(spread.start),
                 -spread.mean_depth + normal(spread.depth)};
    RouteDraw::LineCourse course;
    for (int i = 0; i <= pieces; ++i) {
      course.vertices.push_back(at);
      course.stations.push_back(i * spread.length / pieces);
      course.pipe.push_back(i * spread.length / pieces);
      if (bowed && i == pieces / 2) heading += spread.bow;
      const double step = spread.length / pieces;
      at = {at.e + step * std::sin(heading), at.n + step * std::cos(heading), at.up - step * fall};
    }
    draw.lines = {course};
    RouteDraw::RunCounter counter;
    counter.scale = 1 + normal(spread.scale);
    counter.zero = normal(spread.zero);
    draw.runs = {counter};
    out.draws.push_back(std::move(draw));
  }
  std::vector<RouteStation> stations;
  for (int i = 0; i <= pieces; ++i) {
    RouteStation s;
    Eigen::Vector3d mean = Eigen::Vector3d::Zero();
    for (const RouteDraw& draw : out.draws) {
      const SitePoint p = draw.lines[0].vertices[static_cast<std::size_t>(i)];
      mean += Eigen::Vector3d(p.e, p.n, p.up) / draws;
    }
    double up2 = 0;
    for (const RouteDraw& draw : out.draws) {
      const SitePoint p = draw.lines[0].vertices[static_cast<std::size_t>(i)];
      const Eigen::Vector2d r(p.e - mean.x(), p.n - mean.y());
      s.covariance += r * r.transpose() / draws;
      up2 += (p.up - mean.z()) * (p.up - mean.z()) / draws;
    }
    s.station = {i * spread.length / pieces};
    s.at = {mean.x(), mean.y(), mean.z()};
    s.depth = placed.ground->height({mean.x(), mean.y()}) - mean.z();
    s.sigma_depth = std::sqrt(up2);
    s.knowledge = Knowledge::located;
    stations.push_back(s);
  }
  Alternative best;
  best.probability = 1 - (spread.bow_share > 0.5 ? 1 - spread.bow_share : spread.bow_share);
  std::vector<SitePoint> route;
  for (const RouteStation& s : stations) route.push_back(s.at);
  best.routes = {route};
  out.alternatives = {best};
  if (spread.bow_share > 0) {
    best.probability = 1 - best.probability;
    out.alternatives.push_back(best);
  }
  out.lines = {stations};
  return out;
}

}  // namespace swingtie::test
