#pragma once

#include <functional>
#include <map>
#include <memory>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "job/job.hpp"
#include "place/gdal_module.hpp"
#include "place/placed.hpp"
#include "place/report.hpp"
#include "place/shapes.hpp"
#include "place/ties.hpp"
#include "place/traverse.hpp"
#include "place/uncertain.hpp"

namespace swingtie {

class FileFrame;

/// The grid that positions are resolved on.
struct SiteGrid {
  LengthUnit unit = LengthUnit::foot;
  /// What the metres of a job's coordinates are multiplied with: 1, or the ratio of the CRS's foot to the site's.
  double coordinate_scale = 1;
  std::shared_ptr<const GeoReference> georeference;  ///< null for a local grid without an anchor
};

struct NamedPoint {
  std::string name;
  UncertainPoint point;
};

/// A feature's geometry with the errors of its vertices.
struct ShapedFeature {
  GeometryKind shape = GeometryKind::point;
  std::vector<std::vector<UncertainPoint>> lines;  ///< GeometryKind::line
  std::vector<AreaPart> areas;                     ///< GeometryKind::area
  std::vector<NamedPoint> corners;                 ///< one, nameless, for a point
  double area = 0;                                 ///< square metres
  std::optional<Feature::Closure> closure;
  /// Attributes that a file gave for keys the job left out.
  std::optional<double> trunk, spread, width, size, depth;
  std::string label, material;
};

/// Looks up names and works out positions, each once, in whatever order they depend on each other.
///
/// The unit of dependency is a vertex where a feature is written as a list of positions, else the whole feature, so
/// a house corner may be set off from another corner of the same house. A function that returns nothing has reported
/// why. O(vertices + observations).
class Resolver {
 public:
  Resolver(const Job& job, SiteGrid grid, FileFence files, Report& report);

  std::optional<UncertainPoint> position(const Position& written);
  std::optional<UncertainPoint> point(const PointName& name);
  /// The feature of this name, resolved as a whole; `at` is where the name stands.
  const ShapedFeature* feature(std::string_view id, Span at);
  const ShapedFeature* feature(std::size_t index);
  /// Index of the feature in the job; nothing if there is none, which is not reported.
  std::optional<std::size_t> find(std::string_view id) const;
  /// The access point of a run, by the run's index.
  std::optional<UncertainPoint> access(std::size_t run);
  /// The ground of a raster file around these places; null after reporting why not.
  std::shared_ptr<const GroundSurface> elevation_model(const Ground::Dem& dem, const std::vector<PlanPoint>& wanted);
  /// Where a locate was taken; with `within` on the locate, known as well as that says.
  std::optional<UncertainPoint> locate_position(const LocateEntry& entry);
  /// Reports that nothing is called so, with the nearest name.
  void report_unknown(std::string_view id, Span at, std::string_view what);
  /// Says once, at the first, how many positions by latitude and longitude were taken at a phone's worth.
  void report_assumed_fixes();
  /// The same for features from files.
  void report_assumed_layers();

 private:
  enum class State { fresh, busy, done, failed };
  struct Node {
    State state = State::fresh;
    std::optional<UncertainPoint> point;
  };
  struct FeatureNode {
    State state = State::fresh;
    ShapedFeature shape;
    std::vector<Node> vertices;                                ///< for a feature written as a list of positions
    std::optional<std::pair<ErrorSource, ErrorSource>> shift;  ///< for a feature with `within`
  };
  struct Edge {
    UncertainPoint from, to;
    bool interior_to_right = false;
  };

  // The recipes: recipes.cpp.
  std::optional<UncertainPoint> by_coordinates(const ByCoordinates& recipe);
  std::optional<UncertainPoint> by_lon_lat(const ByLonLat& recipe, const Position& written);
  std::optional<UncertainPoint> by_ties(const ByTies& recipe, Span at);
  std::optional<UncertainPoint> by_offset(const ByOffset& recipe);
  std::optional<UncertainPoint> by_legs(const ByLegs& recipe);
  std::optional<UncertainPoint> on_feature(const OnFeature& recipe);
  std::optional<UncertainPoint> choose_side(const ByTies& recipe, const std::vector<TapedTie>& ties,
                                            const TieFix& fix, Span at);
  void check_ties_agree(const ByTies& recipe, TieSolution& solution, Span at);
  std::optional<Edge> edge(const EdgeName& name);

  // The ways to write a feature: features.cpp.
  std::optional<ShapedFeature> shape_of(std::size_t index);
  std::optional<ShapedFeature> shape_listed(std::size_t index);
  std::optional<ShapedFeature> shape_deed(const FeatureEntry& entry, const Deed& deed);
  std::optional<ShapedFeature> shape_walls(const FeatureEntry& entry, const Walls& walls);
  std::optional<ShapedFeature> shape_offset(const FeatureEntry& entry, const OffsetLine& offset);
  std::optional<std::vector<TraverseCourse>> courses_of(const Deed& deed);
  bool name_corners(const FeatureEntry& entry, ShapedFeature& shape);
  void warn_if_crossing(const FeatureEntry& entry, const ShapedFeature& shape);

  // Files: files.cpp.
  std::optional<ShapedFeature> shape_file(const FeatureEntry& entry, const FileSource& source);
  bool report_file_fault(FileFault fault, const std::string& words, const Written<std::string>& path,
                         const std::vector<std::string>& formats);
  bool check_file_coordinates(const FeatureEntry& entry, const FileSource& source, const FileFeature& written,
                              const FileFeature& moved, const FileFrame& frame);
  std::optional<ShapedFeature> shaped_from_file(const FeatureEntry& entry, const FileSource& source,
                                                const FileFeature& written, const FileFeature& moved,
                                                const FileFrame& frame, const std::vector<std::string>& fields);
  bool take_attribute(const std::string& ours, const std::string& theirs, const FileFeature& written,
                      const std::vector<std::string>& fields, const FileSource& source, ShapedFeature& shape);

  std::optional<UncertainPoint> vertex(std::size_t feature, std::size_t index, Span asked_at);
  const std::vector<Position>* listed_positions(std::size_t feature) const;
  std::vector<std::string> corner_names(std::size_t feature);
  void report_cycle(std::string_view back_to, Span at);
  double distance_to_feature(const ShapedFeature& shape, PlanPoint point) const;
  std::string length_text(double metres, int decimals = 1) const;
  /// The path to open for a file that the job names; nothing after reporting that it may not be read.
  std::optional<std::string> file_path(const Written<std::string>& name);

  const Job& job_;
  SiteGrid grid_;
  FileFence files_;
  Report& report_;
  ErrorSources sources_;
  std::map<std::string, std::size_t, std::less<>> by_id_;
  std::map<std::string, std::size_t, std::less<>> access_by_id_;
  std::vector<FeatureNode> nodes_;
  std::vector<Node> accesses_;
  std::set<std::vector<std::string>> reported_circles_;
  std::vector<std::string> busy_;  ///< names of what is being worked out, outermost first
  std::map<std::string, UncertainPoint, std::less<>> layer_shifts_;  ///< errors of a map layer, by file and layer
  std::size_t assumed_fixes_ = 0, assumed_layers_ = 0;
  Span first_assumed_fix_, first_assumed_layer_;
};

/// `sw`, `2` … for the vertices of an area or a line, as the job names them or by number from 1.
std::string corner_name(const FeatureEntry& entry, std::size_t index);

/// `a, b or c`.
std::string join_names(const std::vector<std::string>& names);

/// The one of the eight compass words nearest to a direction.
std::string_view compass_word(Azimuth azimuth);

}  // namespace swingtie
