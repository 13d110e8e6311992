#include "sheet/invented_lot.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "measure/bearing.hpp"

namespace swingtie {
namespace {

/// Steele's SplitMix64: equal on every machine, unlike the standard distributions.
class Dice {
 public:
  explicit Dice(std::uint64_t seed) : state_(seed) {}
  double between(double low, double high) {
    state_ += 0x9e3779b97f4a7c15u;
    std::uint64_t z = state_;
    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
    return low + (high - low) * static_cast<double>((z ^ (z >> 31)) >> 11) * 0x1.0p-53;
  }
  int count(int low, int high) { return low + static_cast<int>(between(0, high - low + 0.999)); }
  bool chance(double p) { return between(0, 1) < p; }

 private:
  std::uint64_t state_;
};

PlacedPoint exactly(PlanPoint p) {
  PlacedPoint out;
  out.at = p;
  return out;
}

class LevelGround : public GroundSurface {
 public:
  double height(PlanPoint) const override { return 0; }
  double sigma(PlanPoint) const override { return 0.1; }
  bool has_elevations() const override { return false; }
};

/// A sphere is near enough: the tests look at the sheet, not at geodesy.
class SphereReference : public GeoReference {
 public:
  LonLat to_lon_lat(PlanPoint p) const override {
    return {-81.4 + p.e / (6371000 * std::cos(41.2 * degree)) / degree, 41.2 + p.n / 6371000 / degree};
  }
  PlanPoint from_lon_lat(LonLat q) const override {
    return {(q.lon_deg + 81.4) * degree * 6371000 * std::cos(41.2 * degree), (q.lat_deg - 41.2) * degree * 6371000};
  }
  Azimuth grid_north(PlanPoint) const override { return {0}; }
  std::string wkt() const override { return ""; }
  double metres_per_grid_unit() const override { return 1; }
  double accuracy() const override { return 0; }
};

/// Makes one lot in a frame with the street along x and the house above, turned and moved at the end.
class LotMaker {
 public:
  explicit LotMaker(std::uint64_t seed) : dice_(seed) {}

  InventedLot make() {
    Placed& p = lot_.placed;
    p.site_name = dice_.chance(0.1)
                      ? "The Old Chandlery and Rope Walk at 1180 Lower Embankment Terrace, Saltmarsh Heath"
                      : fmt::format("{} Larkspur Lane, Wendover Flats", dice_.count(1, 999));
    p.inspected = "2026-04-18";
    p.by = "Field team 2";
    p.unit = dice_.chance(0.6) ? LengthUnit::foot : LengthUnit::metre;
    p.ground = std::make_shared<LevelGround>();
    if (dice_.chance(0.5)) p.georeference = std::make_shared<SphereReference>();
    turn_ = dice_.between(0, 2 * pi);
    length_ = dice_.chance(0.1)   ? dice_.between(6, 10)
              : dice_.chance(0.1) ? dice_.between(80, 180)
                                  : dice_.between(14, 40);
    make_line();
    make_features();
    make_items();
    make_digs();
    make_rest();
    return std::move(lot_);
  }

 private:
  PlanPoint at(double x, double y) const {
    return {1000 + x * std::cos(turn_) + y * std::sin(turn_), 2000 - x * std::sin(turn_) + y * std::cos(turn_)};
  }
  std::vector<PlanPoint> box(double x, double y, double w, double h) const {
    return {at(x, y), at(x + w, y), at(x + w, y + h), at(x, y + h)};
  }

