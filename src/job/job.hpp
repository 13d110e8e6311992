#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <variant>
#include <vector>

#include "job/terms.hpp"
#include "measure/diagnostic.hpp"
#include "measure/length.hpp"
#include "measure/plane.hpp"

namespace swingtie {

/// The job file as it was written: names not yet looked up, positions not yet worked out. Lengths are metres
/// already (a plain number was in the site's unit), angles radians, counter readings metres of cable.

struct Position;

/// A named point of a feature (`house.sw`, `curb.1`) or a feature that is a point itself (`hydrant`).
struct PointName {
  std::string feature;
  std::string corner;   ///< empty when the feature itself is meant
  Span at;              ///< of the whole name
  Span corner_at = {};  ///< of the corner alone, or of the whole
};

/// An edge of an area, from one of its corners to the next (`house.sw-se`).
struct EdgeName {
  std::string feature;
  std::string from, to;
  Span at;
};

struct ByCoordinates {  ///< `[e, n]`
  double e = 0, n = 0;  ///< metres of the site's unit; the grid unit of a crs is place's business
};
struct ByLonLat {  ///< `{lat, lon}`
  double lat_deg = 0, lon_deg = 0;
};
struct Tie {
  PointName from;
  Written<double> distance;
};
/// On which of the two sides of the ties' base the point lies.
struct SideWord {
  enum class Kind { compass, toward, away_from } kind = Kind::compass;
  Azimuth compass;      ///< for Kind::compass: `north`, `se` …
  std::string feature;  ///< for the other two
  Span at;
};
struct ByTies {  ///< `{ties: {point: length, …}, side: …}`
  std::vector<Tie> ties;
  std::optional<SideWord> side;
};
/// `{off: line, from: point, go: distance, left|right: offset}` or `{along: edge, from: corner, go: distance,
/// out|in: offset}`. Left and right are as one walks the line in the order it was written.
struct ByOffset {
  std::variant<std::string, EdgeName> base;  ///< a line feature, or an edge of an area
  Span base_at;
  PointName from;
  Written<double> go;
  enum class Toward { none, left, right, out, in } toward = Toward::none;
  Written<double> offset;
};
struct Leg {
  Azimuth bearing;
  double distance = 0;
  Span at;
};
struct ByLegs {  ///< `{from: point, go: "N 12 E 40"}` or a list of such legs
  PointName from;
  std::vector<Leg> legs;
};
struct OnFeature {  ///< `{on: feature}`: the point of a point feature, the middle of any other
  PointName feature;
};

struct Position {
  std::variant<ByCoordinates, ByLonLat, ByTies, ByOffset, ByLegs, OnFeature> recipe;
  std::optional<Written<double>> within;  ///< stated 95 % radius
  Span at;
};

struct DeedArc {
  bool to_left = false;
  double radius = 0;
  std::optional<double> delta;       ///< central angle
  std::optional<double> arc_length;  ///< at least one of delta, arc_length, chord is given
};
/// One course of a deed: straight, or an arc to the left or right.
struct DeedCall {
  using Arc = DeedArc;
  std::optional<Azimuth> bearing;  ///< of the course, or of the chord of an arc; an arc without one is tangent
  std::optional<double> distance;  ///< of the course, or of the chord of an arc
  std::optional<Arc> arc;
  Span at;
};
struct Deed {
  Position start;
  std::vector<DeedCall> calls;
  enum class Balance { if_small, compass_rule, none } balance = Balance::if_small;
  Span at;
};

/// A leg of walls measured by tape and turn: turn (0 straight on, else right positive) and then the length.
struct WallLeg {
  double turn = 0;
  double distance = 0;
  Span at;
};
struct Walls {
  Position start;
  Azimuth heading;  ///< of the first wall
  std::vector<WallLeg> legs;
  bool closed = true;  ///< the last leg returns to the start
  Span at;
};
struct OffsetLine {  ///< `{from: curb, by: 11, toward: house}`
  std::string from;
  Span from_at;
  Written<double> by;
  std::optional<SideWord> toward;
};
struct FileSource {
  Written<std::string> path;
  std::string layer;  ///< empty: the only layer
  std::string where;
  std::optional<Position> near;  ///< take the feature that holds, or else is nearest to, this point
  std::vector<std::pair<std::string, std::string>> map;  ///< our key -> their attribute
  std::optional<Written<std::string>> crs;               ///< when the file does not say
};
struct PointGeometry {
  Position at;
};
struct LineGeometry {
  std::vector<Position> vertices;
};
struct AreaGeometry {
  std::vector<Position> vertices;  ///< in order, not repeated at the end
};

struct FeatureEntry {
  Written<std::string> id;
  Written<FeatureKind> kind;
  std::variant<PointGeometry, LineGeometry, AreaGeometry, Deed, Walls, OffsetLine, FileSource> geometry;
  std::vector<Written<std::string>> corners;        ///< names of the vertices in order; empty: numbered from 1
  std::string label;                                ///< printed instead of the id
  std::optional<Written<double>> trunk;             ///< diameter at breast height (DBH)
  std::optional<Written<double>> spread;            ///< diameter of the crown
  std::optional<Written<double>> width;             ///< of a driveway, walk, fence line or wall
  std::optional<Written<double>> size;              ///< outside diameter of a utility
  std::optional<Written<double>> depth;             ///< of a utility, ground to top
  std::optional<Written<double>> within;            ///< 95 % radius of each of its points
  std::string material;                             ///< of a utility
  std::optional<Written<std::string>> street_edge;  ///< of a lot: `sw-se`, the edge that faces the street
  Span at;
};

struct GroundSpot {
  Position at;
  Written<double> elevation;
};
struct Ground {
  struct Flat {
    std::optional<double> elevation;
  };
  struct Spots {
    std::vector<GroundSpot> spots;
  };
  struct Dem {
    Written<std::string> path;
    std::optional<double> metres_per_unit;  ///< of the heights, when the file does not say
  };
  std::variant<Flat, Spots, Dem> surface;
  Span at;
};

struct LineEnd {
  enum class Kind {
    open,       ///< nothing is known of its end
    city_main,  ///< the reserved word `city-main`: on the one feature of kind main, or unknown where there is none
    feature,    ///< somewhere on this feature
    point
  } kind = Kind::open;
  Written<std::string> feature;
  std::optional<Position> point;
};
struct LineEntry {
  Written<std::string> id;
  LineEnd end;
  std::optional<Written<std::string>> joins;  ///< the line that this branch meets at a wye
  Span at;
};

struct PipeNote {
  double size = 0;       ///< nominal inside diameter
  std::string material;  ///< as written: `cast iron`
};
struct BendNote {
  std::optional<Hand> hand;
  std::optional<double> angle;  ///< radians, > 0
};
struct LogEntry {
  Written<CounterReading> at;
  std::optional<Written<PipeNote>> pipe;
  std::optional<Written<BendNote>> bend;
  std::optional<Written<std::string>> joint;  ///< what a joint looks like
  std::optional<Written<std::string>> see;    ///< what is seen
  Act act = Act::none;
  std::optional<Written<Hand>> wye;            ///< a branch comes in from this hand
  std::optional<Written<std::string>> branch;  ///< the line that the wye belongs to
  std::optional<Written<std::string>> end;     ///< the run ends here, and in what: `city main`, `blockage` …
  std::string photo, note;
  Span span;
};

struct DepthRatio {
  double lower = 0, upper = 0;  ///< signal readings
  double apart = 0;             ///< height between them
  Span at;
};
struct DepthNote {
  std::optional<Written<double>> along;   ///< read with the receiver along the pipe; a plain `depth: 7.5` is this
  std::optional<Written<double>> across;  ///< read with the receiver turned across it
  std::optional<Written<double>> nulls;   ///< distance between the two nulls; depth = distance / sqrt 2
  using Ratio = DepthRatio;
  std::optional<Ratio> ratio;
};
struct LocateEntry {
  Written<CounterReading> at;
  Position position;
  std::optional<Written<double>> within;  ///< whole 95 % radius, receiver included
  LocateMethod by = LocateMethod::peak;
  DepthNote depth;
  std::optional<Written<Azimuth>> direction;
  std::string marked, photo, note;
  Span span;
};

struct RunEntry {
  Written<std::string> id;
  std::optional<Written<std::string>> line;  ///< empty: the only line
  struct From {
    Position at;
    std::string what;
    Written<double> drop;
    std::string id;  ///< name to use the clean-out elsewhere; empty: none
  } from;
  Travel toward = Travel::toward_main;
  CounterZero zero = CounterZero::at_pipe_entry;
  double zero_reading = 0;  ///< for CounterZero::stated
  double sonde_behind_lens = 0;
  double view_ahead = 0;
  Completeness bends = Completeness::all;
  std::vector<LogEntry> log;
  std::vector<LocateEntry> locates;
  Span at;
};

struct OwnershipRule {
  PrivateUntil until = PrivateUntil::unsaid;
  std::string clean_out;  ///< for PrivateUntil::clean_out: a run's access id or a feature
  double station = 0;     ///< for PrivateUntil::station
  std::string source;     ///< who says so
  Span at;                ///< of the limit: the id of a clean-out, or the word
};

/// How the hole is to be dug; what the job does not say is taken from the rule set.
struct DigPlan {
  std::string rules;  ///< name of a rule set; empty: the findings take one by the site's unit
  std::optional<Soil> soil;
  std::optional<double> bucket;        ///< width
  std::optional<double> working_room;  ///< added on each side of the window
};

struct AnchorPoint {
  double grid_e = 0, grid_n = 0;  ///< metres of the site's unit
  double lat_deg = 0, lon_deg = 0;
  Azimuth grid_north;  ///< azimuth of grid north from true north
  std::optional<double> within =
      std::nullopt;  ///< how well the place is known, 95 % radius; 0 where it defines the grid
};
struct SiteEntry {
  std::string name;
  LengthUnit units = LengthUnit::foot;
  std::optional<Written<std::string>> crs;
  std::optional<Written<AnchorPoint>> anchor;
  std::string inspected;  ///< ISO 8601 date or empty
  std::string by;
  Span at;
};

struct Job {
  SiteEntry site;
  std::vector<FeatureEntry> features;
  std::optional<Ground> ground;
  std::vector<LineEntry> lines;  ///< never empty: a job without any has the line `main`
  std::vector<RunEntry> runs;
  OwnershipRule ownership;
  DigPlan dig;
};

/// Reads a job from YAML text. Every error of the text is reported, not only the first; unknown keys are errors.
/// Limits: 1 MiB of text, 64 levels, 200,000 values after aliases.
Checked<Job> read_job(std::string_view yaml);

/// A job as far as it is written.
struct UnfinishedJob {
  Job job;  ///< without the features, lines, runs, log entries and locates that have an error in them
  std::vector<Diagnostic> diagnostics;
  bool finished = false;     ///< no error: `job` is what read_job gives
  std::size_t left_out = 0;  ///< entries
};

/// As read_job, for a job that somebody is still writing: what is right can be shown although other things are not.
UnfinishedJob read_unfinished_job(std::string_view yaml);

/// The JSON Schema (draft 2020-12) of the job file, made from the same description the reader uses.
std::string job_schema();

/// Every key of the job file for a person to read, in Markdown, made from the same description.
std::string job_reference();

}  // namespace swingtie
