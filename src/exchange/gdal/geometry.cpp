#include "exchange/gdal/geometry.hpp"

#include <string>

namespace swingtie {
namespace {

std::unique_ptr<OGRLineString> line(const std::vector<PlanPoint>& points) {
  auto made = std::make_unique<OGRLineString>();
  made->setNumPoints(static_cast<int>(points.size()), FALSE);
  for (std::size_t i = 0; i < points.size(); ++i) made->setPoint(static_cast<int>(i), points[i].e, points[i].n);
  return made;
}

std::unique_ptr<OGRLinearRing> ring(const std::vector<PlanPoint>& points) {
  auto made = std::make_unique<OGRLinearRing>();
  for (const PlanPoint& p : points) made->addPoint(p.e, p.n);
  if (!points.empty()) made->addPoint(points.front().e, points.front().n);
  made->flattenTo2D();
  return made;
}

std::unique_ptr<OGRPolygon> polygon(const AreaPart& part) {
  auto made = std::make_unique<OGRPolygon>();
  made->addRingDirectly(ring(part.outer).release());
  for (const auto& hole : part.holes) made->addRingDirectly(ring(hole).release());
  return made;
}

struct ToOgr {
  bool multi;

  std::unique_ptr<OGRGeometry> operator()(const PointShape& shape) const {
    return std::make_unique<OGRPoint>(shape.at.e, shape.at.n);
  }
  std::unique_ptr<OGRGeometry> operator()(const LineShape& shape) const {
    if (!multi && shape.parts.size() == 1) return line(shape.parts.front());
    auto made = std::make_unique<OGRMultiLineString>();
    for (const auto& part : shape.parts) made->addGeometryDirectly(line(part).release());
    return made;
  }
  std::unique_ptr<OGRGeometry> operator()(const AreaShape& shape) const {
    if (!multi && shape.parts.size() == 1) return polygon(shape.parts.front());
    auto made = std::make_unique<OGRMultiPolygon>();
    for (const AreaPart& part : shape.parts) made->addGeometryDirectly(polygon(part).release());
    return made;
  }
};

}  // namespace

std::unique_ptr<OGRGeometry> to_ogr(const TableGeometry& geometry, bool multi) {
  return std::visit(ToOgr{multi}, geometry);
}

OGRwkbGeometryType layer_type(TableGeometryKind kind, bool multi) {
  switch (kind) {
    case TableGeometryKind::point:
      return wkbPoint;
    case TableGeometryKind::line:
      return multi ? wkbMultiLineString : wkbLineString;
    case TableGeometryKind::area:
      return multi ? wkbMultiPolygon : wkbPolygon;
    case TableGeometryKind::any:
      break;
  }
  return wkbUnknown;
}

std::unique_ptr<OGRFieldDefn> field_definition(const TableField& field) {
  const auto made = [&](OGRFieldType type) {
    return std::make_unique<OGRFieldDefn>(std::string(field.name).c_str(), type);
  };
  switch (field.type) {
    case FieldType::whole:
      return made(OFTInteger64);
    case FieldType::real: {
      auto real = made(OFTReal);
      real->SetWidth(18);
      real->SetPrecision(4);
      return real;
    }
    case FieldType::truth: {
      auto truth = made(OFTInteger);
      truth->SetSubType(OFSTBoolean);
      return truth;
    }
    case FieldType::text:
      break;
  }
  return made(OFTString);
}

void set_values(OGRFeature& feature, const TableRow& row) {
  for (std::size_t i = 0; i < row.values.size(); ++i) {
    const int at = static_cast<int>(i);
    if (const bool* truth = std::get_if<bool>(&row.values[i])) feature.SetField(at, *truth ? 1 : 0);
    if (const std::int64_t* whole = std::get_if<std::int64_t>(&row.values[i]))
      feature.SetField(at, static_cast<GIntBig>(*whole));
    if (const double* real = std::get_if<double>(&row.values[i])) feature.SetField(at, *real);
    if (const std::string* text = std::get_if<std::string>(&row.values[i])) feature.SetField(at, text->c_str());
  }
}

}  // namespace swingtie