  void make_line() {
    Line line;
    line.id = "main";
    lot_.placed.lines = {line};
    LineFinding f;
    f.id = "main";
    // From the house toward the street, with bends.
    double heading = pi, x = 0, y = length_, station = 0;
    const double step = 0.6, located = dice_.between(0.3, 1.1) * length_;
    double next_bend = dice_.between(3, 10);
    while (station <= length_ * 1.05) {
      StationFinding s;
      s.station = {station};
      s.depth = 1.2 + 0.02 * station;
      const PlanPoint q = at(x, y);
      s.at = {q.e, q.n, -s.depth};
      s.across95 = 0.25 + 0.02 * std::max(0.0, station - located);
      s.within_tolerance = station < located;
      s.knowledge = station < located ? Knowledge::located : Knowledge::inferred;
      s.ellipse95 = {s.across95, s.across95, {0}};
      s.depth95 = {s.depth - s.across95, s.depth + s.across95};
      f.stations.push_back(s);
      xs_.push_back(x);
      ys_.push_back(y);
      station += step;
      if (station > next_bend) {
        heading = std::clamp(heading + (dice_.chance(0.5) ? 1 : -1) * dice_.between(0.2, 0.8), pi - 0.9, pi + 0.9);
        next_bend += dice_.between(4, 12);
      }
      x += step * std::sin(heading);
      y += step * std::cos(heading);
    }
    f.length = f.stations.back().station.metres;
    f.length95 = {f.length - 0.4, f.length + 0.4};
    std::vector<PlanPoint> left, right;
    for (std::size_t i = 0; i < xs_.size(); ++i) {
      left.push_back(at(xs_[i] - f.stations[i].across95, ys_[i]));
      right.push_back(at(xs_[i] + f.stations[i].across95, ys_[i]));
    }
    left.insert(left.end(), right.rbegin(), right.rend());
    f.corridor95 = {left};
    f.alternatives.push_back({0.85, {}, {}});
    if (dice_.chance(0.3)) {
      RouteAlternative other{0.15, {}, {"a bend left may have been a bend right"}};
      for (std::size_t i = 0; i < xs_.size(); ++i) {
        const PlanPoint q = at(xs_[i] + 0.12 * static_cast<double>(i), ys_[i]);
        other.route.push_back({q.e, q.n, -1.5});
      }
      f.alternatives.push_back(other);
    }
    const double change = dice_.between(0.2, 0.8) * f.length;
    f.pipes = {{{0}, {change}, {0.1, Material::cast_iron, "4 in cast iron"}},
               {{change}, {f.length}, {0.15, Material::clay, "6 in clay"}}};
    lot_.findings.lines = {f};
  }

  std::size_t index_of(double station) const {
    return std::min(static_cast<std::size_t>(station / 0.6), xs_.size() - 1);
  }

  void add(Feature f) { lot_.placed.features.push_back(std::move(f)); }

