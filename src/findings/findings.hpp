#pragma once

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "measure/covariance.hpp"
#include "measure/diagnostic.hpp"
#include "measure/plane.hpp"
#include "place/placed.hpp"
#include "route/posterior.hpp"

namespace swingtie {

/// Every number anybody will read, computed once. Metres, radians, site grid; indices point into Placed.
/// Outputs format these and compute nothing.

/// A 95 % interval, metres unless said otherwise.
struct Interval {
  double low = 0, high = 0;
};

struct StationFinding {
  Station station;
  SitePoint at;
  ErrorEllipse ellipse95;
  double depth = 0;  ///< ground to pipe axis
  Interval depth95;
  std::optional<double> elevation;  ///< of the pipe axis, where the job knows elevations
  Knowledge knowledge = Knowledge::inferred;
  double across95 = 0;  ///< half-width of the 95 % interval across the line
  bool within_tolerance =
      false;  ///< across95 is no wider than the tolerance zone of the rule set: may be drawn solid
};

/// Pipe of one material and size, from one station to another.
struct PipeStretch {
  Station from, to;
  Pipe pipe;
};

struct RouteAlternative {
  double probability = 0;
  std::vector<SitePoint> route;      ///< house to main
  std::vector<std::string> because;  ///< what the mistakes say, one line each; empty: no mistake
};

struct LineFinding {
  std::size_t line = 0;
  std::string id;
  double length = 0;  ///< on the plan
  Interval length95;
  std::vector<StationFinding> stations;  ///< at every joint of the chain: enough to draw the line
  std::vector<StationFinding> marks;     ///< at round stations (10 ft or 2.5 m, closer on short lines): for tables
  Region corridor95;                     ///< band that holds the route at each station with 95 %
  std::vector<RouteAlternative> alternatives;
  std::vector<PipeStretch> pipes;
};

/// Something that lies over or near an item.
struct Above {
  std::size_t feature = 0;
  std::string relation;    ///< `in the root zone of`, `under the crown of`, `under`, `in the tolerance zone of`
  double probability = 0;  ///< that the item lies inside it
  double distance = 0;     ///< item to the feature's edge or trunk on the plan, 0 inside
  Interval distance95;
};

struct ItemFinding {
  std::size_t run = 0, log = 0;  ///< Placed::runs[run].log[log]
  CounterReading at;
  std::size_t line = 0;
  Station station;
  Interval station95;
  std::string what;
  Act act = Act::none;
  SitePoint position;
  Region region95;
  ErrorEllipse ellipse95;
  double depth = 0;
  Interval depth95;
  std::optional<double> private_probability;  ///< empty when the job states no limit
  std::vector<Above> above;
  std::vector<std::string> says;    ///< what stands above, what would settle the side: one sentence each
  std::vector<std::string> marked;  ///< what was left on the ground over it: `white stake`

