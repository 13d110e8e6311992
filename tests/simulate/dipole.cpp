#include "simulate/dipole.hpp"

#include <cmath>

namespace swingtie::simulate {

Eigen::Vector3d Dipole::field(const Eigen::Vector3d& receiver) const {
  const Eigen::Vector3d r = receiver - at;
  const double r2 = r.squaredNorm();
  return (3 * axis.dot(r) / r2 * r - axis) / (r2 * std::sqrt(r2));
}

Eigen::Vector3d strongest_point(const Dipole& dipole, const Lawn& lawn) {
  const double depth = lawn.height(dipole.at.x(), dipole.at.y()) - dipole.at.z();
  // The field over a coil is flat along it to the fourth order, so a search by slopes stalls; a shrinking grid does
  // not.
  double e = dipole.at.x(), n = dipole.at.y(), reach = 0.6 * depth;
  while (reach > 1e-5 * depth) {
    double best = -1, best_e = e, best_n = n;
    for (int i = -4; i <= 4; ++i) {
      for (int j = -4; j <= 4; ++j) {
        const double x = e + reach * i / 4, y = n + reach * j / 4;
        const double strength = dipole.field(lawn.at(x, y)).squaredNorm();
        if (strength > best) {
          best = strength;
          best_e = x;
          best_n = y;
        }
      }
    }
    e = best_e;
    n = best_n;
    reach *= 0.5;
  }
  return lawn.at(e, n);
}

std::optional<Eigen::Vector3d> axial_null(const Dipole& dipole, const Lawn& lawn, const Eigen::Vector2d& heading,
                                          int sign) {
  const double depth = lawn.height(dipole.at.x(), dipole.at.y()) - dipole.at.z();
  const auto point = [&](double walked) {
    return lawn.at(dipole.at.x() + sign * walked * heading.x(), dipole.at.y() + sign * walked * heading.y());
  };
  const auto along = [&](double walked) { return dipole.field(point(walked)).head<2>().dot(heading); };
  const double step = 0.02 * depth;
  double low = 0, at_low = along(0);
  for (double high = step; high < 3 * depth; high += step) {
    const double at_high = along(high);
    if ((at_low < 0) != (at_high < 0)) {
      for (int i = 0; i < 50; ++i) {
        const double middle = 0.5 * (low + high);
        if ((along(middle) < 0) == (at_low < 0))
          low = middle;
        else
          high = middle;
      }
      return point(low);
    }
    low = high;
    at_low = at_high;
  }
  return std::nullopt;
}

}  // namespace swingtie::simulate
