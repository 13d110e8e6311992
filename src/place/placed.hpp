#pragma once

#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "job/terms.hpp"
#include "measure/covariance.hpp"
#include "measure/diagnostic.hpp"
#include "measure/length.hpp"
#include "measure/plane.hpp"
#include "place/file_fence.hpp"

namespace swingtie {

struct Job;

/// The job with every name looked up and every position resolved to site coordinates with a covariance.
/// All later stages read this and nothing of the job file. Site coordinates: metres, grid e and n.

struct LonLat {
  double lon_deg = 0, lat_deg = 0;  ///< WGS 84
};

/// How the site grid lies on the Earth.
class GeoReference {
 public:
  virtual ~GeoReference() = default;
  virtual LonLat to_lon_lat(PlanPoint) const = 0;
  virtual PlanPoint from_lon_lat(LonLat) const = 0;
  /// Clockwise angle from true north to grid north at this point.
  virtual Azimuth grid_north(PlanPoint) const = 0;
  /// OGC WKT of the grid's CRS in its own unit, or empty for an anchored local grid.
  virtual std::string wkt() const = 0;
  /// Metres per unit of the CRS's axes; site metres divided by this are the CRS's coordinates.
  virtual double metres_per_grid_unit() const = 0;
  /// Root mean square error of the way to WGS 84, metres: of a datum operation, or of an anchor; 0 when exact.
  virtual double accuracy() const = 0;
};

struct PlacedPoint {
  PlanPoint at;
  PlanCovariance covariance = PlanCovariance::Zero();       ///< against the drawing, see Placed::frame_shift
  PlanCovariance grid_covariance = PlanCovariance::Zero();  ///< against the grid: what the coordinate alone is worth
};

struct Corner {
  std::string name;  ///< `sw`, or its number from 1
  PlacedPoint point;
};

enum class GeometryKind { point, line, area };

/// Rings are open: the first vertex is not repeated. Outer rings run counter-clockwise, holes clockwise.
struct AreaPart {
  std::vector<PlanPoint> outer;
  std::vector<std::vector<PlanPoint>> holes;
};

struct Feature {
  std::string id;
  std::string label;  ///< to print; the id where the job gave none
  FeatureKind kind = FeatureKind::mark;
  GeometryKind shape = GeometryKind::point;
  PlanPoint point;                            ///< GeometryKind::point
  std::vector<std::vector<PlanPoint>> lines;  ///< GeometryKind::line: its parts in the order written
  std::vector<AreaPart> areas;                ///< GeometryKind::area
  std::vector<Corner> corners;  ///< every vertex that can be named, in the order written; one for a point
  PlanCovariance covariance = PlanCovariance::Zero();       ///< typical of its vertices, against the drawing
  PlanCovariance grid_covariance = PlanCovariance::Zero();  ///< typical of its vertices, against the grid
  std::optional<double> trunk, spread, width, size, depth;
  std::string material;
  /// Index into `corners` of the first corner of the lot edge that faces the street, if this is a lot and it is
  /// known.
  std::optional<std::size_t> street_edge;
  /// Area on the plan, square metres, and for a deed how well it closed.
  double area = 0;
  struct Closure {
    PlanVector misclosure;
    double perimeter = 0;
    bool balanced = false;
  };
  std::optional<Closure> closure;
  Span at;
};

/// Height of the ground over the datum of SitePoint::up.
class GroundSurface {
 public:
  virtual ~GroundSurface() = default;
  /// metres; for a flat ground without an elevation 0 everywhere
  virtual double height(PlanPoint) const = 0;
  /// Standard error of a height, metres.
  virtual double sigma(PlanPoint) const = 0;
  /// True when heights are elevations one may print, false for a bare flat ground.
  virtual bool has_elevations() const = 0;
};

enum class Material {
  unknown,
  cast_iron,
  ductile_iron,
  clay,
  concrete,
  pvc,
  abs,
  hdpe,
  orangeburg,
  asbestos_cement,
  steel,
  lead
};

/// The material that a note names, in any usual spelling (`vitrified clay`, `VCP`, `bituminous fibre`);
/// Material::unknown for anything else.
Material material_of(std::string_view text);
std::string_view material_name(Material material);
/// What the note names, with the trade's abbreviations in capitals however they were typed: `PVC SDR-35`.
std::string material_words(std::string_view text);

struct Pipe {
  double size = 0;  ///< nominal inside diameter, metres; 0 unknown
  Material material = Material::unknown;
  std::string words;  ///< of the material, see material_words
};

struct Bend {
  std::optional<Hand> hand;
  std::optional<double> angle;  ///< radians, > 0
};

struct LogItem {
  CounterReading at;
  std::optional<Pipe> pipe;  ///< from here on
  std::optional<Bend> bend;
  std::string what;  ///< what is seen, or how the joint looks; empty for a bare fitting
  Act act = Act::none;
  std::optional<Hand> wye;
  std::optional<std::size_t> branch;  ///< index into Placed::lines
  std::string end;                    ///< not empty: the run ends here, and in what
  bool ends_at_main = false;
  std::string photo, note;
  Span span;
};

struct DepthReadings {
  std::optional<double> along, across;  ///< as read, metres
  std::optional<double> nulls;          ///< distance between the nulls, metres
  struct Ratio {
    double lower = 0, upper = 0, apart = 0;
  };
  std::optional<Ratio> ratio;
};

struct Locate {
  CounterReading at;
  PlacedPoint position;  ///< covariance of the position's own geometry, without the receiver
  bool whole = false;    ///< the covariance was stated for the whole locate: add nothing for the receiver
  LocateMethod by = LocateMethod::peak;
  DepthReadings depth;
  std::optional<Azimuth> direction;
  std::string marked, photo, note;
  Span span;
};

struct Run {
  std::string id;
  std::size_t line = 0;  ///< index into Placed::lines
  PlacedPoint access;
  std::string access_what;
  std::string access_id;
  double drop = 0;  ///< ground to the pipe's invert at the access, metres
  Travel toward = Travel::toward_main;
  CounterZero zero = CounterZero::at_pipe_entry;
  CounterReading zero_reading;  ///< for CounterZero::stated
  double sonde_behind_lens = 0, view_ahead = 0;
  Completeness bends = Completeness::all;
  std::vector<LogItem> log;     ///< by counter, then by place in the file
  std::vector<Locate> locates;  ///< by counter, then by place in the file
  Span at;
};

struct Line {
  std::string id;
  struct OpenEnd {};
  struct OnFeatureEnd {
    std::size_t feature = 0;  ///< index into Placed::features
  };
  std::variant<OpenEnd, OnFeatureEnd, PlacedPoint> end;
  std::optional<std::size_t> joins;  ///< the line this branch meets
  Span at;
};

struct Ownership {
  PrivateUntil until = PrivateUntil::unsaid;
  std::optional<std::size_t> feature;  ///< the limit, where it is a feature: index into Placed::features
  std::optional<PlacedPoint> point;    ///< the limit, where it is a clean-out
  Station station;
  std::string source;
  Span at;
};

struct Digging {
  std::string rules;
  std::optional<Soil> soil;
  std::optional<double> bucket, working_room;
};

struct Placed {
  std::string site_name, inspected, by;
  LengthUnit unit = LengthUnit::foot;
  std::string crs;                                   ///< as written; empty for a local grid
  std::shared_ptr<const GeoReference> georeference;  ///< null for a local grid without an anchor
  std::shared_ptr<const GroundSurface> ground;       ///< never null
  /// All covariances here are against the drawing's own frame: an error that shifts most of what was measured alike
  /// (how the house stands on its lot, the datum operation) is left out of them, since it puts no point of the
  /// drawing wrong against another. This is how the drawing as a whole may lie off the grid; it adds to what a
  /// coordinate alone is worth.
  PlanCovariance frame_shift = PlanCovariance::Zero();
  /// True where the way between the grid and WGS 84 is part of that shift, because most of what was measured came as
  /// latitude and longitude: such a drawing lies better on the Earth than on its grid.
  bool came_by_lon_lat = false;
  std::vector<Feature> features;  ///< in the order of their ids, so that the order of the file changes nothing
  std::vector<Line> lines;
  std::vector<Run> runs;
  Ownership ownership;
  Digging digging;
};

/// Resolves a job. Reads the vector and raster files it names, never the network.
/// Diagnostics: unknown or twofold names, cycles of references, ties that do not meet, a deed that does not close,
/// files that cannot be read or lie outside the fence, coordinates outside their CRS.
Checked<Placed> place(const Job& job, const FileFence& files);
/// With files anywhere, named relative to `folder`.
Checked<Placed> place(const Job& job, const std::string& folder);

/// What could be placed of a job that has mistakes in it, to be shown and not to be solved: features, lines, runs and
/// locates that could not be placed are missing, and the access of a run is not finite where it could not be placed.
struct PartlyPlaced {
  Placed placed;
  std::vector<Diagnostic> diagnostics;
  bool whole = false;  ///< no error: `placed` is what place gives
};
PartlyPlaced place_partly(const Job& job, const FileFence& files);

const Feature* find_feature(const Placed& placed, std::string_view id);

/// What a coordinate of the grid is worth, of a place whose covariance is against the drawing: that, and how the
/// drawing lies on the grid.
PlanCovariance on_grid(const Placed& placed, const PlanCovariance& in_drawing);

/// What a latitude and longitude are worth, of a place whose covariance on the grid is this: that, and the way from
/// the grid to WGS 84 at that place. The same as on the grid where nothing leads there.
PlanCovariance on_earth(const Placed& placed, PlanPoint at, const PlanCovariance& on_grid);

}  // namespace swingtie
