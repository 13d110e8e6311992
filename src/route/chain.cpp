#include "route/chain.hpp"

#include <algorithm>
#include <cmath>

namespace swingtie {
namespace {

/// Sine and cosine of an angle that changes by small steps. A step of a joint is turned by the series of its own sine
/// and cosine, exact to the last digit up to `small`; over a chain of 160 pieces the rounding stays below 1e-13.
struct Turning {
  explicit Turning(double angle) { set(angle); }
  void set(double angle) { sine = std::sin(angle), cosine = std::cos(angle); }
  /// @param angle  what it then is
  void step(double by, double angle) {
    constexpr double small = 0.1;
    if (!(std::abs(by) < small)) return set(angle);
    const double q = by * by;
    const double s = by * (1 - q / 6 * (1 - q / 20 * (1 - q / 42 * (1 - q / 72))));
    const double c = 1 - q / 2 * (1 - q / 12 * (1 - q / 30 * (1 - q / 56 * (1 - q / 90))));
    const double before = sine;
    sine = before * c + cosine * s;
    cosine = cosine * c - before * s;
  }
  double sine = 0, cosine = 1;
};

void aim(Chain::Piece& piece, const Turning& heading, const Turning& pitch) {
  piece.direction = {pitch.cosine * heading.sine, pitch.cosine * heading.cosine, pitch.sine};
  piece.lift = {-pitch.sine * heading.sine, -pitch.sine * heading.cosine, pitch.cosine};
  piece.level = std::abs(pitch.cosine);
}

}  // namespace

void Chain::lay(const Shape& shape, const Columns& columns, const Eigen::VectorXd& x, std::vector<Bend> bends) {
  shape_ = shape;
  columns_ = columns;
  bends_ = std::move(bends);
  std::stable_sort(bends_.begin(), bends_.end(), [](const Bend& a, const Bend& b) { return a.at < b.at; });
  pieces_.clear();
  pieces_.reserve(static_cast<std::size_t>(shape.pieces) + bends_.size());
  first_.resize(static_cast<std::size_t>(shape.pieces));
  bend_piece_.resize(bends_.size());

  Piece now;
  now.u = shape.low;
  now.at = x.segment<3>(columns.start);
  now.heading = x[columns.heading];
  now.pitch = x[columns.pitch];
  now.lift_sum.setZero();
  Turning heading(now.heading), pitch(now.pitch);
  aim(now, heading, pitch);
  const auto advance = [&](double u) {
    const double step = u - now.u;
    now.at += step * now.direction;
    now.lift_sum += step * now.lift;
    now.plan += step * now.level;
    now.u = u;
  };
  std::size_t bend = 0;
  for (int i = 0; i < shape.pieces; ++i) {
    if (i > 0) {
      advance(shape.low + i * shape.piece);
      const double turn = x[columns.drift + i - 1];
      now.heading += turn;
      heading.step(turn, now.heading);
      if (i % shape.pitch_every == 0 && i / shape.pitch_every <= shape.pitch_joints()) {
        const double climb = x[columns.pitch_drift + i / shape.pitch_every - 1];
        now.pitch += climb;
        pitch.step(climb, now.pitch);
      }
      aim(now, heading, pitch);
    }
    first_[static_cast<std::size_t>(i)] = pieces_.size();
    pieces_.push_back(now);
    const double next = i + 1 < shape.pieces ? shape.low + (i + 1) * shape.piece : INFINITY;
    for (; bend < bends_.size() && bends_[bend].at < next; ++bend) {
      advance(bends_[bend].at);
      now.heading += bends_[bend].turn;
      now.pitch += bends_[bend].climb;
      heading.step(bends_[bend].turn, now.heading);
      pitch.step(bends_[bend].climb, now.pitch);
      aim(now, heading, pitch);
      bend_piece_[bend] = pieces_.size();
      pieces_.push_back(now);
    }
  }
}

std::size_t Chain::piece_at(double u) const {
  const double cell = (u - shape_.low) / shape_.piece;
  std::size_t k = first_[cell > 0 ? static_cast<std::size_t>(std::min(cell, shape_.pieces - 1.0)) : 0];
  while (k + 1 < pieces_.size() && pieces_[k + 1].u <= u) ++k;
  while (k > 0 && pieces_[k].u > u) --k;
  return k;
}

Chain::Point Chain::point(double u) const {
  const Piece& p = pieces_[piece_at(u)];
  return {p.at + (u - p.u) * p.direction, p.direction, p.heading, p.pitch};
}

void Chain::add_point_derivatives(double u, Eigen::Ref<JacobianMatrix> rows) const {
  const std::size_t k = piece_at(u);
  const Piece& last = pieces_[k];
  const Eigen::Vector3d at = last.at + (u - last.u) * last.direction;
  const Eigen::Vector3d lift_sum = last.lift_sum + (u - last.u) * last.lift;
  const auto turn = [&](Eigen::Index column, const Piece& about) {
    rows(0, column) += at.y() - about.at.y();
    rows(1, column) -= at.x() - about.at.x();
  };
  const auto climb = [&](Eigen::Index column, const Piece& about) { rows.col(column) += lift_sum - about.lift_sum; };
  rows.block<3, 3>(0, columns_.start).diagonal().array() += 1;
  turn(columns_.heading, pieces_.front());
  climb(columns_.pitch, pieces_.front());
  for (int i = 1; i < shape_.pieces; ++i) {
    const std::size_t piece = first_[static_cast<std::size_t>(i)];
    if (piece > k) break;
    turn(columns_.drift + i - 1, pieces_[piece]);
    if (i % shape_.pitch_every == 0 && i / shape_.pitch_every <= shape_.pitch_joints())
      climb(columns_.pitch_drift + i / shape_.pitch_every - 1, pieces_[piece]);
  }
  for (std::size_t b = 0; b < bends_.size() && bend_piece_[b] <= k; ++b) {
    const Piece& after = pieces_[bend_piece_[b]];
    if (bends_[b].turn_column >= 0) turn(bends_[b].turn_column, after);
    if (bends_[b].climb_column >= 0) climb(bends_[b].climb_column, after);
    if (bend_piece_[b] == 0) continue;
    // Moving a bend on lengthens what comes before it and shortens what follows.
    const Eigen::Vector3d change = pieces_[bend_piece_[b] - 1].direction - after.direction;
    for (int t = 0; t < bends_[b].motion.terms; ++t)
      rows.col(bends_[b].motion.column[t]) += bends_[b].motion.per_unit[t] * change;
  }
}

void Chain::add_heading_derivatives(double u, double weight, Eigen::Ref<Eigen::RowVectorXd> row) const {
  const std::size_t k = piece_at(u);
  row[columns_.heading] += weight;
  for (int i = 1; i < shape_.pieces && first_[static_cast<std::size_t>(i)] <= k; ++i)
    row[columns_.drift + i - 1] += weight;
  for (std::size_t b = 0; b < bends_.size() && bend_piece_[b] <= k; ++b)
    if (bends_[b].turn_column >= 0) row[bends_[b].turn_column] += weight;
}

void Chain::add_pitch_derivatives(double u, double weight, Eigen::Ref<Eigen::RowVectorXd> row) const {
  const std::size_t k = piece_at(u);
  row[columns_.pitch] += weight;
  for (int j = 1; j <= shape_.pitch_joints() &&
                  first_[static_cast<std::size_t>(j) * static_cast<std::size_t>(shape_.pitch_every)] <= k;
       ++j)
    row[columns_.pitch_drift + j - 1] += weight;
  for (std::size_t b = 0; b < bends_.size() && bend_piece_[b] <= k; ++b)
    if (bends_[b].climb_column >= 0) row[bends_[b].climb_column] += weight;
}

double Chain::plan_length(double u) const {
  const Piece& p = pieces_[piece_at(u)];
  return p.plan + (u - p.u) * p.level;
}

double Chain::pipe_coordinate(double plan_length) const {
  // Runs forward over level pieces; a vertical piece has no length on the plan and is stepped over.
  auto after = std::upper_bound(pieces_.begin(), pieces_.end(), plan_length,
                                [](double s, const Piece& p) { return s < p.plan; });
  if (after != pieces_.begin()) --after;
  while (after != pieces_.begin() && after->level < 1e-6) --after;
  const double rate = after->level;
  return after->u + (rate < 1e-6 ? 0 : (plan_length - after->plan) / rate);
}

}  // namespace swingtie
