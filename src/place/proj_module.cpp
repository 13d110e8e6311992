// swingtie-proj.so: everything that needs PROJ.

#include "place/proj_module.hpp"

#include <proj.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <memory>
#include <mutex>
#include <stdexcept>
#include <string>

#include "load/module.hpp"
#include "measure/bearing.hpp"
#include "place/standard_errors.hpp"

namespace swingtie {
namespace {

struct Free {
  void operator()(PJ* p) const { proj_destroy(p); }
  void operator()(PJ_CONTEXT* c) const { proj_context_destroy(c); }
};
using Object = std::unique_ptr<PJ, Free>;

/// The one context, since each costs 20 ms to open the database of PROJ. It never reaches for the network nor writes
/// to stderr. Everything that touches PROJ holds its mutex.
class Context {
 public:
  /// @throws std::runtime_error where the database of PROJ does not open: every system would then seem unknown
  static Context& the() {
    static auto* context = new Context;  // outlives every object of other statics that still refers to it
    return *context;
  }
  std::recursive_mutex mutex;
  PJ_CONTEXT* get() const { return context_.get(); }

 private:
  Context() : context_(proj_context_create()) {
    proj_context_set_enable_network(get(), 0);
    std::string said;
    proj_log_func(get(), &said, [](void* words, int, const char* text) { *static_cast<std::string*>(words) = text; });
    if (!database_answers()) throw std::runtime_error(without_database(said));
    proj_log_func(get(), nullptr, [](void*, int, const char*) {});
  }

  /// Opens the database, and asks it for the one system that everything here needs.
  bool database_answers() const {
    if (proj_context_get_database_path(get()) == nullptr) return false;
    return Object(proj_create_from_database(get(), "EPSG", "4326", PJ_CATEGORY_CRS, 0, nullptr)) != nullptr;
  }

  static std::string without_database(std::string_view said) {
    std::string text = "the list of coordinate systems, proj.db, cannot be used";
    if (said.starts_with("proj_")) said.remove_prefix(std::min(said.find(": ") + 2, said.size()));  // the caller
    if (!said.empty()) text += " (" + std::string(said) + ")";
    for (const char* name : {"PROJ_DATA", "PROJ_LIB"})
      if (const char* folder = std::getenv(name); folder != nullptr && *folder != '\0')
        return text + "; the environment variable " + name + " says it is in `" + folder +
               "`: correct or unset it, or install the package proj-data";
    return text + "; install the package proj-data, or let PROJ_DATA name the folder that holds it";
  }

  std::unique_ptr<PJ_CONTEXT, Free> context_;
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
  const char *authority = proj_get_id_auth_name(crs, 0), *code = proj_get_id_code(crs, 0);
  if (authority != nullptr && code != nullptr) facts.code = std::string(authority) + ":" + code;
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
  if (proj_get_area_of_use(context.get(), crs, &area.west, &area.south, &area.east, &area.north, nullptr) != 0 &&
      area.west > -1000) {
    facts.area = area;
  }
  return facts;
}

/// Accuracy taken for datums that are treated as one although they are not: some metres in North America and Europe,
/// worse elsewhere.
constexpr double ballpark_accuracy = 5.0;

class Operation : public CrsTransform {
 public:
  ~Operation() override {
    const std::lock_guard lock(Context::the().mutex);
    pipeline_.reset();
  }
  static std::unique_ptr<Operation> make(std::string_view from, std::string_view to) {
    const Context& context = Context::the();
    const std::lock_guard lock(Context::the().mutex);
    return make(horizontal_crs(context, from), horizontal_crs(context, to));
  }

  /// East before north and longitude before latitude, whatever order the authorities keep.
  static std::unique_ptr<Operation> make(const Object& source, const Object& target) {
    const Context& context = Context::the();
    const std::lock_guard lock(Context::the().mutex);
    if (!source || !target) return nullptr;
    const Object as_authority(
        proj_create_crs_to_crs_from_pj(context.get(), source.get(), target.get(), nullptr, nullptr));
    if (!as_authority) return nullptr;
    auto made = std::make_unique<Operation>();
    made->pipeline_.reset(proj_normalize_for_visualization(context.get(), as_authority.get()));
    return made->pipeline_ ? std::move(made) : nullptr;
  }

  PlanPoint forward(PlanPoint p) const override { return run(PJ_FWD, p); }
  PlanPoint back(PlanPoint p) const override { return run(PJ_INV, p); }
  double accuracy() const override { return accuracy_; }

