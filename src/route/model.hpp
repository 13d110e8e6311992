#pragma once

#include <memory>
#include <optional>
#include <vector>

#include "place/placed.hpp"
#include "route/chain.hpp"
#include "route/posterior.hpp"
#include "route/solver.hpp"

namespace swingtie {

/// A counter reading and what of the camera it is about: the places along the pipe that readings speak of.
struct Sighting {
  std::size_t run = 0;
  double reading = 0;  ///< metres of cable, as written
  Sight sight = Sight::seen;
  Eigen::Index shift = -1;  ///< unknown added to the reading (a misread counter), or none
};

struct ModelRun {
  std::size_t line = 0;
  double sense = 1;  ///< +1 when readings grow toward the main
  Eigen::Index scale = 0, zero = 0, entry = 0, restart = 0;
  double behind = 0, ahead = 0;  ///< sonde behind the lens, view ahead of it
  double last = 0;               ///< largest reading
};

/// A fitting somebody wrote down.
struct ModelBend {
  std::size_t run = 0, log = 0;
  double reading = 0;
  bool vertical = false;
  bool hand_known = true;
  double size = 0, size_sigma = 0;  ///< of its angle without the hand, as written or usual
  Eigen::Index angle = 0;           ///< unknown: the turn toward the main, right or up positive
  Eigen::Index shift = 0;           ///< unknown: error of its reading
};

/// Room for a bend that nobody wrote down.
struct BendSlot {
  Eigen::Index angle = 0, place = 0;
};

/// One end of a line: at a run's pipe entry or at a reading of it.
struct LineEndpoint {
  std::size_t run = 0;
  std::optional<double> reading;  ///< empty: the pipe entry
  Sight sight = Sight::seen;      ///< what was there at that reading
};

struct ModelLine {
  bool known = false;  ///< some run travels it
  Chain::Shape shape;
  Chain::Columns columns;
  std::vector<std::size_t> bends;  ///< indices into Model::bends
  LineEndpoint begin, end;
  double low = 0, high = 0;  ///< nominal pipe coordinates of the two ends
  double grade_sigma = 0;    ///< prior standard deviation of its grade
};

/// How the pipe is believed to run under a locate, from the last solve or the first guess.
struct Attitude {
  double heading = 0;
  double tilt = 0;   ///< slope beyond that of an ordinary grade, >= 0
  double slope = 0;  ///< rise per length on the plan, toward the main
};
Attitude attitude_at(const Chain::Point& point);

struct ModelLocate {
  std::size_t run = 0, locate = 0;
  Eigen::Index blunder = 0;  ///< unknowns: e, n and depth by which a wrong locate is off; 3 of them
  Eigen::Index shift = 0;    ///< unknown: by which its counter was misread
  std::size_t sighting = 0;
  PlanPoint at;                                      ///< where it was marked
  PlanCovariance position = PlanCovariance::Zero();  ///< of the mark itself, receiver left out
  double along = 0, across = 0;                      ///< standard deviations of the receiver's part
  Eigen::Index first_row = 0, end_row = 0;           ///< its residuals: position, depths, direction
  double depth = 0;                                  ///< rough, to size the receiver's errors
  /// Where the operator stood about the point over the sonde; unlike `along` it holds no counter, and it is no
  /// larger than a stated whole radius allows.
  double stray_along = 0, stray_across = 0;
  bool whole = false;  ///< `position` holds the receiver's part already
  LocateMethod by = LocateMethod::peak;
  double along_per_tilt = 0;  ///< what a tilted coil adds to `along`, metres per unit of its slope

