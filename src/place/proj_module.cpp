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

/// Accuracy taken for datums that are treated as one although they are not: some metres in North America and Europe,
/// worse elsewhere.
constexpr double ballpark_accuracy = 5.0;

class Operation : public CrsTransform {
 public:
  /// East before north and longitude before latitude, whatever order the authorities keep.
  static std::unique_ptr<Operation> make(std::string_view from, std::string_view to) {
    auto made = std::make_unique<Operation>();
    const Object source = horizontal_crs(made->context_, from), target = horizontal_crs(made->context_, to);
    if (!source || !target) return nullptr;
    const Object as_authority(
        proj_create_crs_to_crs_from_pj(made->context_.get(), source.get(), target.get(), nullptr, nullptr));
    if (!as_authority) return nullptr;
    made->pipeline_.reset(proj_normalize_for_visualization(made->context_.get(), as_authority.get()));
    return made->pipeline_ ? std::move(made) : nullptr;
  }

  PlanPoint forward(PlanPoint p) const override { return run(PJ_FWD, p); }
  PlanPoint back(PlanPoint p) const override { return run(PJ_INV, p); }
  double accuracy() const override { return accuracy_; }
  const Context& context() const { return context_; }

 private:
  PlanPoint run(PJ_DIRECTION direction, PlanPoint p) const {
    const PJ_COORD out = proj_trans(pipeline_.get(), direction, proj_coord(p.e, p.n, 0, HUGE_VAL));
    // PROJ may choose another operation from point to point.
    if (const Object used(proj_trans_get_last_used_operation(pipeline_.get())); used) {
      const double stated = proj_coordoperation_get_accuracy(context_.get(), used.get());
      const bool ballpark = proj_coordoperation_has_ballpark_transformation(context_.get(), used.get()) != 0;
      accuracy_ = stated >= 0 ? stated : ballpark ? ballpark_accuracy : 0;
    }
    return {out.xy.x, out.xy.y};
  }

  Context context_;
  Object pipeline_;
  mutable double accuracy_ = 0;
};

class CrsReference : public GeoReference {
 public:
  static std::shared_ptr<const GeoReference> make(std::string_view text) {
    auto made = std::make_shared<CrsReference>();
    made->to_wgs84_ = Operation::make(text, "EPSG:4326");
    if (!made->to_wgs84_) return nullptr;
    const Context& context = made->to_wgs84_->context();
    const Object crs = horizontal_crs(context, text);
    const CrsFacts facts = facts_of(context, crs.get());
    made->metres_per_unit_ = facts.metres_per_unit;
    const char* wkt = proj_as_wkt(context.get(), crs.get(), PJ_WKT1_GDAL, nullptr);
    if (wkt == nullptr) wkt = proj_as_wkt(context.get(), crs.get(), PJ_WKT2_2019, nullptr);
    if (wkt != nullptr) made->wkt_ = wkt;
    if (facts.area) made->from_lon_lat(middle_of(*facts.area));
    return made;
  }

  LonLat to_lon_lat(PlanPoint p) const override {
    const std::lock_guard lock(mutex_);
    const PlanPoint out = to_wgs84_->forward({p.e / metres_per_unit_, p.n / metres_per_unit_});
    return {out.e, out.n};
  }

  PlanPoint from_lon_lat(LonLat at) const override {
    const std::lock_guard lock(mutex_);
    const PlanPoint out = to_wgs84_->back({at.lon_deg, at.lat_deg});
    return {out.e * metres_per_unit_, out.n * metres_per_unit_};
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
    return to_wgs84_->accuracy();
  }

 private:
  std::unique_ptr<Operation> to_wgs84_;
  double metres_per_unit_ = 1;
  std::string wkt_;
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

  std::unique_ptr<CrsTransform> transform(std::string_view from, std::string_view to) const override {
    return Operation::make(from, to);
  }
};

}  // namespace
}  // namespace swingtie

SWINGTIE_MODULE(swingtie::ProjModule, swingtie::Proj)
