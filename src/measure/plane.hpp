#pragma once

#include <cmath>
#include <compare>

namespace swingtie {

/// Direction in the plan, clockwise from grid north; any finite value, not wrapped.
/// The surveyor's convention: 0 is north, pi/2 is east. de = d*sin, dn = d*cos.
struct Azimuth {
  double radians = 0;
};

/// A displacement in the plan, metres.
struct PlanVector {
  double de = 0;  ///< toward grid east
  double dn = 0;  ///< toward grid north
};

/// A point in the plan, site grid, metres.
struct PlanPoint {
  double e = 0;  ///< grid easting
  double n = 0;  ///< grid northing
};

/// A point in space, site grid, metres. `up` is measured from the ground datum of the job: the job's own
/// elevations where it gives any, otherwise 0 at the (flat) ground surface.
struct SitePoint {
  double e = 0;
  double n = 0;
  double up = 0;
};

/// Distance along a line from its start, on the plan. Not a CounterReading, which lives on the cable.
struct Station {
  double metres = 0;
  auto operator<=>(const Station&) const = default;
};

/// What the counter showed, in metres of cable, before its scale and zero are known.
struct CounterReading {
  double metres = 0;
  auto operator<=>(const CounterReading&) const = default;
};

inline PlanVector operator-(PlanPoint a, PlanPoint b) {
  return {a.e - b.e, a.n - b.n};
}
inline PlanPoint operator+(PlanPoint p, PlanVector v) {
  return {p.e + v.de, p.n + v.dn};
}
inline PlanPoint operator-(PlanPoint p, PlanVector v) {
  return {p.e - v.de, p.n - v.dn};
}
inline PlanVector operator+(PlanVector a, PlanVector b) {
  return {a.de + b.de, a.dn + b.dn};
}
inline PlanVector operator-(PlanVector a, PlanVector b) {
  return {a.de - b.de, a.dn - b.dn};
}
inline PlanVector operator-(PlanVector a) {
  return {-a.de, -a.dn};
}
inline PlanVector operator*(double k, PlanVector v) {
  return {k * v.de, k * v.dn};
}
inline double operator-(Station a, Station b) {
  return a.metres - b.metres;
}
inline Station operator+(Station s, double metres) {
  return {s.metres + metres};
}
inline double operator-(CounterReading a, CounterReading b) {
  return a.metres - b.metres;
}

inline PlanPoint plan(SitePoint p) {
  return {p.e, p.n};
}
inline double dot(PlanVector a, PlanVector b) {
  return a.de * b.de + a.dn * b.dn;
}
/// Positive when b lies clockwise (to the right) of a, seen from above.
inline double clockwise_cross(PlanVector a, PlanVector b) {
  return a.dn * b.de - a.de * b.dn;
}
inline double length(PlanVector v) {
  return std::sqrt(v.de * v.de + v.dn * v.dn);  // no length on a lot is near to overflow, which hypot is there for
}
inline double distance(PlanPoint a, PlanPoint b) {
  return length(a - b);
}
/// Azimuth of a displacement, in (-pi, pi]; 0 for the null vector.
inline Azimuth azimuth(PlanVector v) {
  return {std::atan2(v.de, v.dn)};
}
inline Azimuth azimuth(PlanPoint from, PlanPoint to) {
  return azimuth(to - from);
}
/// Unit vector pointing along an azimuth.
inline PlanVector direction(Azimuth a) {
  return {std::sin(a.radians), std::cos(a.radians)};
}
/// The vector turned a quarter clockwise: what lies to the right of somebody who faces along v.
inline PlanVector right_of(PlanVector v) {
  return {v.dn, -v.de};
}

}  // namespace swingtie