  /// Of the whole reading, the receiver's part laid along the pipe as it is believed to run.
  PlanCovariance covariance(const Attitude& attitude) const;
  /// How far from over the sonde, on average, this way of locating puts the mark where the pipe slopes.
  Eigen::Vector2d shift_by_slope(const Attitude& attitude) const;
};

/// What one solve takes for granted: which mistakes were made, and where.
struct Assumptions {
  Prior prior;  ///< a mistake that is not assumed has variance 0
  struct PlacedSlot {
    std::size_t line = 0;
    double at = 0;  ///< pipe coordinate about which the bend lies
  };
  std::vector<PlacedSlot> slots;      ///< bends assumed beyond the written ones
  std::vector<double> restart_after;  ///< per run: readings beyond it carry the restart's offset
  std::vector<Attitude> attitudes;    ///< per locate: how its ellipse is laid
};

struct Model;
class State;

/// One reading or piece of knowledge, as whitened residuals.
class Observation {
 public:
  virtual ~Observation() = default;
  virtual Eigen::Index rows() const = 0;
  /// Fills rows [row, row + rows()) of the residuals and, if given, of the Jacobian (both zero on arrival).
  virtual void evaluate(const State& state, Eigen::Index row, Eigen::VectorXd& residuals,
                        JacobianMatrix* jacobian) const = 0;
  /// Sum of the logarithms of the sigmas it whitened with, as far as they depend on the assumptions.
  virtual double log_sigma(const Model&, const Assumptions&) const { return 0; }
};

/// Everything needed to solve for all lines of a job: the unknowns, what is believed of them, and the readings.
/// Coordinates are relative to `origin`, so that a false easting of thousands of kilometres costs no digits.
struct Model {
  SitePoint origin;
  std::shared_ptr<const GroundSurface> ground;
  std::vector<ModelRun> runs;
  std::vector<ModelLine> lines;
  std::vector<ModelBend> bends;
  std::vector<ModelLocate> locates;
  std::vector<BendSlot> slots;
  std::vector<Sighting> sightings;  ///< evaluated once per solve step, used by any number of observations
  std::vector<std::unique_ptr<Observation>> observations;
  Eigen::Index unknowns = 0;
  Eigen::Index readings = 0;
  int undetermined = 0;  ///< unknowns that have no prior worth the name: they use up readings
  Assumptions plain;     ///< no mistake made
  Eigen::VectorXd start;

  double height(double e, double n) const;  ///< of the ground over the origin's `up`
  PlanPoint relative(PlanPoint p) const { return {p.e - origin.e, p.n - origin.n}; }
};

/// @param piece  nominal length of a piece of the chain, metres
/// @param entries  per run: pipe coordinate of its entry as an earlier solve found it; empty before there was one,
/// and
///                 then a later run's bends within the reach of the line's first run wait for it
std::unique_ptr<Model> make_model(const Placed& placed, double piece, const std::vector<double>& entries = {});

/// The chains and sightings at given unknowns.
class State {
 public:
  /// @param with_derivatives  also prepare the sightings' rows
  State(const Model& m, const Assumptions& a, const Eigen::VectorXd& unknowns, bool with_derivatives);
  /// The chains alone, without sightings.
  State(const Model& m, const Assumptions& a, const Eigen::VectorXd& unknowns);

  const Model& model;
  const Assumptions& assumptions;
  const Eigen::VectorXd& x;
  std::vector<Chain> chains;  ///< per line

  struct Seen {
    double u = 0;
    std::size_t line = 0;
    Chain::Point point;
    Chain::Motion motion;  ///< of u
  };
  std::vector<Seen> sightings;
  /// Derivatives (e, n, up) of a sighting's point by all unknowns.
  auto rows(std::size_t sighting) const { return rows_.middleRows<3>(static_cast<Eigen::Index>(3 * sighting)); }

  /// Distance along the pipe from the run's entry for a reading, and the pipe coordinate.
  double pipe_distance(std::size_t run, double reading) const;
  Seen see(const Sighting& sighting) const;
  /// Pipe coordinate of a sighting, and how it moves with the counter's unknowns.
  double along(Chain::Motion& motion, const Sighting& sighting) const;
  /// Adds the derivatives of a seen point (e, n, up) to three rows.
  void add_derivatives(const Seen& seen, Eigen::Ref<JacobianMatrix> rows) const;
  /// The place where a line begins or ends.
  Seen endpoint(const LineEndpoint& endpoint) const;

 private:
  JacobianMatrix rows_;
};

/// The model under given assumptions, as the solver sees it.
class ModelProblem : public LeastSquaresProblem {
 public:
  ModelProblem(const Model& model, const Assumptions& assumptions) : model_(model), assumptions_(assumptions) {}
  Eigen::Index readings() const override { return model_.readings; }
  void evaluate(const Eigen::VectorXd& x, Eigen::VectorXd& residuals, JacobianMatrix* jacobian) override;

 private:
  const Model& model_;
  const Assumptions& assumptions_;
};

}  // namespace swingtie
