#pragma once

#include <Eigen/Core>
#include <array>
#include <vector>

#include "route/solver.hpp"

namespace swingtie {

/// One line as a chain of straight pieces of equal length along its pipe coordinate u (metres of pipe, growing
/// toward the main), joined at angles; bends sit anywhere along it and split the piece they fall in.
///
///     start --piece--+--piece--+--pie/                  The pipe cannot stretch: a point is the running sum of
///                 joint     joint   /ce--+--piece--     piece lengths along their directions, so every change of
///                                 bend  joint           angle turns all that follows about the place where it is.
///
/// Heading is an azimuth (clockwise from north), pitch is upward; both radians. A direction is
/// (cos pitch sin heading, cos pitch cos heading, sin pitch).
class Chain {
 public:
  /// By how much a coordinate along the pipe moves with some unknowns.
  struct Motion {
    std::array<Eigen::Index, 6> column{};
    std::array<double, 6> per_unit{};
    int terms = 0;
    void add(Eigen::Index at, double amount) {
      column[terms] = at;
      per_unit[terms++] = amount;
    }
  };
  struct Bend {
    double at = 0;  ///< pipe coordinate
    double turn = 0, climb = 0;
    Eigen::Index turn_column = -1, climb_column = -1;
    Motion motion;  ///< of `at`
  };
  /// Where the unknowns of this line sit among all unknowns.
  struct Columns {
    Eigen::Index start = 0;    ///< e, n, up of the chain's first point
    Eigen::Index heading = 0;  ///< of the first piece
    Eigen::Index pitch = 0;
    Eigen::Index drift = 0;        ///< heading change at joint 1, 2, … pieces - 1
    Eigen::Index pitch_drift = 0;  ///< pitch change at joints pitch_every, 2 pitch_every, …
  };
  struct Shape {
    double low = 0;      ///< pipe coordinate of the first point
    double piece = 0.6;  ///< length of a piece, > 0
    int pieces = 1;
    int pitch_every = 3;
    int pitch_joints() const { return (pieces - 1) / pitch_every; }
    double high() const { return low + piece * pieces; }
  };

  /// Lays the chain out for these unknowns. Bends need not be sorted; those outside the chain act at its ends.
  void lay(const Shape& shape, const Columns& columns, const Eigen::VectorXd& x, std::vector<Bend> bends);

  struct Point {
    Eigen::Vector3d at;
    Eigen::Vector3d direction;
    double heading = 0, pitch = 0;
  };
  /// The point at a pipe coordinate; beyond the ends the chain runs on straight.
  Point point(double u) const;

  /// Adds the derivatives of the point at u to three rows (e, n, up), u held fixed.
  void add_point_derivatives(double u, Eigen::Ref<JacobianMatrix> rows) const;
  /// Adds `weight` times the derivatives of the heading, or of the pitch, at u to one row.
  void add_heading_derivatives(double u, double weight, Eigen::Ref<Eigen::RowVectorXd> row) const;
  void add_pitch_derivatives(double u, double weight, Eigen::Ref<Eigen::RowVectorXd> row) const;

  /// A straight stretch: from a joint or bend to the next.
  struct Piece {
    double u = 0;
    double heading = 0, pitch = 0;
    Eigen::Vector3d at, direction;
    Eigen::Vector3d lift;      ///< derivative of `direction` by pitch
    Eigen::Vector3d lift_sum;  ///< integral of lift from the start to u
    double plan = 0;           ///< length on the plan from the start to u
    double level = 1;          ///< length on the plan per length of pipe, >= 0
  };
  const std::vector<Piece>& pieces() const { return pieces_; }
  const Shape& shape() const { return shape_; }
  /// Length on the plan from the chain's first point to u, negative before it; and its inverse.
  double plan_length(double u) const;
  double pipe_coordinate(double plan_length) const;

 private:
  std::size_t piece_at(double u) const;

  Shape shape_;
  Columns columns_;
  std::vector<Bend> bends_;  ///< sorted by place
  std::vector<Piece> pieces_;
  std::vector<std::size_t> first_;       ///< index of the piece that starts each grid piece
  std::vector<std::size_t> bend_piece_;  ///< index of the piece that each bend starts
};

}  // namespace swingtie
