// swingtie-gdal.so: everything that reads through GDAL.

#include "place/gdal_module.hpp"

#include <cpl_conv.h>
#include <cpl_string.h>
#include <gdal_frmts.h>
#include <gdal_priv.h>
#include <ogrsf_frmts.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <limits>
#include <memory>
#include <mutex>

#include "load/module.hpp"
#include "place/shapes.hpp"

namespace swingtie {
namespace {

constexpr std::size_t most_features = 1000;
constexpr std::size_t most_vertices = 1'000'000;
constexpr std::size_t most_cells = 25'000'000;

/// Formats that are files on this machine and point at nothing else.
constexpr const char* vector_drivers[] = {"ESRI Shapefile",
                                          "GeoJSON",
                                          "GeoJSONSeq",
                                          "TopoJSON",
                                          "GPKG",
                                          "FlatGeobuf",
                                          "KML",
                                          "GPX",
                                          "DXF",
                                          "CSV",
                                          "GML",
                                          "MapInfo File",
                                          "OpenFileGDB",
                                          "OSM",
                                          nullptr};
constexpr const char* raster_drivers[] = {"GTiff", "AAIGrid", "AIG", "HFA",     "USGSDEM",
                                          "EHdr",  "ENVI",    "XYZ", "SRTMHGT", nullptr};

void register_drivers() {
  static std::once_flag once;
  std::call_once(once, [] {
    RegisterOGRShape();
    RegisterOGRGeoJSON();
    RegisterOGRGeoJSONSeq();
    RegisterOGRTopoJSON();
    RegisterOGRGeoPackage();
    RegisterOGRFlatGeobuf();
    RegisterOGRKML();
    RegisterOGRGPX();
    RegisterOGRDXF();
    RegisterOGRCSV();
    RegisterOGRGML();
    RegisterOGRTAB();
    RegisterOGROpenFileGDB();
    RegisterOGROSM();
    GDALRegister_GTiff();
    GDALRegister_AAIGrid();
    GDALRegister_AIGrid();
    GDALRegister_HFA();
    GDALRegister_USGSDEM();
    GDALRegister_EHdr();
    GDALRegister_ENVI();
    GDALRegister_XYZ();
    GDALRegister_SRTMHGT();
  });
}

/// Keeps GDAL off stderr, off the network and from leaving files behind, on this thread and for this while.
class Quiet {
 public:
  Quiet() {
    CPLPushErrorHandlerEx([](CPLErr, CPLErrorNum, const char*) {}, nullptr);
    CPLErrorReset();
    for (const auto& [key, value] : settings) CPLSetThreadLocalConfigOption(key, value);
  }
  ~Quiet() {
    for (const auto& [key, value] : settings) CPLSetThreadLocalConfigOption(key, nullptr);
    CPLPopErrorHandler();
  }
  Quiet(const Quiet&) = delete;
  Quiet& operator=(const Quiet&) = delete;
  std::string last_words() const { return CPLGetLastErrorMsg(); }