  void make_features() {
    const double end_y = ys_.back();
    row_y_ = end_y + 0.35 * (length_ - end_y);
    Feature house;
    house.id = "house";
    house.kind = FeatureKind::house;
    house.shape = GeometryKind::area;
    house.areas = {AreaPart{box(-dice_.between(2, 9), length_ - 1, dice_.between(10, 16), dice_.between(7, 12)), {}}};
    const char* names[] = {"sw", "se", "ne", "nw"};
    for (int k = 0; k < 4; ++k) house.corners.push_back({names[k], exactly(house.areas[0].outer[k])});
    add(house);
    if (dice_.chance(0.8)) {
      Feature row;
      row.id = "row";
      row.kind = FeatureKind::right_of_way;
      row.shape = GeometryKind::line;
      row.lines = {{at(-30, row_y_), at(30, row_y_ + dice_.between(-2, 2))}};
      add(row);
    }
    if (dice_.chance(0.7)) {
      Feature lot;
      lot.id = "lot";
      lot.kind = FeatureKind::lot;
      lot.shape = GeometryKind::area;
      lot.areas = {AreaPart{box(-11, row_y_, 24, length_ * 1.4), {}}};
      for (int k = 0; k < 4; ++k) lot.corners.push_back({names[k], exactly(lot.areas[0].outer[k])});
      add(lot);
    }
    Feature curb;
    curb.id = "curb";
    curb.kind = FeatureKind::curb;
    curb.shape = GeometryKind::line;
    curb.lines = {{at(-30, row_y_ - 3.5), at(0, row_y_ - 3.2), at(30, row_y_ - 3.6)}};
    add(curb);
    Feature sewer;
    sewer.id = "sewer";
    sewer.kind = FeatureKind::main;
    sewer.label = "city sewer";
    sewer.shape = GeometryKind::line;
    sewer.lines = {{at(-40, end_y), at(40, end_y - 1)}};
    add(sewer);
    const FeatureKind services[] = {FeatureKind::water, FeatureKind::gas, FeatureKind::electric, FeatureKind::comms};
    for (const FeatureKind kind : services) {
      if (!dice_.chance(0.4)) continue;
      Feature service;
      service.id = fmt::format("service-{}", static_cast<int>(kind));
      service.kind = kind;
      service.shape = GeometryKind::line;
      service.size = 0.05;
      service.depth = 0.9;
      const double x = dice_.between(-8, 8);
      service.lines = {{at(x, length_), at(x + dice_.between(-3, 3), end_y - 2)}};
      add(service);
    }
    for (int k = dice_.count(0, 4); k > 0; --k) {
      Feature tree;
      tree.id = fmt::format("tree-{}", k);
      tree.kind = FeatureKind::tree;
      tree.label = k % 2 == 0 ? "silver linden" : "pear";
      tree.point = at(dice_.between(-9, 9), dice_.between(end_y, length_ - 2));
      tree.trunk = dice_.between(0.1, 0.8);
      tree.spread = dice_.between(3, 12);
      tree.corners = {{"1", exactly(tree.point)}};
      TreeFinding t;
      t.feature = lot_.placed.features.size();
      t.root_zone = 12 * *tree.trunk;
      t.distance = 2;
      t.distance95 = {1.5, 2.5};
      t.says = "the line passes 2.0 m from the trunk";
      add(tree);
      lot_.findings.trees.push_back(t);
    }
    const FeatureKind fixtures[] = {FeatureKind::hydrant, FeatureKind::pole, FeatureKind::meter, FeatureKind::valve,
                                    FeatureKind::manhole, FeatureKind::mark, FeatureKind::rock};
    for (const FeatureKind kind : fixtures) {
      if (!dice_.chance(0.4)) continue;
      Feature fixture;
      fixture.id = fmt::format("fixture-{}", static_cast<int>(kind));
      fixture.kind = kind;
      fixture.point = at(dice_.between(-10, 10), row_y_ + dice_.between(-5, 4));
      fixture.corners = {{"1", exactly(fixture.point)}};
      add(fixture);
    }
    if (dice_.chance(0.6)) {
      Feature drive;
      drive.id = "drive";
      drive.kind = FeatureKind::driveway;
      drive.shape = GeometryKind::area;
      drive.areas = {AreaPart{box(6, row_y_ - 3, 3, length_ - row_y_), {}}};
      add(drive);
    }
    if (dice_.chance(0.4)) {
      Feature fence;
      fence.id = "fence";
      fence.kind = FeatureKind::fence;
      fence.shape = GeometryKind::line;
      fence.lines = {{at(-9, row_y_ + 1), at(-9, length_)}};
      add(fence);
    }
    lot_.findings.viewer.facing = azimuth(at(0, 0), at(0, 1));
    lot_.findings.viewer.from_street = true;
    lot_.findings.rules.tolerance_zone = 0.4572;
  }

