// swingtie-proj.so: everything that needs PROJ.

#include "place/proj_module.hpp"

#include <proj.h>

#include <cmath>
#include <memory>
#include <mutex>

#include "load/module.hpp"
#include "measure/bearing.hpp"

namespace swingtie {
namespace {

struct Free {
  void operator()(PJ* p) const { proj_destroy(p); }
  void operator()(PJ_CONTEXT* c) const { proj_context_destroy(c); }
  void operator()(PJ_OPERATION_FACTORY_CONTEXT* c) const { proj_operation_factory_context_destroy(c); }
};
using Object = std::unique_ptr<PJ, Free>;

/// A context of its own that never reaches for the network nor writes to stderr, and remembers what went wrong.
class Context {
 public:
  Context() : context_(proj_context_create()) {
    proj_context_set_enable_network(get(), 0);
    proj_log_func(get(), this, [](void* self, int level, const char* text) {
      if (level == PJ_LOG_ERROR) static_cast<Context*>(self)->last_words_ = text;
    });
  }
  PJ_CONTEXT* get() const { return context_.get(); }
  const std::string& last_words() const { return last_words_; }

 private:
  std::unique_ptr<PJ_CONTEXT, Free> context_;
  std::string last_words_;
};

/// The horizontal CRS that a text names; null if it names none.
Object horizontal_crs(const Context& context, std::string_view text) {
  std::string definition(text);
  if (definition.find("+proj") != std::string::npos && definition.find("+type=crs") == std::string::npos)
    definition += " +type=crs";
  Object crs(proj_create(context.get(), definition.c_str()));
  if (!crs || proj_is_crs(crs.get()) == 0) return nullptr;
  if (proj_get_type(crs.get()) == PJ_TYPE_COMPOUND_CRS) crs.reset(proj_crs_get_sub_crs(context.get(), crs.get(), 0));
  if (crs && proj_get_type(crs.get()) == PJ_TYPE_BOUND_CRS) crs.reset(proj_get_source_crs(context.get(), crs.get()));
  return crs;
}

CrsFacts facts_of(const Context& context, const PJ* crs) {
  CrsFacts facts;
  if (const char* name = proj_get_name(crs); name != nullptr) facts.name = name;
  switch (proj_get_type(crs)) {
    case PJ_TYPE_PROJECTED_CRS:
      facts.kind = CrsFacts::Kind::projected;
      break;
    case PJ_TYPE_GEOGRAPHIC_2D_CRS:
    case PJ_TYPE_GEOGRAPHIC_3D_CRS:
      facts.kind = CrsFacts::Kind::geographic;
      break;
    default:
      break;
  }
  const Object system(proj_crs_get_coordinate_system(context.get(), crs));
  if (system) {
    std::string directions;
    for (int axis = 0; axis < std::min(proj_cs_get_axis_count(context.get(), system.get()), 2); ++axis) {
      const char *direction = nullptr, *unit = nullptr;
      double factor = 1;
      proj_cs_get_axis_info(context.get(), system.get(), axis, nullptr, nullptr, &direction, &factor, &unit, nullptr,
                            nullptr);
      directions += std::string(direction != nullptr ? direction : "?") + " ";
      facts.metres_per_unit = factor;
      facts.unit = unit != nullptr ? unit : "";
    }
    facts.east_and_north = directions == "east north " || directions == "north east ";
  }
  if (facts.kind == CrsFacts::Kind::projected) {
    const Object conversion(proj_crs_get_coordoperation(context.get(), crs));
    const char* method = nullptr;
    if (conversion &&
        proj_coordoperation_get_method_info(context.get(), conversion.get(), &method, nullptr, nullptr) != 0 &&
        method != nullptr) {
      facts.web_mercator = std::string_view(method).find("Pseudo Mercator") != std::string_view::npos;
    }
  }
  CrsFacts::Area area;
  const char* area_name = nullptr;
  if (proj_get_area_of_use(context.get(), crs, &area.west, &area.south, &area.east, &area.north, &area_name) != 0 &&
      area.west > -1000) {
    if (area_name != nullptr) area.name = area_name;
    facts.area = area;
  }
  return facts;
}

LonLat middle_of(const CrsFacts::Area& area) {
  const double east = area.east < area.west ? area.east + 360 : area.east;
  return {std::remainder((area.west + east) / 2, 360.0), (area.south + area.north) / 2};
}

class CrsReference : public GeoReference {
 public:
  static std::shared_ptr<const GeoReference> make(std::string_view text) {
    auto made = std::make_shared<CrsReference>();
    const Object crs = horizontal_crs(made->context_, text);
    const Object wgs84(proj_create(made->context_.get(), "EPSG:4326"));
    if (!crs || !wgs84) return nullptr;
    const CrsFacts facts = facts_of(made->context_, crs.get());
    made->metres_per_unit_ = facts.metres_per_unit;
    const Object as_authority(
        proj_create_crs_to_crs_from_pj(made->context_.get(), crs.get(), wgs84.get(), nullptr, nullptr));
    if (!as_authority) return nullptr;
    // East before north and longitude before latitude, whatever order the authority keeps.
    made->to_wgs84_.reset(proj_normalize_for_visualization(made->context_.get(), as_authority.get()));
    if (!made->to_wgs84_) return nullptr;
    const char* wkt = proj_as_wkt(made->context_.get(), crs.get(), PJ_WKT1_GDAL, nullptr);
    if (wkt == nullptr) wkt = proj_as_wkt(made->context_.get(), crs.get(), PJ_WKT2_2019, nullptr);
    if (wkt != nullptr) made->wkt_ = wkt;
    if (facts.area) made->from_lon_lat(middle_of(*facts.area));
    return made;
  }