 private:
  static constexpr std::pair<const char*, const char*> settings[] = {{"GDAL_PAM_ENABLED", "NO"},
                                                                     {"GML_DOWNLOAD_SCHEMA", "NO"},
                                                                     {"GML_SAVE_RESOLVED_TO", "NO"},
                                                                     {"GML_SKIP_RESOLVE_ELEMS", "ALL"},
                                                                     {"GDAL_HTTP_MAX_RETRY", "0"},
                                                                     {"CPL_VSIL_CURL_ALLOWED_EXTENSIONS", "none"},
                                                                     {"GDAL_DISABLE_READDIR_ON_OPEN", "NO"},
                                                                     {"OSM_USE_CUSTOM_INDEXING", "YES"},
                                                                     // An arc of a drawing: 1 mm at 105 m.
                                                                     {"OGR_ARC_STEPSIZE", "0.5"}};
};

/// Whether a path may be opened at all.
FileFault path_fault(const std::string& path) {
  if (path.rfind("/vsi", 0) == 0 || path.find("://") != std::string::npos || path.find('\0') != std::string::npos)
    return FileFault::not_local;
  std::error_code failed;
  const auto status = std::filesystem::status(path, failed);
  if (failed || !std::filesystem::exists(status)) return FileFault::missing;
  if (!std::filesystem::is_regular_file(status) && !std::filesystem::is_directory(status))
    return FileFault::not_local;
  return FileFault::none;
}

std::string wkt_of(const OGRSpatialReference* reference) {
  if (reference == nullptr) return {};
  char* text = nullptr;
  const char* const options[] = {"FORMAT=WKT2_2019", nullptr};
  std::string wkt;
  if (reference->exportToWkt(&text, options) == OGRERR_NONE && text != nullptr) wkt = text;
  CPLFree(text);
  return wkt;
}

/// Whether the first number of a coordinate in the file is its northing or latitude.
bool is_north_first(const OGRSpatialReference* reference) {
  if (reference == nullptr) return false;
  const bool authority_north_first =
      reference->EPSGTreatsAsLatLong() != 0 || reference->EPSGTreatsAsNorthingEasting() != 0;
  const auto& mapping = reference->GetDataAxisToSRSAxisMapping();
  const bool as_authority = mapping.size() >= 2 && mapping[0] == 1;
  return authority_north_first && as_authority;
}

std::string utf8(const char* text) {
  if (CPLIsUTF8(text, -1) != 0) return text;
  char* recoded = CPLRecode(text, CPL_ENC_ISO8859_1, CPL_ENC_UTF8);
  std::string result = recoded;
  CPLFree(recoded);
  return result;
}

/// The largest radius among the arcs of a geometry, in its unit; 0 for none.
class LargestRadius : public OGRDefaultConstGeometryVisitor {
 public:
  using OGRDefaultConstGeometryVisitor::visit;
  void visit(const OGRCircularString* arcs) override {
    for (int i = 0; i + 2 < arcs->getNumPoints(); i += 2) {
      double radius = 0, x = 0, y = 0, a = 0, b = 0, c = 0;
      if (OGRGeometryFactory::GetCurveParameters(arcs->getX(i), arcs->getY(i), arcs->getX(i + 1), arcs->getY(i + 1),
                                                 arcs->getX(i + 2), arcs->getY(i + 2), radius, x, y, a, b, c) != 0)
        largest_ = std::max(largest_, radius);
    }
  }
  double metres(double metres_per_unit) const { return largest_ * metres_per_unit; }

 private:
  double largest_ = 0;
};

/// How far a polyline may leave the arc it stands for, metres.
constexpr double arc_sagitta = 0.001;

/// Degrees between the vertices of a polyline that stays within arc_sagitta of an arc of this radius in metres.
double arc_step(double radius) {
  constexpr double degrees = 57.29577951308232;
  if (radius <= 0) return 4;
  return std::clamp(2 * std::acos(std::max(1 - arc_sagitta / radius, 0.0)) * degrees, 0.05, 4.0);
}

/// Metres per unit of a reference system; for degrees those of a meridian.
double metres_per_unit_of(const OGRSpatialReference* reference) {
  if (reference == nullptr) return 1;
  constexpr double metres_per_degree = 111'200;
  return reference->IsGeographic() != 0 ? metres_per_degree : reference->GetLinearUnits();
}

class GeometryReader {
 public:
  /// @param swap  the first number of a coordinate is its northing
  GeometryReader(bool swap, double metres_per_unit) : swap_(swap), metres_per_unit_(metres_per_unit) {}
  std::size_t vertices() const { return vertices_; }

  void read(const OGRGeometry* written, FileFeature& feature) {
    if (written == nullptr || written->IsEmpty()) {
      feature.fault = "it has no geometry";
      return;
    }
    std::unique_ptr<OGRGeometry> geometry;
    if (written->hasCurveGeometry(FALSE) != 0) {
      LargestRadius arcs;
      written->accept(&arcs);
      geometry.reset(written->getLinearGeometry(arc_step(arcs.metres(metres_per_unit_))));
    } else {
      geometry.reset(written->clone());
    }
    geometry->flattenTo2D();
    if (geometry->getDimension() == 2 && geometry->IsValid() == 0) {
      std::unique_ptr<OGRGeometry> repaired(geometry->MakeValid());
      if (repaired && !repaired->IsEmpty() && repaired->getDimension() == 2) {
        geometry = std::move(repaired);
        feature.repaired = true;
      }
    }
    collect(geometry.get(), feature);
    std::erase_if(feature.areas, [](const AreaPart& part) { return encloses_nothing(part.outer); });
    const int kinds = !feature.points.empty() + !feature.lines.empty() + !feature.areas.empty();
    // What a repair leaves beside the areas are the lines along which the outline doubled back.
    if (feature.repaired && !feature.areas.empty()) {
      feature.points.clear();
      feature.lines.clear();
    } else if (kinds > 1) {
      feature.fault = "it mixes points, lines and areas";
      return;
    }
    if (!finite_) {
      feature.fault = "it has coordinates that are no numbers";
    } else if (!feature.areas.empty()) {
      std::stable_sort(feature.areas.begin(), feature.areas.end(), [](const AreaPart& a, const AreaPart& b) {
        return signed_area(a.outer) > signed_area(b.outer);
      });
      feature.shape = GeometryKind::area;
    } else if (!feature.lines.empty()) {
      feature.shape = GeometryKind::line;
    } else if (!feature.points.empty()) {
      feature.shape = GeometryKind::point;
    } else {
      feature.fault = geometry->getDimension() == 2 ? "its outline encloses nothing" : "it has no extent";
    }
  }