  void make_items() {
    Run run;
    run.id = "R1";
    run.access = exactly(at(xs_[0], ys_[0]));
    run.access_what = dice_.chance(0.5) ? "basement floor clean-out" : "clean-out by the porch";
    const char* seen[] = {"joint offset 1 in, soil washing in",
                          "roots",
                          "hairline crack",
                          "belly, standing water a third of the bore",
                          "root mass through the joint, flow backs up behind it",
                          "scale",
                          "change of grade"};
    const int count = dice_.count(1, 9);
    for (int k = 0; k < count; ++k) {
      const double station = dice_.between(0.08, 0.95) * lot_.findings.lines[0].length;
      LogItem log;
      log.at = {station + 0.1};
      log.what = seen[dice_.count(0, 6)];
      log.act = dice_.chance(0.25) ? Act::dig : dice_.chance(0.4) ? Act::watch : Act::none;
      run.log.push_back(log);
    }
    std::sort(run.log.begin(), run.log.end(), [](const LogItem& a, const LogItem& b) { return a.at < b.at; });
    for (std::size_t k = 0; k < run.log.size(); ++k) {
      ItemFinding item;
      item.log = k;
      item.at = run.log[k].at;
      item.station = {item.at.metres - 0.1};
      item.station95 = {item.station.metres - 0.3, item.station.metres + 0.3};
      item.what = run.log[k].what;
      item.act = run.log[k].act;
      const StationFinding& s = lot_.findings.lines[0].stations[index_of(item.station.metres)];
      item.position = s.at;
      item.depth = s.depth;
      item.depth95 = s.depth95;
      item.ellipse95 = {0.5, 0.3, {turn_}};
      std::vector<PlanPoint> ring;
      for (int i = 0; i < 16; ++i) ring.push_back(plan(s.at) + (0.3 + s.across95) * direction({i * pi / 8}));
      item.region95 = {ring};
      item.private_probability = ys_[index_of(item.station.metres)] > row_y_ ? 0.9995 : 0.02;
      lot_.findings.items.push_back(item);
    }
    const int locates = dice_.count(2, 6);
    for (int k = 0; k < locates; ++k) {
      const std::size_t i = index_of((k + 0.5) / locates * lot_.findings.lines[0].length);
      Locate locate;
      locate.at = {0.6 * static_cast<double>(i)};
      locate.position.at = at(xs_[i] + dice_.between(-0.4, 0.4), ys_[i]);
      run.locates.push_back(locate);
      LocateFinding f;
      f.locate = static_cast<std::size_t>(k);
      f.read = locate.position.at;
      f.adjusted = at(xs_[i], ys_[i]);
      f.depth_read = 1.3 + 0.02 * locate.at.metres;
      f.across = 0.2;
      f.wrong_probability = dice_.chance(0.15) ? 0.97 : 0.01;
      f.ellipse95 = {0.6, 0.3, {turn_}};
      lot_.findings.locates.push_back(f);
    }
    lot_.placed.runs = {run};
  }

  TieSet ties_to(PlanPoint target, const std::string& of) {
    TieSet set;
    set.target = target;
    set.of = of;
    set.finder_radius95 = 0.3;
    const Feature& house = lot_.placed.features.front();
    for (int k = 0; k < 2; ++k) {
      SwingTie tie;
      tie.from = k == 0 ? "house.sw" : "house.se";
      tie.says = k == 0 ? "house, southwest corner" : "house, southeast corner";
      tie.fixed = house.corners[k].point.at;
      tie.distance = distance(tie.fixed, target);
      tie.distance95 = {tie.distance - 0.15, tie.distance + 0.15};
      set.ties.push_back(tie);
    }
    for (const Feature& f : lot_.placed.features) {
      if (f.kind != FeatureKind::hydrant && f.kind != FeatureKind::pole) continue;
      SwingTie tie;
      tie.from = f.id;
      tie.says = f.kind == FeatureKind::pole ? "pole" : "hydrant";
      tie.fixed = f.point;
      tie.distance = distance(tie.fixed, target);
      tie.distance95 = {tie.distance - 0.2, tie.distance + 0.2};
      tie.check = true;
      set.ties.push_back(tie);
      break;
    }
    return set;
  }

  std::array<PlanPoint, 4> rectangle(PlanPoint c, Azimuth along, double length, double width) const {
    const PlanVector u = direction(along), v = right_of(u);
    return {c + (-length / 2) * u + (-width / 2) * v, c + (length / 2) * u + (-width / 2) * v,
            c + (length / 2) * u + (width / 2) * v, c + (-length / 2) * u + (width / 2) * v};
  }

