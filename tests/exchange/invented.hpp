#pragma once

#include <cmath>
#include <memory>

#include "exchange/table.hpp"
#include "measure/bearing.hpp"

namespace swingtie::invented {

/// A georeference that needs no library: degrees on a sphere of 6,371 km around an origin. Good for a lot.
class Sphere final : public GeoReference {
 public:
  static constexpr double metres_per_degree = 6371000.0 * degree;
  LonLat to_lon_lat(PlanPoint p) const override {
    return {lon0 + p.e / (metres_per_degree * std::cos(lat0 * degree)), lat0 + p.n / metres_per_degree};
  }
  PlanPoint from_lon_lat(LonLat l) const override {
    return {(l.lon_deg - lon0) * metres_per_degree * std::cos(lat0 * degree), (l.lat_deg - lat0) * metres_per_degree};
  }
  Azimuth grid_north(PlanPoint) const override { return {}; }
  std::string wkt() const override { return {}; }
  double metres_per_grid_unit() const override { return metres_per_foot; }
  double accuracy() const override { return 0; }

 private:
  double lat0 = 41.2, lon0 = -81.4;
};

class FlatGround final : public GroundSurface {
 public:
  double height(PlanPoint) const override { return 0; }
  double sigma(PlanPoint) const override { return 0; }
  bool has_elevations() const override { return false; }
};

/// A lot with a house, a courtyard hole in it, a tree, a right-of-way, one run with one item to dig and one crossing.
struct Lot {
  Placed placed;
  Findings findings;
  JobFindings result() const { return {&placed, &findings, "invented"}; }
};

inline std::vector<PlanPoint> box(double e0, double n0, double e1, double n1) {
  return {{e0, n0}, {e1, n0}, {e1, n1}, {e0, n1}};
}

inline Lot lot() {
  Lot lot;
  Placed& placed = lot.placed;
  placed.site_name = "8 Invented Way";
  placed.inspected = "2026-04-18";
  placed.unit = LengthUnit::foot;
  placed.georeference = std::make_shared<Sphere>();
  placed.ground = std::make_shared<FlatGround>();
  const double ft = metres_per_foot;

  Feature house;
  house.id = house.label = "house";
  house.kind = FeatureKind::house;
  house.shape = GeometryKind::area;
  // The hole is written counter-clockwise on purpose: an exporter turns it.
  house.areas = {{box(0, 0, 30 * ft, 20 * ft), {box(10 * ft, 5 * ft, 15 * ft, 10 * ft)}}};
  house.corners = {{"sw", {{0, 0}, {}}}, {"se", {{30 * ft, 0}, {}}}};
  house.area = 575 * ft * ft;
  Feature row;
  row.id = row.label = "row";
  row.kind = FeatureKind::right_of_way;
  row.shape = GeometryKind::line;
  row.lines = {{{-20 * ft, -40 * ft}, {60 * ft, -40 * ft}}};
  Feature tree;
  tree.id = "linden";
  tree.label = "tilleul d'été \"grand\"";
  tree.kind = FeatureKind::tree;
  tree.point = {20 * ft, -25 * ft};
  tree.trunk = 14 * metres_per_inch;
  tree.covariance = tree.grid_covariance = PlanCovariance::Identity() * 0.01;
  placed.features = {house, tree, row};

  placed.lines = {{"main", Line::OpenEnd{}, std::nullopt, {}}};
  Run run;
  run.id = "R1";
  run.access = {{9 * ft, -1 * ft}, PlanCovariance::Identity() * 0.0025};
  run.access_what = "clean-out";
  run.drop = 4 * ft;
  LogItem item;
  item.at = {21 * ft};
  item.what = "joint offset 1 in";
  item.act = Act::dig;
  run.log = {item};
  Locate locate;
  locate.at = {21 * ft};
  locate.position = {{9.2 * ft, -21 * ft}, PlanCovariance::Identity() * 0.01};
  locate.marked = "white stake";
  run.locates = {locate};
  placed.runs = {run};
  placed.ownership.until = PrivateUntil::right_of_way;
  placed.ownership.feature = 2;

  Findings& findings = lot.findings;
  LineFinding line;
  line.id = "main";
  line.length = 60 * ft;
  line.length95 = {59 * ft, 61 * ft};
  for (int i = 0; i <= 6; ++i) {
    StationFinding s;
    s.station = {10 * i * ft};
    s.at = {9 * ft, (-1 - 10 * i) * ft, -(4 + 0.2 * i) * ft};
    s.ellipse95 = {(0.5 + 0.1 * i) * ft, 0.4 * ft, {0.3}};
    s.depth = (4 + 0.2 * i) * ft;
    s.depth95 = {s.depth - 0.5 * ft, s.depth + 0.5 * ft};
    s.knowledge = i < 4 ? Knowledge::located : Knowledge::inferred;
    line.stations.push_back(s);
  }
  line.marks = line.stations;
  line.corridor95 = {box(8 * ft, -61 * ft, 10 * ft, -1 * ft)};
  line.pipes = {{{0}, {20 * ft}, {4 * metres_per_inch, Material::cast_iron, "4 in cast iron"}},
                {{20 * ft}, {60 * ft}, {6 * metres_per_inch, Material::clay, "6 in clay"}}};
  line.alternatives = {{0.9, {line.stations.front().at, line.stations.back().at}, {}},
                       {0.1, {line.stations.front().at, {12 * ft, -61 * ft, -5 * ft}}, {"a bend nobody wrote down"}}};
  findings.lines = {line};

  ItemFinding seen;
  seen.at = item.at;
  seen.station = {20 * ft};
  seen.station95 = {19.4 * ft, 20.6 * ft};
  seen.what = item.what;
  seen.act = Act::dig;
  seen.position = {9 * ft, -21 * ft, -4.4 * ft};
  seen.region95 = {box(8.4 * ft, -21.8 * ft, 9.6 * ft, -20.2 * ft)};
  seen.ellipse95 = {0.8 * ft, 0.6 * ft, {0}};
  seen.depth = 4.4 * ft;
  seen.depth95 = {3.9 * ft, 4.9 * ft};
  seen.private_probability = 0.9987;
  findings.items = {seen};

  Crossing crossing;
  crossing.feature = 2;
  crossing.station = {39 * ft};
  crossing.station95 = {38.2 * ft, 39.8 * ft};
  crossing.position = {9 * ft, -40 * ft, -4.8 * ft};
  crossing.ellipse95 = {0.9 * ft, 0.1 * ft, {pi / 2}};
  crossing.depth = 4.8 * ft;
  crossing.depth95 = {4.2 * ft, 5.4 * ft};
  findings.crossings = {crossing};
  findings.sides = {{0, true, "6 in clay", 39 * ft, {38 * ft, 40 * ft}}};

  DigFinding dig;
  dig.position = seen.position;
  const auto window = box(8 * ft, -22 * ft, 10 * ft, -20 * ft);
  std::copy(window.begin(), window.end(), dig.window.begin());
  dig.bottom = dig.window;
  dig.window_length = dig.window_width = 2 * ft;
  dig.contains_probability = 0.957;
  dig.along = {pi};
  dig.depth_to_top = 4.1 * ft;
  dig.depth_to_top95 = {3.6 * ft, 4.6 * ft};
  dig.depth_to_invert = 4.7 * ft;
  dig.depth_to_invert95 = {4.2 * ft, 5.2 * ft};
  dig.footprints = {{.sides = "shored box",
                     .applies = true,
                     .outline = window,
                     .length = 2 * ft,
                     .width = 2 * ft,
                     .volume = 18 * ft * ft * ft,
                     .spoil_setback = 2 * ft}};
  const auto tie = [&](const char* from, const char* says, double e, double distance) {
    SwingTie made;
    made.from = from;
    made.says = says;
    made.fixed = {e * ft, 0};
    made.distance = distance * ft;
    made.distance95 = {(distance - 0.6) * ft, (distance + 0.6) * ft};
    made.tape = format_length(made.distance, LengthUnit::foot, LengthStyle::tape);
    return made;
  };
  dig.ties.target = plan(seen.position);
  dig.ties.of = "dig point at 21";
  dig.ties.ties = {tie("house.sw", "house, southwest corner", 0, 22.85),
                   tie("house.se", "house, southeast corner", 30, 29.7)};
  dig.ties.finder_radius95 = 0.15 * ft;
  dig.ties.offset_words = "21' out from the front wall";
  findings.digs = {dig};
  findings.next_locates = {
      {0, {30 * ft}, "crossing row", 2.9 * ft, 1.1 * ft, false, false, true, "one more locate at 30"},
      {0, {30 * ft}, "which alternative", 0.91, 0.98, true, false, true, "tells the courses apart"}};
  LocateFinding fit;
  fit.read = locate.position.at;
  fit.adjusted = plan(seen.position);
  fit.across = 0.2 * ft;
  fit.ellipse95 = {0.3 * ft, 0.3 * ft, {0}};
  findings.locates = {fit};
  findings.explanations = {{0, "wrong-hand", {10 * ft}, 0.97, "the bend at 10 is left, not right", {}}};
  findings.cautions = {"Call before you dig."};
  return lot;
}

}  // namespace swingtie::invented
