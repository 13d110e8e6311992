#include "simulate/receiver.hpp"

#include <cmath>

#include "measure/bearing.hpp"
#include "measure/length.hpp"

namespace swingtie::simulate {

namespace {

Eigen::Vector2d turned(const Eigen::Vector2d& v, double clockwise) {
  const double c = std::cos(clockwise), s = std::sin(clockwise);
  return {c * v.x() + s * v.y(), -s * v.x() + c * v.y()};
}

/// A point drawn evenly from the patch where the display shows the strongest signal.
Eigen::Vector2d indistinguishable_peak(const Dipole& dipole, const Lawn& lawn, double depth, double step,
                                       Random& random) {
  const Eigen::Vector3d strongest = strongest_point(dipole, lawn);
  const double threshold = (1 - step) * dipole.field(strongest).norm();
  for (int i = 0; i < 20000; ++i) {
    const double e = strongest.x() + random.uniform(-0.7, 0.7) * depth;
    const double n = strongest.y() + random.uniform(-0.7, 0.7) * depth;
    if (dipole.field(lawn.at(e, n)).norm() >= threshold) return {e, n};
  }
  return strongest.head<2>();
}

}  // namespace

ReceiverReading take_locate(const Dipole& dipole, const Lawn& lawn, LocateMethod method, const DepthPlan& plan,
                            const Operator& person, Random& random) {
  const double depth = lawn.height(dipole.at.x(), dipole.at.y()) - dipole.at.z();
  const Eigen::Vector2d over = dipole.at.head<2>();
  // A camera hanging in a riser shows no direction; the operator faces anywhere.
  const Eigen::Vector2d level = dipole.axis.head<2>();
  const Eigen::Vector2d axis = level.norm() > 1e-6 ? level.normalized().eval() : Eigen::Vector2d(1, 0);
  const Eigen::Vector2d heading = turned(axis, random.normal(0, person.yaw));

  ReceiverReading reading;
  std::optional<Eigen::Vector3d> front, back;
  if (method == LocateMethod::nulls || plan.nulls) {
    front = axial_null(dipole, lawn, heading, 1);
    back = axial_null(dipole, lawn, heading, -1);
    const double late_front = random.normal(0, person.null_reading),
                 late_back = random.normal(0, person.null_reading);
    if (front && back) {
      front->head<2>() += late_front * heading;
      back->head<2>() += late_back * heading;
    }
  }
  const bool both = front && back;

  switch (method) {
    case LocateMethod::nulls:
      if (both) {
        reading.mark = 0.5 * (front->head<2>() + back->head<2>());
        break;
      }
      [[fallthrough]];  // no two nulls to be found: the operator takes the peak
    case LocateMethod::peak:
      reading.mark = indistinguishable_peak(dipole, lawn, depth, person.display_step, random);
      break;
    case LocateMethod::line:
      reading.mark = over + random.uniform(-0.5, 0.5) * depth * axis;
      break;
  }
  reading.mark += depth * person.distortion * Eigen::Vector2d(random.normal(), random.normal());
  const Eigen::Vector3d stand = lawn.at(reading.mark.x(), reading.mark.y());

  const auto noisy = [&](double signal) { return signal * (1 + random.normal(0, person.signal_noise)); };
  const auto calibrated = [&](const Eigen::Vector2d& coil) {
    const double signal = noisy(std::abs(dipole.field(stand).head<2>().dot(coil)));
    return std::cbrt(1 / signal) * (1 + random.normal(0, person.calibration));
  };
  if (plan.along) reading.depth.along = calibrated(heading);
  if (plan.across) {
    // The operator misjudged which way the pipe runs. Squarely across there is no signal at all, so nobody reads
    // there.
    const double off = random.uniform(50, 75) * degree;
    reading.depth.across = calibrated(turned(axis, random.chance(0.5) ? off : -off));
  }
  if (plan.nulls && both) reading.depth.nulls = (front->head<2>() - back->head<2>()).norm();
  if (plan.ratio) {
    const double apart = 1.5 * metres_per_foot;
    const double lower = noisy(dipole.field(stand).norm());
    const double upper = noisy(dipole.field(stand + Eigen::Vector3d(0, 0, apart)).norm());
    if (lower > 1.02 * upper) {
      // Shown as a display would: the lower reading set to 100.
      reading.depth.ratio = DepthReadings::Ratio{100, 100 * upper / lower, apart};
    }
  }
  reading.mark += person.placing * Eigen::Vector2d(random.normal(), random.normal());
  return reading;
}

}  // namespace swingtie::simulate