 private:
  PlanPoint run(PJ_DIRECTION direction, PlanPoint p) const {
    const Context& context = Context::the();
    const std::lock_guard lock(Context::the().mutex);
    const PJ_COORD out = proj_trans(pipeline_.get(), direction, proj_coord(p.e, p.n, 0, HUGE_VAL));
    // PROJ chooses the operation by the place; a site is one place, and asking costs more than transforming.
    if (asked_) return {out.xy.x, out.xy.y};
    asked_ = true;
    if (const Object used(proj_trans_get_last_used_operation(pipeline_.get())); used) {
      const double stated = proj_coordoperation_get_accuracy(context.get(), used.get());
      const bool ballpark = proj_coordoperation_has_ballpark_transformation(context.get(), used.get()) != 0;
      // A stated accuracy is taken as a radius at 95 %: between NAD83 and WGS 84 the register states 4 m, and they
      // are 1 to 2 m apart.
      accuracy_ = (stated >= 0 ? stated : ballpark ? ballpark_accuracy : 0) / standard_errors::radius95_per_rms;
    }
    return {out.xy.x, out.xy.y};
  }

  Object pipeline_;
  mutable double accuracy_ = 0;
  mutable bool asked_ = false;
};

/// A CRS's grid over latitudes and longitudes of some datum. The way to WGS 84 takes PROJ some 20 ms to find, so it
/// is found when first asked for; the way to the CRS's own datum is a formula.
class CrsReference : public GeoReference {
 public:
  /// @param datum  a geographic CRS; empty: the CRS's own
  CrsReference(std::string_view text, std::string_view datum) : text_(text), datum_(datum) {
    const Context& context = Context::the();
    const std::lock_guard lock(Context::the().mutex);
    const Object crs = horizontal_crs(context, text);
    metres_per_unit_ = facts_of(context, crs.get()).metres_per_unit;
    const char* wkt = proj_as_wkt(context.get(), crs.get(), PJ_WKT1_GDAL, nullptr);
    if (wkt == nullptr) wkt = proj_as_wkt(context.get(), crs.get(), PJ_WKT2_2019, nullptr);
    if (wkt != nullptr) wkt_ = wkt;
    if (!datum_.empty()) own_ = std::make_shared<CrsReference>(text, "");
  }

  LonLat to_lon_lat(PlanPoint p) const override {
    const std::lock_guard lock(Context::the().mutex);
    const Operation* operation = find_operation();
    if (operation == nullptr) return {HUGE_VAL, HUGE_VAL};
    const PlanPoint out = operation->forward({p.e / metres_per_unit_, p.n / metres_per_unit_});
    return {out.e, out.n};
  }

  PlanPoint from_lon_lat(LonLat at) const override {
    const std::lock_guard lock(Context::the().mutex);
    const Operation* operation = find_operation();
    if (operation == nullptr) return {HUGE_VAL, HUGE_VAL};
    const PlanPoint out = operation->back({at.lon_deg, at.lat_deg});
    return {out.e * metres_per_unit_, out.n * metres_per_unit_};
  }

  Azimuth grid_north(PlanPoint p) const override {
    if (own_) return own_->grid_north(p);
    const LonLat at = to_lon_lat(p);
    constexpr double step_deg = 5e-5;  // some 5 m: far above rounding, far below the curvature of a meridian
    const PlanPoint south = from_lon_lat({at.lon_deg, at.lat_deg - step_deg});
    const PlanPoint north = from_lon_lat({at.lon_deg, at.lat_deg + step_deg});
    return {-azimuth(south, north).radians};
  }

  std::string wkt() const override { return wkt_; }
  double metres_per_grid_unit() const override { return metres_per_unit_; }
  double accuracy() const override {
    const std::lock_guard lock(Context::the().mutex);
    return operation_ ? operation_->accuracy() : 0;
  }
  std::shared_ptr<const GeoReference> own() const { return own_; }

 private:
  const Operation* find_operation() const {
    if (!operation_ && !tried_) {
      const Context& context = Context::the();
      const Object crs = horizontal_crs(context, text_);
      operation_ = Operation::make(crs, datum_.empty() ? Object(proj_crs_get_geodetic_crs(context.get(), crs.get()))
                                                       : horizontal_crs(context, datum_));
      tried_ = true;
    }
    return operation_.get();
  }

  std::string text_, datum_, wkt_;
  double metres_per_unit_ = 1;
  std::shared_ptr<const CrsReference> own_;
  mutable std::unique_ptr<Operation> operation_;
  mutable bool tried_ = false;
};

class Proj : public ProjModule {
 public:
  Proj() { Context::the(); }

  std::optional<CrsFacts> facts(std::string_view text) const override {
    Context& context = Context::the();
    const std::lock_guard lock(context.mutex);
    const Object crs = horizontal_crs(context, text);
    return crs ? std::optional(facts_of(context, crs.get())) : std::nullopt;
  }

  Opened open(std::string_view text) const override {
    Opened opened;
    Context& context = Context::the();
    const std::lock_guard lock(context.mutex);
    const Object crs = horizontal_crs(context, text);
    if (!crs) return opened;
    opened.facts = facts_of(context, crs.get());
    if (opened.facts->kind == CrsFacts::Kind::projected && opened.facts->east_and_north) {
      const auto reference = std::make_shared<CrsReference>(text, "EPSG:4326");
      opened.reference = reference;
      opened.own_datum = reference->own();
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