 private:
  /// A ring that runs along one line and back.
  static bool encloses_nothing(const Ring& ring) {
    double around = 0;
    for (std::size_t i = 0; i < ring.size(); ++i) around += distance(ring[i], ring[(i + 1) % ring.size()]);
    return std::abs(signed_area(ring)) <= 1e-9 * around * around;
  }

  PlanPoint point(double x, double y) {
    ++vertices_;
    finite_ = finite_ && std::isfinite(x) && std::isfinite(y);
    return swap_ ? PlanPoint{y, x} : PlanPoint{x, y};
  }

  std::vector<PlanPoint> vertices_of(const OGRSimpleCurve& curve) {
    std::vector<PlanPoint> points;
    for (int i = 0; i < curve.getNumPoints(); ++i) {
      const PlanPoint p = point(curve.getX(i), curve.getY(i));
      if (points.empty() || points.back().e != p.e || points.back().n != p.n) points.push_back(p);
    }
    return points;
  }

  Ring ring_of(const OGRLinearRing& written, bool counter_clockwise) {
    Ring ring = vertices_of(written);
    if (ring.size() > 1 && ring.front().e == ring.back().e && ring.front().n == ring.back().n) ring.pop_back();
    // The first vertex stays the first whichever way round the file runs.
    if ((signed_area(ring) > 0) != counter_clockwise && !ring.empty()) std::reverse(ring.begin() + 1, ring.end());
    return ring;
  }

  void collect(const OGRGeometry* geometry, FileFeature& feature) {
    switch (wkbFlatten(geometry->getGeometryType())) {
      case wkbPoint: {
        const OGRPoint* p = geometry->toPoint();
        if (!p->IsEmpty()) feature.points.push_back(point(p->getX(), p->getY()));
        break;
      }
      case wkbLineString: {
        auto line = vertices_of(*geometry->toLineString());
        if (line.size() > 1) feature.lines.push_back(std::move(line));
        break;
      }
      case wkbTriangle:
      case wkbPolygon: {
        const OGRPolygon* polygon = geometry->toPolygon();
        if (polygon->getExteriorRing() == nullptr) break;
        AreaPart part;
        part.outer = ring_of(*polygon->getExteriorRing(), true);
        for (int i = 0; i < polygon->getNumInteriorRings(); ++i) {
          Ring hole = ring_of(*polygon->getInteriorRing(i), false);
          if (hole.size() > 2) part.holes.push_back(std::move(hole));
        }
        if (part.outer.size() > 2) feature.areas.push_back(std::move(part));
        break;
      }
      default:
        if (OGR_GT_IsSubClassOf(geometry->getGeometryType(), wkbGeometryCollection)) {
          for (const OGRGeometry* part : *geometry->toGeometryCollection()) collect(part, feature);
        } else if (OGR_GT_IsSubClassOf(geometry->getGeometryType(), wkbPolyhedralSurface)) {
          for (const OGRGeometry* part : *geometry->toPolyhedralSurface()) collect(part, feature);
        }
    }
  }

  bool swap_;
  double metres_per_unit_;
  bool finite_ = true;
  std::size_t vertices_ = 0;
};

class Gdal : public GdalModule {
 public:
  std::vector<std::string> formats() const override {
    return {"Shapefile", "GeoJSON", "GeoPackage", "FlatGeobuf",       "KML", "GPX", "DXF",
            "CSV",       "GML",     "MapInfo",    "file geodatabase", "OSM"};
  }

