#include <algorithm>
#include <cmath>

#include "route/model.hpp"
#include "route/priors.hpp"

namespace swingtie {

double Model::height(double e, double n) const {
  return ground ? ground->height({origin.e + e, origin.n + n}) - origin.up : -origin.up;
}

Attitude attitude_at(const Chain::Point& point) {
  // Up to 1 in 25 a coil's tilt moves its null midpoint and its axial peak by 0.03 of the depth at most (F7, F8).
  constexpr double ordinary = 0.04, steepest = 3;
  const double slope =
      std::clamp(point.direction.z() / std::max(point.direction.head<2>().norm(), 1e-3), -steepest, steepest);
  return {point.heading, std::max(std::abs(slope) - ordinary, 0.0), slope};
}

PlanCovariance ModelLocate::covariance(const Attitude& attitude) const {
  const Eigen::Vector2d t(std::sin(attitude.heading), std::cos(attitude.heading)), r(t.y(), -t.x());
  const double tilted = along_per_tilt * attitude.tilt;
  return position + (along * along + tilted * tilted) * t * t.transpose() + across * across * r * r.transpose();
}

Eigen::Vector2d ModelLocate::shift_by_slope(const Attitude& attitude) const {
  if (whole) return Eigen::Vector2d::Zero();
  double ahead = 0;
  switch (by) {
    case LocateMethod::peak: {
      const double t = std::min(std::abs(attitude.slope), prior::peak_steepest);
      ahead = std::copysign(prior::peak_share * (std::cbrt(t / 4) - prior::peak_correction * t), attitude.slope);
      break;
    }
    case LocateMethod::nulls:
      ahead = -prior::nulls_shift * attitude.slope;
      break;
    case LocateMethod::line:
      break;
  }
  return ahead * depth * Eigen::Vector2d(std::sin(attitude.heading), std::cos(attitude.heading));
}

State::State(const Model& m, const Assumptions& a, const Eigen::VectorXd& unknowns)
    : model(m), assumptions(a), x(unknowns), chains(m.lines.size()) {
  for (std::size_t line = 0; line < model.lines.size(); ++line) {
    const ModelLine& l = model.lines[line];
    if (!l.known) continue;
    std::vector<Chain::Bend> bends;
    bends.reserve(l.bends.size() + assumptions.slots.size());
    for (const std::size_t index : l.bends) {
      const ModelBend& b = model.bends[index];
      Chain::Bend bend;
      bend.at = along(bend.motion, {b.run, b.reading, Sight::seen, b.shift});
      (b.vertical ? bend.climb : bend.turn) = x[b.angle];
      (b.vertical ? bend.climb_column : bend.turn_column) = b.angle;
      bends.push_back(bend);
    }
    for (std::size_t s = 0; s < assumptions.slots.size(); ++s) {
      if (assumptions.slots[s].line != line) continue;
      Chain::Bend bend;
      bend.at = assumptions.slots[s].at + x[model.slots[s].place];
      bend.turn = x[model.slots[s].angle];
      bend.turn_column = model.slots[s].angle;
      bend.motion.add(model.slots[s].place, 1);
      bends.push_back(bend);
    }
    chains[line].lay(l.shape, l.columns, x, std::move(bends));
  }
}

State::State(const Model& m, const Assumptions& a, const Eigen::VectorXd& unknowns, bool with_derivatives)
    : State(m, a, unknowns) {
  sightings.reserve(model.sightings.size());
  for (const Sighting& s : model.sightings) sightings.push_back(see(s));
  if (!with_derivatives) return;
  rows_.setZero(static_cast<Eigen::Index>(3 * sightings.size()), model.unknowns);
  for (std::size_t s = 0; s < sightings.size(); ++s)
    add_derivatives(sightings[s], rows_.middleRows(static_cast<Eigen::Index>(3 * s), 3));
}

double State::pipe_distance(std::size_t run, double reading) const {
  const ModelRun& r = model.runs[run];
  const double offset = reading > assumptions.restart_after[run] ? x[r.restart] : 0;
  return (reading - x[r.zero] - offset) * (1 + x[r.scale]);
}

double State::along(Chain::Motion& motion, const Sighting& s) const {
  const ModelRun& r = model.runs[s.run];
  const bool restarted = s.reading > assumptions.restart_after[s.run];
  const double cable = s.reading + (s.shift >= 0 ? x[s.shift] : 0) - x[r.zero] - (restarted ? x[r.restart] : 0);
  const double scale = 1 + x[r.scale];
  const double ahead = s.sight == Sight::seen ? r.ahead : s.sight == Sight::sonde ? -r.behind : 0;
  motion.add(r.entry, 1);
  motion.add(r.scale, r.sense * cable);
  motion.add(r.zero, -r.sense * scale);
  if (s.shift >= 0) motion.add(s.shift, r.sense * scale);
  if (restarted) motion.add(r.restart, -r.sense * scale);
  return x[r.entry] + r.sense * (cable * scale + ahead);
}

State::Seen State::see(const Sighting& s) const {
  Seen seen;
  seen.line = model.runs[s.run].line;
  seen.u = along(seen.motion, s);
  seen.point = chains[seen.line].point(seen.u);
  return seen;
}

State::Seen State::endpoint(const LineEndpoint& endpoint) const {
  if (endpoint.reading) return see({endpoint.run, *endpoint.reading, endpoint.sight});
  Seen seen;
  seen.line = model.runs[endpoint.run].line;
  seen.u = x[model.runs[endpoint.run].entry];
  seen.motion.add(model.runs[endpoint.run].entry, 1);
  seen.point = chains[seen.line].point(seen.u);
  return seen;
}

void State::add_derivatives(const Seen& seen, Eigen::Ref<JacobianMatrix> rows) const {
  chains[seen.line].add_point_derivatives(seen.u, rows);
  for (int t = 0; t < seen.motion.terms; ++t)
    rows.col(seen.motion.column[t]) += seen.motion.per_unit[t] * seen.point.direction;
}

void ModelProblem::evaluate(const Eigen::VectorXd& x, Eigen::VectorXd& residuals, JacobianMatrix* jacobian) {
  const State state(model_, assumptions_, x, jacobian != nullptr);
  Eigen::Index row = 0;
  for (const auto& observation : model_.observations) {
    observation->evaluate(state, row, residuals, jacobian);
    row += observation->rows();
  }
}

}  // namespace swingtie