  void make_digs() {
    for (std::size_t i = 0; i < lot_.findings.items.size(); ++i) {
      const ItemFinding& item = lot_.findings.items[i];
      if (item.act != Act::dig) continue;
      DigFinding dig;
      dig.item = i;
      dig.position = item.position;
      const std::size_t k = std::min(index_of(item.station.metres), xs_.size() - 2);
      dig.along = azimuth(at(xs_[k], ys_[k]), at(xs_[k + 1], ys_[k + 1]));
      dig.window_length = dice_.between(0.6, 2.5);
      dig.window_width = dice_.between(0.5, 1.6);
      dig.window = rectangle(plan(item.position), dig.along, dig.window_length, dig.window_width);
      dig.bottom = rectangle(plan(item.position), dig.along, dig.window_length + 0.6, dig.window_width + 0.6);
      dig.contains_probability = 0.95;
      dig.depth_to_top = item.depth - 0.08;
      dig.depth_to_invert = item.depth + 0.07;
      dig.depth_to_top95 = {item.depth95.low - 0.08, item.depth95.high - 0.08};
      dig.depth_to_invert95 = {item.depth95.low + 0.07, item.depth95.high + 0.07};
      Footprint slope;
      slope.sides = "sloped, type C soil";
      slope.applies = true;
      slope.slope = 1.5;
      slope.length = dig.window_length + 3 * item.depth;
      slope.width = dig.window_width + 3 * item.depth;
      const auto ring = rectangle(plan(item.position), dig.along, slope.length, slope.width);
      slope.outline = {ring.begin(), ring.end()};
      slope.volume = 20;
      dig.footprints = {slope};
      dig.thresholds = {"4.0 ft or deeper: a ladder within 25 ft of every worker"};
      dig.ties = ties_to(plan(item.position), "dig point");
      dig.hole_depth = item.depth + 0.3;
      lot_.findings.digs.push_back(dig);
    }
  }

  void make_rest() {
    Findings& f = lot_.findings;
    for (std::size_t i = 0; i < lot_.placed.features.size(); ++i) {
      if (lot_.placed.features[i].kind != FeatureKind::right_of_way) continue;
      std::size_t k = 0;
      while (k + 1 < ys_.size() && ys_[k] > row_y_) ++k;
      Crossing c;
      c.feature = i;
      c.limit = true;
      c.station = f.lines[0].stations[k].station;
      c.station95 = {c.station.metres - 0.4, c.station.metres + 0.4};
      c.position = f.lines[0].stations[k].at;
      c.depth = f.lines[0].stations[k].depth;
      c.depth95 = f.lines[0].stations[k].depth95;
      c.says = "the line crosses the right-of-way line";
      f.crossings = {c};
      f.sides = {{0, true, "4 in cast iron", c.station.metres, c.station95},
                 {0, false, "6 in clay", f.lines[0].length - c.station.metres, {1, 9}}};
      f.tie_sets = {ties_to(plan(c.position), "right-of-way crossing")};
      f.ownership = {"the right-of-way line", "city sewer code",
                     "Taken as private up to the right-of-way line; confirm with the city."};
    }
    f.grades = {{0, {0}, {f.lines[0].length / 2}, 0.021, {0.005, 0.037}, 0.0208, "falls"},
                {0, {f.lines[0].length / 2}, {f.lines[0].length}, 0.018, {-0.004, 0.04}, 0.0208, ""}};
    f.cautions = {
        "Positions and depths are estimates from readings at the surface, with the uncertainty stated beside them.",
        "Call the one-call service and wait for the marks before digging.",
        "Inside the tolerance zone expose by hand or vacuum.",
        "Protection of the trench is decided on the spot by a competent person.",
        "Right-of-way and lot lines drawn here are not a boundary survey.",
        "Local codes and licensed practice rule."};
  }

  Dice dice_;
  InventedLot lot_;
  double turn_ = 0, length_ = 20, row_y_ = 0;
  std::vector<double> xs_, ys_;
};

}  // namespace

InventedLot invented_lot(std::uint64_t seed) {
  return LotMaker(seed).make();
}

}  // namespace swingtie