  /// Neither side has 95 %.
  bool side_is_open() const {
    return private_probability && *private_probability > 0.05 && *private_probability < 0.95;
  }
};

struct Crossing {
  std::size_t feature = 0;
  std::size_t line = 0;
  double probability = 1;  ///< that the line crosses here at all
  Station station;
  Interval station95;
  SitePoint position;
  ErrorEllipse ellipse95;
  double depth = 0;
  Interval depth95;
  bool limit = false;         ///< the ownership rule of the job is at this feature
  bool inward = false;        ///< the line comes back in here, as a second crossing does
  bool straightened = false;  ///< the feature as drawn ends short of the line and was continued straight
  std::string says;           ///< one sentence
};

/// A stretch on which the line keeps so close to a limit that its side cannot be told.
struct AlongLimit {
  std::size_t feature = 0, line = 0;
  Station from, to;  ///< between these both sides have 5 % or more
  std::string says;
};

/// Where private ownership ends, as the job states it.
struct OwnershipFinding {
  std::string until;   ///< `the right-of-way line`, `station 61.0 ft`; empty when the job states none
  std::string source;  ///< who says so, as written
  std::string says;    ///< with the words `confirm with the city`
};

struct SideLength {
  std::size_t line = 0;
  bool is_private = true;
  std::string pipe;  ///< material and size as written, or empty
  double length = 0;
  Interval length95;
};

/// A tape distance from a fixed point to a buried one.
struct SwingTie {
  std::string from;  ///< name for print: `house.sw`
  std::string says;  ///< what one sees there: `the front left corner of the house`
  PlanPoint fixed;
  double distance = 0;  ///< on the level
  Interval distance95;  ///< fixed point to the buried one itself
  std::string tape;     ///< the distance as printed, to the inch or centimetre
  bool check = false;   ///< a third tape, to notice a mistake
};

struct TieSet {
  PlanPoint target;
  std::string of;  ///< `dig point at 41`, `right-of-way crossing`, `clean-out of R1`
  std::vector<SwingTie> ties;
  double finder_radius95 = 0;  ///< how far the tapes and the fixed points' own places can put the finder off, metres
  std::string side;            ///< which of the two points where two tapes meet: `on the street side of …`
  double check_tolerance = 0;  ///< the check tape should agree within this, metres
  std::string offset_words;    ///< `22'4" out from the front wall of the house, 7'6" right of its left corner`
};

struct Conflict {
  std::size_t feature = 0;
  std::string what;  ///< `root zone`, `trunk`, `tolerance zone`, `house influence line`, `street permit`, `lot line`
  double share = 0;  ///< of the footprint's area inside it, 0..1
  std::string says;
};

/// The hole's outline at grade for one way of holding up its sides.
struct Footprint {
  std::string sides;     ///< `sloped, type C soil`, `shored box`
  bool applies = false;  ///< for the soil that the job states, or the one taken when it states none
  bool possible = true;  ///< false: for type A, unless the job states it, since ground over a sewer was dug before
  double slope = 0;      ///< horizontal per vertical; 0 for upright sides
  std::vector<PlanPoint> outline;
  double length = 0, width = 0;
  double volume = 0;  ///< cubic metres
  double spoil_setback = 0;
};

/// Another item of the same line, as seen from a dig point.
struct NearbyItem {
  std::size_t item = 0;  ///< index into Findings::items
  double away = 0;       ///< metres along the line, positive toward the main
  Interval away95;
};

struct DigFinding {
  std::size_t item = 0;  ///< index into Findings::items
  SitePoint position;
  std::array<PlanPoint, 4> window;             ///< rectangle along the pipe that contains the point
  double window_length = 0, window_width = 0;  ///< along and across the pipe, metres
  double wanted_probability = 0.95;
  double contains_probability = 0;
  Azimuth along;                    ///< direction of the pipe at the point, toward the main
  std::array<PlanPoint, 4> bottom;  ///< window plus working room
  double depth_to_top = 0, depth_to_invert = 0;
  Interval depth_to_top95, depth_to_invert95;
  std::vector<Footprint> footprints;
  std::vector<std::string> thresholds;  ///< what the rule set asks at the upper end of the depth interval
  std::vector<Conflict> conflicts;      ///< of the footprint that applies
  std::vector<Conflict> box_conflicts;  ///< of a shored box instead
  TieSet ties;
  std::vector<std::string>
      marked;  ///< what was left on the ground nearby: `white stake; it stands 3.0 ft (2.5 to 3.4) …`
  std::vector<NearbyItem>
      nearby;                ///< bends under the hole, and what to repair or watch so near that a repair may reach it
  double hole_depth = 0;     ///< upper end of depth_to_invert95 and the room under the pipe that the rule set asks
  double machine_depth = 0;  ///< a machine may dig so deep, from there by hand or vacuum; 0: from the surface
  std::string unfit;         ///< why the sloped hole cannot be dug here, a sentence; empty where it can
  double inside = 0, outside = 0;  ///< pipe diameters taken, metres
  std::string soil;                ///< `type C soil, taken because the job does not say`
};

/// What one further locate would do for one question.
struct NextLocate {
  std::size_t run = 0;
  CounterReading at;
  std::string question;  ///< `crossing row`, `dig at 41 ft`, `whole route`, `side of 41 ft`, `which alternative`
  double now95 = 0, then95 = 0;  ///< metres: half-length of the answer's 95 % interval or radius; where
                                 ///< `by_probability` the probability of the likelier answer, on average
  bool by_probability = false;   ///< the question is which of some answers is true
  bool enough = false;           ///< the answer is good enough as it is
  bool helps = false;            ///< not enough yet, and this locate would bring it a tenth nearer at least
  std::string says;
};

struct GradeFinding {
  std::size_t line = 0;
  Station from, to;
  double grade = 0;  ///< fall per length, positive toward the main
  Interval grade95;
  std::optional<double> published_minimum;
  std::string says;
};

struct TreeFinding {
  std::size_t feature = 0, line = 0;
  double distance = 0;  ///< trunk centre to line on the plan
  Interval distance95;
  Station nearest;
  double root_zone = 0;  ///< radius by the rule set, 0 where the trunk is unknown
  double inside_probability = 0;
  double closer_probability = 0;  ///< that the line passes closer than the distance kept between trees and sewers
  std::string says;
};

/// How near another buried service comes, against the published separation.
struct SeparationFinding {
  std::size_t feature = 0, line = 0;
  double distance = 0;  ///< least, centre line to centre line on the plan, 0 where they cross
  Interval distance95;
  Station nearest;
  double crosses_probability = 0;
  std::optional<double> wanted;    ///< published horizontal separation
  double closer_probability = 0;   ///< that the distance is less than `wanted`
  std::optional<double> vertical;  ///< top of the one to bottom of the other where they cross, if its depth is known
  Interval vertical95;
  std::string says;
};

/// A published table laid beside what the log shows; information, not a verdict.
struct FittingFinding {
  std::size_t line = 0;
  std::string what;  ///< `clean-out spacing`, `direction change`
  Station from, to;
  double value = 0;  ///< metres of pipe, or radians turned
  double table = 0;  ///< published figure in the same unit
  std::string says;
};

/// What an item's `act` leads to, and when.
struct FollowUp {
  std::size_t item = 0;
  std::string what;      ///< `dig`, `look again`, `look again after backfill`
  std::string from, to;  ///< ISO 8601 dates; empty where no date can be stated
  std::string says;
};

/// How the words point: left and right are as somebody sees them who faces the house from the street.
struct Viewer {
  std::optional<std::size_t> house;  ///< index into Placed::features
  Azimuth facing;                    ///< from the street toward the house
  bool from_street = false;          ///< false: no street is known, and `facing` looks from the main up the line
};

/// The rule set that the numbers were held against.
struct RulesFinding {
  std::string name, title, says;
  double tolerance_zone = 0;  ///< each side of a buried service's edge, metres
  double spoil_setback = 0;
};

struct LocateFinding {
  std::size_t run = 0, locate = 0;
  PlanPoint read, adjusted;
  double along = 0, across = 0;
  std::optional<double> depth_read, depth_residual;
  double wrong_probability = 0;
  ErrorEllipse ellipse95;  ///< of the reading itself
};

struct ExplanationFinding {
  std::size_t run = 0;
  std::string what;  ///< `unlogged-bend`, `wrong-locate`, `misread-counter`, `wrong-hand`, `counter-zero`
  CounterReading at;
  double probability = 0;
  std::string says;
  Span span;
};

struct Findings {
  std::vector<LineFinding> lines;
  std::vector<ItemFinding> items;
  std::vector<Crossing> crossings;
  std::vector<AlongLimit> along_limits;
  OwnershipFinding ownership;
  std::vector<SideLength> sides;
  std::vector<DigFinding> digs;
  std::vector<TieSet> tie_sets;  ///< of crossings and clean-outs
  std::vector<NextLocate> next_locates;
  std::vector<GradeFinding> grades;
  std::vector<TreeFinding> trees;
  std::vector<SeparationFinding> separations;
  std::vector<FittingFinding> fittings;
  std::vector<FollowUp> follow_ups;
  Viewer viewer;
  RulesFinding rules;
  std::vector<LocateFinding> locates;
  std::vector<ExplanationFinding> explanations;
  std::vector<Diagnostic> remarks;
  Verdict verdict;
  SolveStatistics statistics;
  std::vector<std::string> cautions;  ///< printed on every output
};

struct FindingsOptions {
  double sure = 0.95;  ///< wanted probability of a dig window, in (0, 1)
  std::string
      rules_yaml;  ///< text of a rule set (rules.hpp) to use in place of the one the job names; empty: the job's
};

/// Answers the questions of the three readers.
Findings find(const Placed& placed, const Posterior& posterior, const FindingsOptions& options = {});

}  // namespace swingtie
