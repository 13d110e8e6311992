#include "simulate/lot.hpp"

#include <algorithm>
#include <cmath>

#include "measure/bearing.hpp"
#include "measure/length.hpp"

namespace swingtie::simulate {

namespace {

constexpr double ft = metres_per_foot;

Feature feature(std::string id, FeatureKind kind, GeometryKind shape) {
  Feature made;
  made.id = made.label = std::move(id);
  made.kind = kind;
  made.shape = shape;
  return made;
}

void name_corners(Feature& made, const std::vector<PlanPoint>& vertices) {
  for (std::size_t i = 0; i < vertices.size(); ++i)
    made.corners.push_back({std::to_string(i + 1), {vertices[i], made.covariance}});
}

Feature straight_line(std::string id, FeatureKind kind, Eigen::Vector2d through, double azimuth_rad, double half) {
  const Eigen::Vector2d along(std::sin(azimuth_rad), std::cos(azimuth_rad));
  Feature made = feature(std::move(id), kind, GeometryKind::line);
  const std::vector<PlanPoint> vertices = {rounded_ft(through - half * along, 0.01),
                                           rounded_ft(through + half * along, 0.01)};
  made.lines.push_back(vertices);
  return made;
}

}  // namespace

double rounded_ft(double metres, double step_ft) {
  // Divide by whole steps per foot: 412 / 100 is the very double that reading `4.12` gives.
  const double steps_per_ft = std::round(1 / step_ft);
  return std::round(metres / ft * steps_per_ft) / steps_per_ft * ft;
}

PlanPoint rounded_ft(Eigen::Vector2d point, double step_ft) {
  return {rounded_ft(point.x(), step_ft), rounded_ft(point.y(), step_ft)};
}

double main_sigma() {
  return 2.0 * ft / std::sqrt(-2 * std::log(0.05));
}

std::vector<Feature> lot_around(const TrueLine& line, bool around_house, Random& random) {
  const Eigen::Vector2d start = line.vertices.front().head<2>(), end = line.vertices.back().head<2>();
  const Eigen::Vector2d chord = end - start;
  const double to_street = std::atan2(chord.x(), chord.y());
  const Eigen::Vector2d street(std::sin(to_street), std::cos(to_street));
  const Eigen::Vector2d right(street.y(), -street.x());

  std::vector<Feature> features;
  const double street_azimuth = to_street + pi / 2 + random.uniform(-15, 15) * degree;
  features.push_back(
      straight_line("curb", FeatureKind::curb, end - random.uniform(6, 14) * ft * street, street_azimuth, 120 * ft));

  // The clean-out stands in the wall that faces the street, or in the back wall when the line goes around the house.
  Feature house = feature("house", FeatureKind::house, GeometryKind::area);
  const double left_of_access = random.uniform(6, 22) * ft, width = random.uniform(26, 40) * ft;
  const double depth = random.uniform(24, 36) * ft;
  const double back = around_house ? 1 : -1;
  const Eigen::Vector2d corner = start - left_of_access * right;
  std::vector<PlanPoint> walls;
  for (const auto& [along, behind] : {std::pair{0.0, 0.0}, {width, 0.0}, {width, depth}, {0.0, depth}})
    walls.push_back(rounded_ft(corner + along * right + back * behind * street, 0.01));
  AreaPart part{walls, {}};
  double twice_area = 0;
  for (std::size_t i = 0; i < walls.size(); ++i) {
    const PlanPoint a = walls[i], b = walls[(i + 1) % walls.size()];
    twice_area += (a.e - start.x()) * (b.n - start.y()) - (b.e - start.x()) * (a.n - start.y());
  }
  if (twice_area < 0) std::reverse(part.outer.begin(), part.outer.end());
  house.area = std::abs(twice_area) / 2;
  house.areas.push_back(part);
  name_corners(house, walls);
  features.push_back(house);

  // Things to tie to by the street, one on either side.
  Feature hydrant = feature("hydrant", FeatureKind::hydrant, GeometryKind::point);
  hydrant.point = rounded_ft(end - random.uniform(12, 18) * ft * street - random.uniform(10, 30) * ft * right, 0.01);
  name_corners(hydrant, {hydrant.point});
  Feature pole = feature("pole", FeatureKind::pole, GeometryKind::point);
  pole.point = rounded_ft(end - random.uniform(12, 18) * ft * street + random.uniform(10, 30) * ft * right, 0.01);
  name_corners(pole, {pole.point});
  features.push_back(hydrant);

  Feature tree = feature("linden", FeatureKind::tree, GeometryKind::point);
  const Eigen::Vector3d beside = line.at(random.uniform(0.2, 0.9) * line.length());
  tree.point = rounded_ft(beside.head<2>() + random.uniform(-14, 14) * ft * right, 0.01);
  tree.trunk = 14 * metres_per_inch;
  tree.spread = 24 * ft;
  name_corners(tree, {tree.point});
  features.push_back(tree);

  const double off_map = random.normal(0, main_sigma());
  const double main_azimuth = to_street + pi / 2 + random.uniform(-20, 20) * degree;
  const Eigen::Vector2d across_main(std::cos(main_azimuth), -std::sin(main_azimuth));
  Feature main_line = straight_line("main", FeatureKind::main, end + off_map * across_main, main_azimuth, 120 * ft);
  main_line.covariance = main_sigma() * main_sigma() * PlanCovariance::Identity();
  features.push_back(main_line);
  features.push_back(pole);

  const Eigen::Vector3d crossed = line.at(random.uniform(0.4, 0.95) * line.length());
  features.push_back(straight_line("row", FeatureKind::right_of_way, crossed.head<2>(),
                                   to_street + pi / 2 + random.uniform(-20, 20) * degree, 150 * ft));
  for (Feature& made : features)
    if (made.shape == GeometryKind::line) name_corners(made, made.lines.front());
  return features;
}

}  // namespace swingtie::simulate