  LonLat to_lon_lat(PlanPoint p) const override {
    const std::lock_guard lock(mutex_);
    const PJ_COORD out =
        proj_trans(to_wgs84_.get(), PJ_FWD, proj_coord(p.e / metres_per_unit_, p.n / metres_per_unit_, 0, HUGE_VAL));
    note_accuracy();
    return {out.xy.x, out.xy.y};
  }

  PlanPoint from_lon_lat(LonLat at) const override {
    const std::lock_guard lock(mutex_);
    const PJ_COORD out = proj_trans(to_wgs84_.get(), PJ_INV, proj_coord(at.lon_deg, at.lat_deg, 0, HUGE_VAL));
    note_accuracy();
    return {out.xy.x * metres_per_unit_, out.xy.y * metres_per_unit_};
  }

  Azimuth grid_north(PlanPoint p) const override {
    const LonLat at = to_lon_lat(p);
    constexpr double step_deg = 5e-5;  // some 5 m: far above rounding, far below the curvature of a meridian
    const PlanPoint south = from_lon_lat({at.lon_deg, at.lat_deg - step_deg});
    const PlanPoint north = from_lon_lat({at.lon_deg, at.lat_deg + step_deg});
    return {-azimuth(south, north).radians};
  }

  std::string wkt() const override { return wkt_; }
  double metres_per_grid_unit() const override { return metres_per_unit_; }
  double accuracy() const override {
    const std::lock_guard lock(mutex_);
    return accuracy_;
  }

 private:
  /// PROJ may choose another operation from point to point; the last one's accuracy counts.
  void note_accuracy() const {
    const Object used(proj_trans_get_last_used_operation(to_wgs84_.get()));
    if (!used) return;
    const double stated = proj_coordoperation_get_accuracy(context_.get(), used.get());
    if (stated >= 0) {
      accuracy_ = stated;
    } else if (proj_coordoperation_has_ballpark_transformation(context_.get(), used.get()) != 0) {
      // Datums taken as one although they are not: some metres in North America and Europe, worse elsewhere.
      accuracy_ = 5.0;
    }
  }

  Context context_;
  Object to_wgs84_;
  double metres_per_unit_ = 1;
  std::string wkt_;
  mutable double accuracy_ = 0;
  mutable std::mutex mutex_;
};

class Proj : public ProjModule {
 public:
  Opened open(std::string_view text) const override {
    Opened opened;
    const Context context;
    const Object crs = horizontal_crs(context, text);
    if (!crs) {
      opened.fault = context.last_words();
      return opened;
    }
    opened.facts = facts_of(context, crs.get());
    if (opened.facts->kind == CrsFacts::Kind::projected && opened.facts->east_and_north) {
      opened.reference = CrsReference::make(text);
      if (!opened.reference) opened.fault = "no operation from it to WGS 84 is known";
    }
    return opened;
  }
};

}  // namespace
}  // namespace swingtie

SWINGTIE_MODULE(swingtie::ProjModule, swingtie::Proj)
