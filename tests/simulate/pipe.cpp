#include "simulate/pipe.hpp"

#include <algorithm>
#include <cmath>

#include "measure/bearing.hpp"
#include "measure/length.hpp"

namespace swingtie::simulate {

Laying laying(Material material) {
  constexpr double ft = metres_per_foot;
  switch (material) {
    case Material::cast_iron:
      return {5 * ft, 2.0 * degree, 0.25 * degree};
    case Material::clay:
      return {3 * ft, 1.7 * degree, 0.35 * degree};
    case Material::concrete:
      return {4 * ft, 1.8 * degree, 0.3 * degree};
    case Material::orangeburg:
      return {8 * ft, 2.6 * degree, 0.5 * degree};
    case Material::pvc:
      return {10 * ft, 1.8 * degree, 0.3 * degree};
    default:
      return {6 * ft, 2.0 * degree, 0.3 * degree};
  }
}

std::string_view trade_name(Material material) {
  switch (material) {
    case Material::cast_iron:
      return "cast iron";
    case Material::clay:
      return "clay";
    case Material::concrete:
      return "concrete";
    case Material::orangeburg:
      return "orangeburg";
    default:
      return "pvc";
  }
}

TrueLine lay(const TrenchPlan& plan, Random& random) {
  constexpr double fitting_tolerance = 2 * degree;
  TrueLine line;
  line.bends = plan.bends;
  line.vertices.push_back(plan.start);
  line.distances.push_back(0);

  double azimuth = plan.azimuth, fittings_pitch = 0, pitch_error = 0;
  std::size_t stretch = 0, bend = 0;
  Laying lay_of = laying(plan.stretches.at(0).pipe.material);
  double next_joint = random.uniform(0.2, 1.0) * lay_of.stick;
  double walked = 0;
  double sag = random.normal(0, lay_of.sag);
  while (walked < plan.length) {
    double until = std::min(next_joint, plan.length);
    const bool at_bend = bend < plan.bends.size() && plan.bends[bend].distance <= until;
    if (at_bend) until = plan.bends[bend].distance;
    const double pitch = fittings_pitch + pitch_error - std::atan(plan.grade) + sag;
    const double step = until - walked;
    if (step > 0) {
      line.vertices.push_back(line.vertices.back() + step * Eigen::Vector3d(std::cos(pitch) * std::sin(azimuth),
                                                                            std::cos(pitch) * std::cos(azimuth),
                                                                            std::sin(pitch)));
      line.distances.push_back(until);
      walked = until;
    }
    while (stretch + 1 < plan.stretches.size() && plan.stretches[stretch + 1].from <= walked) ++stretch;
    lay_of = laying(plan.stretches[stretch].pipe.material);
    if (at_bend) {
      const TrueBend& fitting = plan.bends[bend++];
      const double spread = std::hypot(fitting_tolerance, std::sqrt(2.0) * lay_of.joint_play);
      const double turn = fitting.angle + random.normal(0, spread);
      switch (fitting.hand) {
        case Hand::left:
          azimuth -= turn;
          break;
        case Hand::right:
          azimuth += turn;
          break;
        case Hand::up:
          fittings_pitch += fitting.angle;
          break;
        case Hand::down:
          fittings_pitch -= fitting.angle;
          break;
      }
      // Between a down and its up the pipe hangs as the fittings let it; after both the trench carries it again.
      if (fitting.hand == Hand::up || fitting.hand == Hand::down)
        pitch_error = std::abs(fittings_pitch) > 1e-9 ? random.normal(0, spread) : 0;
      next_joint = walked + lay_of.stick * random.uniform(0.5, 1.0);  // the stick after a fitting is cut to fit
    } else {
      azimuth += random.normal(0, lay_of.joint_play);
      next_joint = walked + lay_of.stick;
    }
    sag = random.normal(0, lay_of.sag);
  }
  return line;
}

TrueLine reversed(const TrueLine& line) {
  TrueLine other;
  other.vertices.assign(line.vertices.rbegin(), line.vertices.rend());
  for (auto d = line.distances.rbegin(); d != line.distances.rend(); ++d)
    other.distances.push_back(line.length() - *d);
  for (auto b = line.bends.rbegin(); b != line.bends.rend(); ++b) {
    TrueBend bend{line.length() - b->distance, b->hand, b->angle};
    if (b->hand == Hand::left) bend.hand = Hand::right;
    if (b->hand == Hand::right) bend.hand = Hand::left;
    other.bends.push_back(bend);
  }
  return other;
}

}  // namespace swingtie::simulate