  VectorAnswer read_vectors(const VectorRequest& request) const override {
    VectorAnswer answer;
    answer.fault = path_fault(request.path);
    if (answer.fault != FileFault::none) return answer;
    register_drivers();
    const Quiet quiet;
    // Only the CSV driver knows these; the others leave them aside.
    const char* const open_options[] = {
        "AUTODETECT_TYPE=YES", "X_POSSIBLE_NAMES=lon,lng,long,longitude,x,e,easting,east",
        "Y_POSSIBLE_NAMES=lat,latitude,y,n,northing,north", "KEEP_GEOM_COLUMNS=YES", nullptr};
    const std::unique_ptr<GDALDataset> data(GDALDataset::Open(request.path.c_str(), GDAL_OF_VECTOR | GDAL_OF_READONLY,
                                                              vector_drivers, open_options, nullptr));
    if (!data) {
      answer.fault = FileFault::unreadable;
      answer.words = why_unreadable(request.path, quiet);
      return answer;
    }
    OGRLayer* layer = choose_layer(*data, request.layer, answer);
    if (layer == nullptr) {
      answer.fault = FileFault::no_layer;
      return answer;
    }
    const OGRFeatureDefn* definition = layer->GetLayerDefn();
    for (int i = 0; i < definition->GetFieldCount(); ++i)
      answer.fields.emplace_back(utf8(definition->GetFieldDefn(i)->GetNameRef()));
    if (!request.where.empty() && layer->SetAttributeFilter(request.where.c_str()) != OGRERR_NONE) {
      answer.fault = FileFault::bad_where;
      answer.words = quiet.last_words();
      return answer;
    }
    const OGRSpatialReference* reference = layer->GetSpatialRef();
    answer.crs_wkt = wkt_of(reference);
    answer.north_first = is_north_first(reference);
    if (request.part) {
      if (const auto box = request.part(answer.crs_wkt)) {
        if (answer.north_first) {
          layer->SetSpatialFilterRect(box->min_y, box->min_x, box->max_y, box->max_x);
        } else {
          layer->SetSpatialFilterRect(box->min_x, box->min_y, box->max_x, box->max_y);
        }
        read_all(*layer, answer, quiet);
        if (!answer.features.empty() || answer.fault != FileFault::none) return answer;
        layer->SetSpatialFilter(nullptr);
      }
    }
    read_all(*layer, answer, quiet);
    return answer;
  }

  RasterAnswer read_raster(const RasterRequest& request) const override {
    RasterAnswer answer;
    answer.fault = path_fault(request.path);
    if (answer.fault != FileFault::none) return answer;
    register_drivers();
    const Quiet quiet;
    const std::unique_ptr<GDALDataset> data(
        GDALDataset::Open(request.path.c_str(), GDAL_OF_RASTER | GDAL_OF_READONLY, raster_drivers, nullptr, nullptr));
    double transform[6];
    if (!data || data->GetRasterCount() < 1 || data->GetGeoTransform(transform) != CE_None) {
      answer.fault = FileFault::unreadable;
      answer.words = data ? "it does not say where it lies" : quiet.last_words();
      return answer;
    }
    answer.crs_wkt = wkt_of(data->GetSpatialRef());
    GDALRasterBand* band = data->GetRasterBand(1);
    if (const char* unit = band->GetUnitType(); unit != nullptr) answer.unit = unit;

    double inverse[6];
    if (GDALInvGeoTransform(transform, inverse) == 0) {
      answer.fault = FileFault::unreadable;
      answer.words = "its cells have no size";
      return answer;
    }
    double low_x = 0, low_y = 0, high_x = data->GetRasterXSize(), high_y = data->GetRasterYSize();
    if (const auto box = request.part ? request.part(answer.crs_wkt) : std::nullopt) {
      double min_c = std::numeric_limits<double>::infinity(), min_r = min_c, max_c = -min_c, max_r = -min_c;
      for (const double x : {box->min_x, box->max_x}) {
        for (const double y : {box->min_y, box->max_y}) {
          double c = 0, r = 0;
          GDALApplyGeoTransform(inverse, x, y, &c, &r);
          min_c = std::min(min_c, c), max_c = std::max(max_c, c);
          min_r = std::min(min_r, r), max_r = std::max(max_r, r);
        }
      }
      low_x = std::max(low_x, std::floor(min_c) - 2), high_x = std::min(high_x, std::ceil(max_c) + 2);
      low_y = std::max(low_y, std::floor(min_r) - 2), high_y = std::min(high_y, std::ceil(max_r) + 2);
    }
    if (!(high_x > low_x) || !(high_y > low_y)) return answer;  // none of it is wanted: no cells
    answer.columns = static_cast<std::size_t>(high_x - low_x);
    answer.rows = static_cast<std::size_t>(high_y - low_y);
    if (answer.columns * answer.rows > most_cells) {
      answer.fault = FileFault::too_large;
      return answer;
    }
    answer.heights.resize(answer.columns * answer.rows);
    const int width = static_cast<int>(answer.columns), height = static_cast<int>(answer.rows);
    if (band->RasterIO(GF_Read, static_cast<int>(low_x), static_cast<int>(low_y), width, height,
                       answer.heights.data(), width, height, GDT_Float32, 0, 0, nullptr) != CE_None) {
      answer.fault = FileFault::unreadable;
      answer.words = quiet.last_words();
      return answer;
    }
    int has_no_data = 0;
    const double no_data = band->GetNoDataValue(&has_no_data);
    const double scale = band->GetScale(), offset = band->GetOffset();
    for (float& h : answer.heights) {
      if (has_no_data != 0 && h == static_cast<float>(no_data)) {
        h = std::numeric_limits<float>::quiet_NaN();
      } else {
        h = static_cast<float>(h * scale + offset);
      }
    }
    GDALApplyGeoTransform(transform, low_x + 0.5, low_y + 0.5, &answer.origin.e, &answer.origin.n);
    answer.per_column = {transform[1], transform[4]};
    answer.per_row = {transform[2], transform[5]};
    return answer;
  }

