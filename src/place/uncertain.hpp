#pragma once

#include <cstdint>
#include <vector>

#include <Eigen/Core>

#include "measure/covariance.hpp"
#include "measure/plane.hpp"
#include "place/placed.hpp"

namespace swingtie {

/// One measurement that can be wrong by itself: a tape length, a bearing, the shift of a whole map layer. Each source
/// stands for one standard normal variable, so points that share a measurement share its error, and a figure
/// worked out from both gets the right covariance without anybody bookkeeping correlations.
using ErrorSource = std::uint32_t;

/// How a point moves when one source is wrong by one standard error.
struct Sensitivity {
  ErrorSource source = 0;
  PlanVector moves;  ///< metres
};

/// A point and how every measurement behind it moves it.
struct UncertainPoint {
  PlanPoint at;
  std::vector<Sensitivity> errors;  ///< by source, each at most once
  /// Errors that a stated `within` covers already, of the points it was measured from. They count only where the
  /// whole drawing is shifted onto what most of it was measured from (see CommonShift).
  std::vector<Sensitivity> covered;
};

/// How the point moves with this source; the null vector if it does not.
PlanVector moved_by(const UncertainPoint& point, ErrorSource source);

/// Adds a movement to what the point already does with this source.
void add_error(UncertainPoint& point, ErrorSource source, PlanVector moves);

/// Adds `jacobian` times the errors of another point.
void add_errors_of(UncertainPoint& point, const UncertainPoint& of, const Eigen::Matrix2d& jacobian);

PlanCovariance covariance(const UncertainPoint& point);

/// The errors of a point moved to `covered`, in favour of errors of its own of this size.
UncertainPoint restated(const UncertainPoint& point, UncertainPoint own);

/// Hands out sources. The first is the shift of the datum operation, common to all that came through it.
class ErrorSources {
 public:
  static constexpr ErrorSource datum_east = 0, datum_north = 1;
  ErrorSource fresh() { return next_++; }
  /// A point known by its own two errors, uncorrelated, each of this standard error.
  UncertainPoint round(PlanPoint at, double sigma);
  /// A point whose errors are fresh and have this covariance.
  UncertainPoint with_covariance(PlanPoint at, const PlanCovariance& covariance);
  /// A point whose circle at 95 % has this radius, by errors of its own.
  UncertainPoint within(PlanPoint at, double radius95);

 private:
  ErrorSource next_ = 2;
};

/// Shifts that most of what was measured has in common: the house stood off by a foot from where the plan draws it,
/// and every tie from its corners is off with it; or all came through one datum operation. They make no point of the
/// drawing worse against another, so they are taken out of those that share them and given to those that do not
/// (the S-transformation of a free network; Baarda 1973, from memory). What remains is each point's error against the
/// rest.
class CommonShift {
 public:
  /// @param measured  accesses and locates: what the drawing is about
  explicit CommonShift(const std::vector<UncertainPoint>& measured);
  /// The point with the errors it does not share.
  PlacedPoint placed(const UncertainPoint& point) const;
  /// How the drawing as a whole may lie off the grid.
  PlanCovariance shift() const;
  /// True where the datum operation is part of that shift.
  bool has_datum() const;

 private:
  std::vector<Sensitivity> common_;
};

/// Standard error of a taped length. @param length  metres, any sign
double tape_sigma(double length);

/// Two points at a share of the way between them: (1 - t) a + t b, with their errors; t may lie outside [0, 1].
UncertainPoint between(const UncertainPoint& a, const UncertainPoint& b, double t);

}  // namespace swingtie
