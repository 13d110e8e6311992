#pragma once

#include <memory>
#include <optional>
#include <string>
#include <string_view>

#include "place/placed.hpp"

namespace swingtie {

/// What a coordinate reference system says of itself.
struct CrsFacts {
  std::string name;  ///< `NAD83 / Ohio North (ftUS)`
  std::string code;  ///< `EPSG:3734`; empty where it is in no register
  enum class Kind { projected, geographic, other } kind = Kind::other;
  bool east_and_north = false;  ///< both axes run east and north, in either order
  bool web_mercator = false;    ///< the web's pseudo-Mercator, whose lengths grow with the latitude
  double metres_per_unit = 1;
  std::string unit;  ///< as the CRS has it: `US survey foot`
  /// Area of use in degrees; east may be less than west across the date line. Absent where the CRS has none.
  struct Area {
    double west = 0, south = 0, east = 0, north = 0;
  };
  std::optional<Area> area;
};

/// From one CRS to another by the operation that is best at one place. Coordinates are east and north (longitude and
/// latitude in degrees) in each CRS's own unit; a point outside an operation's domain comes out infinite.
class CrsTransform {
 public:
  virtual ~CrsTransform() = default;
  virtual PlanPoint forward(PlanPoint) const = 0;
  virtual PlanPoint back(PlanPoint) const = 0;
  /// Root mean square error of the operation used at the first point, metres; 0 within one datum and before use.
  virtual double accuracy() const = 0;
};

/// What the program asks of PROJ. The one implementation lives in swingtie-proj.so; opening that throws
/// std::runtime_error where PROJ's database is missing or damaged, and says what to do.
class ProjModule {
 public:
  static constexpr const char* module_name = "proj";
  static constexpr const char* interface_name = "swingtie::ProjModule 1";
  virtual ~ProjModule() = default;

  /// Nothing where the text names no CRS: `EPSG:2260`, an OGC WKT or a PROJ string. Of a compound CRS the horizontal
  /// part counts.
  virtual std::optional<CrsFacts> facts(std::string_view crs) const = 0;

  struct Opened {
    std::optional<CrsFacts> facts;                  ///< empty where the text names no CRS
    std::shared_ptr<const GeoReference> reference;  ///< for a projected CRS with axes east and north
    /// The same grid over latitudes and longitudes of its own datum: quick, and good enough to see where it lies.
    std::shared_ptr<const GeoReference> own_datum;
  };
  /// A grid from which no way leads to WGS 84 gives infinite coordinates. Coordinates are east and north whatever the
  /// order of the CRS's axes. The reference uses the best operation to WGS 84 that works without the network; it may
  /// be used from several threads.
  virtual Opened open(std::string_view crs) const = 0;

  /// Null where one of the two is no CRS or no way leads from one to the other. For one thread at a time.
  virtual std::unique_ptr<CrsTransform> transform(std::string_view from, std::string_view to) const = 0;
};

}  // namespace swingtie
