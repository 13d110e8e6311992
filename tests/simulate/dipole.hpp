#pragma once

#include <Eigen/Core>
#include <optional>

namespace swingtie::simulate {

/// The transmitter of a push camera as a magnetic dipole: what the receiver above measures.
///
/// B = (3 (m.r) r / r^2 - m) / r^3 with m of length 1, so fields are in units of the moment. Good at depths well
/// below the skin depth of the soil and above a few coil lengths, which a lateral's are. Coordinates e, n, up in
/// metres.
struct Dipole {
  Eigen::Vector3d at;    ///< centre of the coil
  Eigen::Vector3d axis;  ///< unit vector along the coil, which lies along the pipe

  Eigen::Vector3d field(const Eigen::Vector3d& receiver) const;
};

/// The plane on which the receiver is moved.
struct Lawn {
  Eigen::Vector3d origin = Eigen::Vector3d::Zero();
  double rise_e = 0;  ///< metres of height per metre east
  double rise_n = 0;

  double height(double e, double n) const {
    return origin.z() + rise_e * (e - origin.x()) + rise_n * (n - origin.y());
  }
  Eigen::Vector3d at(double e, double n) const { return {e, n, height(e, n)}; }
};

/// Where on the lawn the total field is strongest, to 1e-5 of the depth.
Eigen::Vector3d strongest_point(const Dipole& dipole, const Lawn& lawn);

/// Where the field component along `heading` (a unit vector in the plan) vanishes on the walk from the point over the
/// coil along +heading (sign 1) or -heading (sign -1). Empty when there is none within three depths.
std::optional<Eigen::Vector3d> axial_null(const Dipole& dipole, const Lawn& lawn, const Eigen::Vector2d& heading,
                                          int sign);

}  // namespace swingtie::simulate
