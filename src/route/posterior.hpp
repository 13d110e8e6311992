#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "measure/covariance.hpp"
#include "measure/diagnostic.hpp"
#include "measure/plane.hpp"
#include "place/placed.hpp"

namespace swingtie {

/// What is known of one buried point: a weighted mixture of Gaussians in (e, n, up).
struct PointMixture {
  struct Term {
    double weight = 0;  ///< terms sum to 1
    Eigen::Vector3d mean = Eigen::Vector3d::Zero();
    SpaceCovariance covariance = SpaceCovariance::Zero();
  };
  std::vector<Term> terms;  ///< by falling weight

  Eigen::Vector3d mean() const;
  SpaceCovariance covariance() const;  ///< of the whole mixture, spread between the terms included
};

/// A region of the plan that holds the true point with a stated probability: rings, counter-clockwise, not closed.
using Region = std::vector<std::vector<PlanPoint>>;

/// The smallest region that holds the point with this probability (highest density), its boundary within `tolerance`.
/// Several rings when the mixture has several separate modes.
Region highest_density_region(const PointMixture& point, double probability, double tolerance = 0.02);

enum class MistakeKind { unlogged_bend, wrong_locate, misread_counter, wrong_hand, counter_zero };

/// One mistake in the notes that would explain the readings.
struct Explanation {
  MistakeKind what = MistakeKind::unlogged_bend;
  std::size_t run = 0;
  CounterReading at;       ///< as written in the job, or where an unlogged bend sits
  double probability = 0;  ///< sum of the weights of the sets that contain it
  double amount = 0;       ///< signed: radians of an unlogged bend (right positive), metres of a counter mistake
  std::string says;        ///< for a person: names the line of the job file and what to do
  Span span;               ///< of the log entry or locate blamed; line 0 where none is
};

/// One set of explanations that keeps a share of the probability, and the route that goes with it.
struct Alternative {
  double probability = 0;
  std::vector<Explanation> mistakes;           ///< probability within each is 1
  std::vector<std::vector<SitePoint>> routes;  ///< per line, its most probable course, house to main
};

/// One equally weighted random draw of everything that is unknown: all lines at once, and what the counters mean.
struct RouteDraw {
  struct LineCourse {
    std::vector<SitePoint> vertices;  ///< house to main
    std::vector<double> stations;     ///< metres on the plan at each vertex, starting at 0
    std::vector<double> pipe;         ///< metres of pipe at each vertex, starting at 0: longer where it is steep
  };
  /// The pipe distance at a counter reading is (reading - zero) * scale from the run's pipe entry; readings beyond
  /// `restart_after` carry a further `restart` on top of the zero.
  struct RunCounter {
    double scale = 1;
    double zero = 0;
    double entry = 0;  ///< pipe entry of the run, metres of pipe from the line's first vertex
    double sense = 1;  ///< +1 when readings grow toward the main
    double restart_after = 0, restart = 0;
  };
  std::vector<LineCourse> lines;
  std::vector<RunCounter> runs;
  std::size_t alternative = 0;  ///< index into Posterior::alternatives
};

/// Which point a counter reading stands for.
enum class Sight {
  seen,  ///< what the camera looks at: view_ahead past the lens
  lens,
  sonde,  ///< the transmitter: sonde_behind_lens before the lens
};

/// How far the route may be trusted at a station.
enum class Knowledge {
  located,   ///< between locates or near one
  inferred,  ///< beyond the last locate or between far ones: cable and bends only
};

struct RouteStation {
  Station station;
  SitePoint at;                       ///< mean of the mixture
  PlanCovariance covariance;          ///< of the whole mixture
  double depth = 0, sigma_depth = 0;  ///< ground surface to pipe axis, metres
  Knowledge knowledge = Knowledge::inferred;
};

/// Whether the readings hang together at all.
struct Verdict {
  enum class Kind {
    agree,         ///< no mistake needed
    explained,     ///< one or more mistakes explain the readings
    contradiction  ///< nothing explains them
  } kind = Kind::agree;
  double chi_square = 0;  ///< of the readings under the best alternative
  int readings = 0;
};

/// How one locate fits the adjusted route.
struct LocateResidual {
  std::size_t run = 0, locate = 0;  ///< indices into Placed::runs and Run::locates
  SitePoint adjusted;               ///< where the transmitter most probably was
  double along = 0, across = 0;     ///< metres, read minus adjusted; along: toward the main, across: right positive
  std::optional<double> depth;      ///< metres, read minus adjusted
  double quality = 0;               ///< probability of a misfit at least this large if the locate is sound, 0..1
  double wrong_probability = 0;     ///< probability that it is a wrong locate or carries a wrong counter
};

struct SolveStatistics {
  int solves = 0;        ///< least-squares problems solved
  int sets_tried = 0;    ///< sets of mistakes
  double condition = 1;  ///< condition number of the best set's normal equations, in the form by readings; 1 or more
};

class Mixture;

/// Everything the readings say of the routes.
class Posterior {
 public:
  /// Where the pipe is, what it means for a station of a line and for a counter reading of a run.
  PointMixture at_station(std::size_t line, Station station) const;
  PointMixture at_counter(std::size_t run, CounterReading at, Sight sight) const;

  std::vector<std::vector<RouteStation>> lines;  ///< per line, at every joint of the chain, house to main
  std::vector<Alternative> alternatives;         ///< by falling probability; never empty
  std::vector<Explanation> explanations;         ///< by falling probability, down to 5 %
  std::vector<LocateResidual> residuals;
  std::vector<RouteDraw> draws;     ///< equally weighted; the same job gives the same draws
  std::vector<Diagnostic> remarks;  ///< contradictions, impossible cable lengths, undetermined directions
  Verdict verdict;
  SolveStatistics statistics;

  /// The Gaussians the answers come from; shared by copies, opaque outside this stage.
  std::shared_ptr<const Mixture> mixture;
};

/// Point of a draw at a counter reading of a run, and its station on the run's line.
SitePoint point_at(const RouteDraw& draw, const Placed& placed, std::size_t run, CounterReading at, Sight sight);
Station station_at(const RouteDraw& draw, const Placed& placed, std::size_t run, CounterReading at, Sight sight);
/// Point of a draw at a station; beyond the ends the course is continued straight.
SitePoint point_at(const RouteDraw& draw, std::size_t line, Station station);

struct SolveOptions {
  int draws = 800;         ///< enough for a probability to +- 0.02
  std::uint64_t seed = 1;  ///< of the draws
  double piece = 0.6;      ///< metres, nominal length of a piece of the chain (2 ft)
  bool explain = true;     ///< search over sets of mistakes; off gives the one Gaussian solve
};

/// Estimates all routes of a job from its readings. Never fails: a job without readings gets its prior, and says so.
Posterior solve(const Placed& placed, const SolveOptions& options = {});

}  // namespace swingtie
