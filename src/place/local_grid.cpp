#include "place/local_grid.hpp"

#include <cmath>

#include "measure/bearing.hpp"
#include "place/standard_errors.hpp"

namespace swingtie {
namespace {

/// WGS 84 ellipsoid (NGA.STND.0036).
constexpr double semi_major = 6378137.0;
constexpr double flattening = 1 / 298.257223563;
constexpr double eccentricity2 = flattening * (2 - flattening);

struct Topocentric {
  double east = 0, north = 0, up = 0;
};

class LocalGrid : public GeoReference {
 public:
  explicit LocalGrid(const AnchorPoint& anchor)
      : grid_{anchor.grid_e, anchor.grid_n},
        origin_(geocentric({anchor.lon_deg, anchor.lat_deg}, 0)),
        lat_(anchor.lat_deg * degree),
        lon_(anchor.lon_deg * degree),
        turn_(anchor.grid_north.radians),
        rms_(anchor.within.value_or(standard_errors::phone_within) / standard_errors::radius95_per_rms) {}

  PlanPoint from_lon_lat(LonLat at) const override {
    const Topocentric t = topocentric(geocentric(at, 0));
    // Grid north points along azimuth turn_: a true azimuth A reads A - turn_ on the grid.
    const double c = std::cos(turn_), s = std::sin(turn_);
    return grid_ + PlanVector{t.east * c - t.north * s, t.east * s + t.north * c};
  }

  LonLat to_lon_lat(PlanPoint p) const override {
    const PlanVector v = p - grid_;
    const double c = std::cos(turn_), s = std::sin(turn_);
    const double east = v.de * c + v.dn * s, north = v.dn * c - v.de * s;
    // The point of the plane is straight above that of the ellipsoid: guess, see where the guess falls, step.
    LonLat at{(lon_ + east / (semi_major * std::cos(lat_))) / degree, (lat_ + north / semi_major) / degree};
    for (int i = 0; i < 20; ++i) {
      const Topocentric t = topocentric(geocentric(at, 0));
      const double de = east - t.east, dn = north - t.north;
      at.lon_deg += de / (semi_major * std::cos(at.lat_deg * degree)) / degree;
      at.lat_deg += dn / semi_major / degree;
      if (std::hypot(de, dn) < 1e-9) break;
    }
    return at;
  }

  Azimuth grid_north(PlanPoint p) const override {
    // Meridians converge: true north at p, seen from the anchor, turns by the difference of longitude times sin(lat).
    const LonLat at = to_lon_lat(p);
    const double convergence = (at.lon_deg * degree - lon_) * std::sin(0.5 * (at.lat_deg * degree + lat_));
    return {turn_ + convergence};
  }

  std::string wkt() const override { return {}; }
  double metres_per_grid_unit() const override { return 1; }
  double accuracy() const override { return rms_; }

 private:
  Topocentric topocentric(Geocentric g) const {
    const double dx = g.x - origin_.x, dy = g.y - origin_.y, dz = g.z - origin_.z;
    const double sl = std::sin(lon_), cl = std::cos(lon_), sp = std::sin(lat_), cp = std::cos(lat_);
    return {-sl * dx + cl * dy, -sp * cl * dx - sp * sl * dy + cp * dz, cp * cl * dx + cp * sl * dy + sp * dz};
  }

  PlanPoint grid_;
  Geocentric origin_;
  double lat_, lon_, turn_, rms_;
};

}  // namespace

Geocentric geocentric(LonLat at, double height) {
  const double lat = at.lat_deg * degree, lon = at.lon_deg * degree;
  const double nu = semi_major / std::sqrt(1 - eccentricity2 * std::sin(lat) * std::sin(lat));
  return {(nu + height) * std::cos(lat) * std::cos(lon), (nu + height) * std::cos(lat) * std::sin(lon),
          ((1 - eccentricity2) * nu + height) * std::sin(lat)};
}

double grid_scale(const GeoReference& grid, PlanPoint at) {
  const LonLat here = grid.to_lon_lat(at);
  const double sine = std::sin(here.lat_deg * degree);
  const double w = std::sqrt(1 - eccentricity2 * sine * sine);
  constexpr double step_deg = 1e-3;  // some 100 m
  const double meridian = semi_major * (1 - eccentricity2) / (w * w * w) * 2 * step_deg * degree;
  const double parallel = semi_major / w * std::cos(here.lat_deg * degree) * 2 * step_deg * degree;
  const auto between = [&](LonLat a, LonLat b) { return distance(grid.from_lon_lat(a), grid.from_lon_lat(b)); };
  const double north =
      between({here.lon_deg, here.lat_deg - step_deg}, {here.lon_deg, here.lat_deg + step_deg}) / meridian;
  const double east =
      between({here.lon_deg - step_deg, here.lat_deg}, {here.lon_deg + step_deg, here.lat_deg}) / parallel;
  return std::abs(north - 1) > std::abs(east - 1) ? north : east;
}

std::shared_ptr<const GeoReference> local_grid(const AnchorPoint& anchor) {
  return std::make_shared<LocalGrid>(anchor);
}

}  // namespace swingtie