 private:
  /// GDAL's own words, or ours where those would be about the machine.
  static std::string why_unreadable(const std::string& path, const Quiet& quiet) {
    const std::filesystem::path file(path);
    std::string extension = file.extension().string();
    for (char& c : extension) c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
    if (extension == ".shp" && !std::filesystem::exists(std::filesystem::path(file).replace_extension(".shx")))
      return "its `.shx` is missing; a shapefile is a `.shp`, a `.shx` and a `.dbf` of one name";
    if (extension == ".zip") return "an archive; unpack it, or name one of shapefiles `….shp.zip`";
    return quiet.last_words();
  }

  static OGRLayer* choose_layer(GDALDataset& data, const std::string& name, VectorAnswer& answer) {
    OGRLayer* chosen = nullptr;
    for (int i = 0; i < data.GetLayerCount(); ++i) {
      OGRLayer* layer = data.GetLayer(i);
      answer.layers.emplace_back(layer->GetName());
      if (name == layer->GetName() || (name.empty() && data.GetLayerCount() == 1)) chosen = layer;
    }
    return chosen;
  }

  static void read_all(OGRLayer& layer, VectorAnswer& answer, const Quiet& quiet) {
    GeometryReader geometry(answer.north_first, metres_per_unit_of(layer.GetSpatialRef()));
    layer.ResetReading();
    while (true) {
      const OGRFeatureUniquePtr written(layer.GetNextFeature());
      if (!written) break;
      FileFeature feature;
      feature.number = written->GetFID();
      for (int i = 0; i < written->GetFieldCount(); ++i) {
        feature.attributes.emplace_back(answer.fields[static_cast<std::size_t>(i)],
                                        written->IsFieldSetAndNotNull(i) ? utf8(written->GetFieldAsString(i)) : "");
      }
      geometry.read(written->GetGeometryRef(), feature);
      if (!feature.fault.empty()) {
        feature.points.clear();
        feature.lines.clear();
        feature.areas.clear();
      }
      answer.features.push_back(std::move(feature));
      if (geometry.vertices() > most_vertices) {
        answer.fault = FileFault::too_large;
        return;
      }
      if (answer.features.size() >= most_features) return;
    }
    if (CPLGetLastErrorType() == CE_Failure && answer.features.empty()) {
      answer.fault = FileFault::unreadable;
      answer.words = quiet.last_words();
    }
  }
};

}  // namespace
}  // namespace swingtie

SWINGTIE_MODULE(swingtie::GdalModule, swingtie::Gdal)
