// Geodata as it comes: each case writes a file, places a job that names it, and looks at what became of it.

#include <fmt/format.h>

#include <cmath>

#include "measure/bearing.hpp"
#include "place/job_text.hpp"
#include "place/outside.hpp"
#include "place/shapes.hpp"
#include "scratch_folder.hpp"

using namespace swingtie;
using namespace swingtie::job_text;
namespace fs = std::filesystem;

namespace {

const std::string anchored = "units: m, anchor: {grid: [0, 0], lat: 41.2, lon: -81.4, grid_north: 0}";
const std::string utm = "units: m, crs: EPSG:32617";
const std::string own = "units: m";

/// A GeoJSON file of these features, longitude and latitude.
std::string collection(const std::string& features, const std::string& crs = "") {
  return R"({"type": "FeatureCollection", )" + crs + R"("features": [)" + features + "]}";
}
std::string geojson(const std::string& geometry, const std::string& properties = "{}") {
  return R"({"type": "Feature", "properties": )" + properties + R"(, "geometry": )" + geometry + "}";
}

/// A ring about the anchor, some metres to each side; `clockwise` runs it the other way.
std::string ring(double west, double south, double east, double north, bool clockwise = false) {
  const auto at = [](double e, double n) {
    return fmt::format("[{:.9f}, {:.9f}]", -81.4 + e / 83900.0, 41.2 + n / 111060.0);
  };
  const std::string a = at(west, south), b = at(east, south), c = at(east, north), d = at(west, north);
  return clockwise ? "[" + a + "," + d + "," + c + "," + b + "," + a + "]"
                   : "[" + a + "," + b + "," + c + "," + d + "," + a + "]";
}
std::string polygon(const std::string& rings) {
  return R"({"type": "Polygon", "coordinates": [)" + rings + "]}";
}

Answer place_file(const ScratchFolder& folder, const std::string& file, const std::string& site = anchored,
                  const std::string& kind = "lot") {
  return placed(job_of("  - {id: f, kind: " + kind + ", within: 1, file: " + file + "}\n", "[0, 0]", site),
                folder.path());
}

bool says(const Answer& answer, const std::string& words) {
  return answer.shown.find(words) != std::string::npos;
}

double area_of(const Answer& answer) {
  return feature(answer, "f").area;
}

}  // namespace

TEST_CASE("GeoJSON with a byte-order mark, clockwise rings, heights and doubled vertices is a lot like any other") {
  ScratchFolder folder;
  folder.write("plain.geojson", collection(geojson(polygon(ring(0, 0, 20, 40)))));
  const double area = area_of(place_file(folder, "{path: plain.geojson}"));
  CHECK(area == Approx(800).epsilon(0.003));
  folder.write("bom.geojson", "\xEF\xBB\xBF" + collection(geojson(polygon(ring(0, 0, 20, 40)))));
  CHECK(area_of(place_file(folder, "{path: bom.geojson}")) == Approx(area));
  folder.write("clockwise.geojson", collection(geojson(polygon(ring(0, 0, 20, 40, true)))));
  const Answer clockwise = place_file(folder, "{path: clockwise.geojson}");
  CHECK(area_of(clockwise) == Approx(area));
  CHECK(signed_area(feature(clockwise, "f").areas[0].outer) > 0);
  folder.write(
      "heights.geojson",
      collection(geojson(
          R"({"type": "Polygon", "coordinates": [[[-81.4, 41.2, 312.5], [-81.3998, 41.2, 312], [-81.3998, 41.2, 312], [-81.3998, 41.2003, 311], [-81.4, 41.2, 312.5]]]})")));
  CHECK(feature(place_file(folder, "{path: heights.geojson}"), "f").corners.size() == 3);
}

TEST_CASE("holes come off the area and several parts add up, the largest first") {
  ScratchFolder folder;
  folder.write("hole.geojson", collection(geojson(polygon(ring(0, 0, 20, 40) + "," + ring(5, 5, 15, 15)))));
  const Answer hole = place_file(folder, "{path: hole.geojson}");
  CHECK(area_of(hole) == Approx(700).epsilon(0.003));
  CHECK(signed_area(feature(hole, "f").areas[0].holes[0]) < 0);
  folder.write("parts.geojson",
               collection(geojson(R"({"type": "MultiPolygon", "coordinates": [[)" + ring(100, 0, 110, 10) + "],[" +
                                  ring(0, 0, 20, 40, true) + "]]}")));
  const Answer parts = place_file(folder, "{path: parts.geojson}");
  CHECK(area_of(parts) == Approx(900).epsilon(0.003));
  CHECK(signed_area(feature(parts, "f").areas[0].outer) == Approx(800).epsilon(0.003));
}

TEST_CASE("an outline that crosses itself is taken apart, and said so") {
  ScratchFolder folder;
  folder.write(
      "bow.geojson",
      collection(geojson(
          R"({"type": "Polygon", "coordinates": [[[-81.4, 41.2], [-81.3998, 41.2003], [-81.3998, 41.2], [-81.4, 41.2003], [-81.4, 41.2]]]})")));
  const Answer answer = place_file(folder, "{path: bow.geojson}");
  CHECK(says(answer, "crosses itself"));
  CHECK(feature(answer, "f").areas.size() == 2);
}

TEST_CASE("what cannot be a feature is refused with the reason") {
  ScratchFolder folder;
  folder.write(
      "mixed.geojson",
      collection(geojson(
          R"({"type": "GeometryCollection", "geometries": [{"type": "Point", "coordinates": [-81.4, 41.2]}, )" +
          polygon(ring(0, 0, 9, 9)) + "]}")));
  CHECK(says(place_file(folder, "{path: mixed.geojson}"), "mixes points, lines and areas"));
  folder.write("empty.geojson", collection(""));
  CHECK(says(place_file(folder, "{path: empty.geojson}"), "empty"));
  folder.write("cut.geojson", collection(geojson(polygon(ring(0, 0, 20, 40)))).substr(0, 120));
  CHECK(says(place_file(folder, "{path: cut.geojson}"), "cannot be read"));
  folder.write("nothing.geojson", "");
  CHECK(says(place_file(folder, "{path: nothing.geojson}"), "cannot be read"));
  folder.write("flat.geojson", collection(geojson(R"({"type": "Polygon", "coordinates": [[]]})")));
  CHECK(!place_file(folder, "{path: flat.geojson}").placed);
  folder.write("nan.csv", "WKT,NAME\n\"POLYGON((0 0,nan 0,9 9,0 0))\",x\n");
  CHECK(!place_file(folder, "{path: nan.csv}", own).placed);
  folder.write("layer.vrt",
               "<OGRVRTDataSource><OGRVRTLayer "
               "name=\"x\"><SrcDataSource>plain.geojson</SrcDataSource></OGRVRTLayer></OGRVRTDataSource>");
  CHECK(says(place_file(folder, "{path: layer.vrt}"), "cannot be read"));
  CHECK(says(place_file(folder, "{path: \"https://example.com/a.geojson\"}"), "not a file on this machine"));
  CHECK(says(place_file(folder, "{path: /dev/zero}"), "not a file on this machine"));
  CHECK(says(place_file(folder, "{path: gone.geojson}"), "no file"));
  folder.write("far.geojson", collection(geojson(R"({"type": "Point", "coordinates": [200, 95]})")));
  CHECK(!place_file(folder, "{path: far.geojson}", utm, "tree").placed);
}

TEST_CASE("a link and a name with blanks and accents lead to the file") {
  ScratchFolder folder;
  folder.write("les lots d'été.geojson", collection(geojson(polygon(ring(0, 0, 20, 40)))));
  fs::create_symlink("les lots d'été.geojson", fs::path(folder.path()) / "link.geojson");
  CHECK(area_of(place_file(folder, "{path: \"les lots d'été.geojson\"}")) == Approx(800).epsilon(0.003));
  CHECK(area_of(place_file(folder, "{path: link.geojson}")) == Approx(800).epsilon(0.003));
}

TEST_CASE("a drawing without a CRS lies on the site's own grid, and is refused where the site has a CRS") {
  ScratchFolder folder;
  folder.write("lot.csv", "WKT,NAME\n\"POLYGON((0 0,20 0,20 40,0 40,0 0))\",east lot\n");
  CHECK(area_of(place_file(folder, "{path: lot.csv}", own)) == Approx(800));
  CHECK(area_of(place_file(folder, "{path: lot.csv}", "units: ft")) ==
        Approx(800 * metres_per_foot * metres_per_foot));
  CHECK(says(place_file(folder, "{path: lot.csv}", utm), "does not say in which coordinate system"));
}

TEST_CASE("trees of a spreadsheet by longitude and latitude need their CRS said") {
  ScratchFolder folder;
  folder.write("trees.csv", "species,DBH,lat,lon\noak,14,41.2001,-81.4001\nelm,30 cm,41.2002,-81.4002\n");
  CHECK(!place_file(folder, "{path: trees.csv, where: species = 'oak'}", utm, "tree").placed);
  const Answer oak = place_file(
      folder, "{path: trees.csv, where: species = 'oak', crs: EPSG:4326, map: {trunk: DBH, label: species}}",
      anchored, "tree");
  CHECK(feature(oak, "f").trunk == Approx(0.14));
  CHECK(feature(oak, "f").label == "oak");
  CHECK(feature(oak, "f").point.n == Approx(11.106).margin(0.01));
  const Answer inches = place_file(
      folder, "{path: trees.csv, where: species = 'oak', crs: EPSG:4326, map: {trunk: DBH in}}", anchored, "tree");
  CHECK(feature(inches, "f").trunk == Approx(14 * metres_per_inch));
  const Answer elm = place_file(
      folder, "{path: trees.csv, where: species = 'elm', crs: EPSG:4326, map: {trunk: DBH}}", anchored, "tree");
  CHECK(feature(elm, "f").trunk == Approx(0.30));
}

TEST_CASE("waypoints of a GPX file and outlines of a KML file are features") {
  ScratchFolder folder;
  folder.write(
      "way.gpx",
      R"(<?xml version="1.0"?><gpx version="1.1" creator="t" xmlns="http://www.topografix.com/GPX/1/1"><wpt lat="41.2001" lon="-81.4"><name>hydrant</name></wpt><wpt lat="41.2" lon="-81.4"><name>pole</name></wpt></gpx>)");
  const Answer hydrant =
      place_file(folder, "{path: way.gpx, layer: waypoints, where: name = 'hydrant'}", anchored, "hydrant");
  CHECK(feature(hydrant, "f").point.n == Approx(11.106).margin(0.01));
  folder.write("lot.kml",
               "<?xml version=\"1.0\"?><kml "
               "xmlns=\"http://www.opengis.net/kml/2.2\"><Document><Placemark><name>lot</"
               "name><Polygon><outerBoundaryIs><LinearRing><coordinates>-81.4,41.2,0 -81.3998,41.2,0 "
               "-81.3998,41.2003,0 -81.4,41.2003,0 "
               "-81.4,41.2,0</coordinates></LinearRing></outerBoundaryIs></Polygon></Placemark></Document></kml>");
  CHECK(area_of(place_file(folder, "{path: lot.kml}")) == Approx(559).epsilon(0.01));
}

TEST_CASE("the feature near a point is the one that holds it, else the nearest, and far away is said so") {
  ScratchFolder folder;
  folder.write("lots.geojson", collection(geojson(polygon(ring(0, 0, 20, 40)), R"({"n": 1})") + "," +
                                          geojson(polygon(ring(20, 0, 50, 40)), R"({"n": 2})")));
  CHECK(area_of(place_file(folder, "{path: lots.geojson, near: [5, 5]}")) == Approx(800).epsilon(0.003));
  CHECK(area_of(place_file(folder, "{path: lots.geojson, near: [30, 5]}")) == Approx(1200).epsilon(0.003));
  CHECK(area_of(place_file(folder, "{path: lots.geojson, near: [60, 5]}")) == Approx(1200).epsilon(0.003));
  CHECK(says(place_file(folder, "{path: lots.geojson, near: [900, 5]}"), "away from the point given"));
  folder.write("ring.geojson", collection(geojson(polygon(ring(0, 0, 40, 40) + "," + ring(10, 10, 30, 30))) + "," +
                                          geojson(polygon(ring(10, 10, 30, 30)))));
  CHECK(area_of(place_file(folder, "{path: ring.geojson, near: [20, 20]}")) == Approx(400).epsilon(0.003));
}

TEST_CASE("a layer of many features asks for a choice") {
  ScratchFolder folder;
  std::string many;
  for (int i = 0; i < 1500; ++i)
    many += (i == 0 ? "" : ",") +
            geojson(fmt::format(R"({{"type": "Point", "coordinates": [-81.4, {:.6f}]}})", 41.2 + i * 1e-5),
                    fmt::format(R"({{"n": {}}})", i));
  folder.write("many.geojson", collection(many));
  CHECK(says(place_file(folder, "{path: many.geojson}", anchored, "tree"), "1000 or more features"));
  CHECK(place_file(folder, "{path: many.geojson, where: n = 1400}", anchored, "tree").placed);
}

TEST_CASE("an old-style crs member is honoured, and a stated crs wins over the file") {
  ScratchFolder folder;
  const std::string square = geojson(
      R"({"type": "Polygon", "coordinates": [[[465000, 4561000], [465020, 4561000], [465020, 4561040], [465000, 4561040], [465000, 4561000]]]})");
  folder.write(
      "old.geojson",
      collection(square, R"("crs": {"type": "name", "properties": {"name": "urn:ogc:def:crs:EPSG::32617"}}, )"));
  CHECK(area_of(place_file(folder, "{path: old.geojson}", utm)) == Approx(800));
  folder.write("bare.geojson", collection(square));
  CHECK(says(place_file(folder, "{path: bare.geojson}", utm), "counts in degrees"));
  CHECK(area_of(place_file(folder, "{path: bare.geojson, crs: EPSG:32617}", utm)) == Approx(800));
}

TEST_CASE("a lot whose size only makes sense in another unit is asked about") {
  ScratchFolder folder;
  const auto square = [](const std::string& properties) {
    return collection(geojson(
        R"({"type": "Polygon", "coordinates": [[[465000, 4561000], [465120, 4561000], [465120, 4561110], [465000, 4561110], [465000, 4561000]]]})",
        properties));
  };
  folder.write("plain.geojson", square("{}"));
  CHECK(
      says(place_file(folder, "{path: plain.geojson, crs: EPSG:32617}", utm), "read in feet it would have 1226 m²"));
  folder.write("acres.geojson", square(R"({"ACRES": 3.26})"));
  CHECK(!says(place_file(folder, "{path: acres.geojson, crs: EPSG:32617}", utm), "read in feet"));
  folder.write("small.geojson", square(R"({"AREA": 13200, "ACRES": 0.30})"));
  CHECK(says(place_file(folder, "{path: small.geojson, crs: EPSG:32617}", utm), "read in feet"));
}

TEST_CASE("files made by GDAL's own tools come in: curves, Latin-1, axis order, datum, formats, folders") {
  if (!outside::has_program("ogr2ogr")) {
    WARN("skipped: ogr2ogr is not installed");
    return;
  }
  ScratchFolder folder;
  const auto run = [&](const std::string& arguments) {
    outside::output_of("cd '" + folder.path() + "' && ogr2ogr " + arguments);
  };

  folder.write("circle.csv",
               "WKT,N\n\"CURVEPOLYGON(CIRCULARSTRING(465000 4561000,465020 4561000,465000 4561000))\",1\n");
  run("-a_srs EPSG:32617 -nlt CURVEPOLYGON curve.gpkg circle.csv -nln curve");
  const Answer curve = place_file(folder, "{path: curve.gpkg}", utm);
  CHECK(area_of(curve) == Approx(pi * 100).epsilon(0.003));

  folder.write("lot.csv",
               "WKT,NAME\n\"POLYGON((465000 4561000,465020 4561000,465020 4561040,465000 4561040,465000 "
               "4561000))\",Café Åsgård\n");
  run("-a_srs EPSG:32617 -lco ENCODING=ISO-8859-1 latin.shp lot.csv -nln latin");
  CHECK(feature(place_file(folder, "{path: latin.shp, map: {label: NAME}}", utm), "f").label == "Café Åsgård");
  fs::remove(folder.path("latin.cpg"));
  CHECK(feature(place_file(folder, "{path: latin.shp, map: {label: NAME}}", utm), "f").label == "Café Åsgård");
  CHECK(area_of(place_file(folder, "{path: latin.shp}", utm)) == Approx(800));
  fs::remove(folder.path("latin.prj"));
  CHECK(says(place_file(folder, "{path: latin.shp}", utm), "`.prj`"));
  CHECK(area_of(place_file(folder, "{path: latin.shp, crs: EPSG:32617}", utm)) == Approx(800));

  for (const char* format : {"a.fgb", "a.gpkg", "a.geojsonl", "a.tab", "a.dxf"}) {
    INFO(format);
    run(fmt::format("-a_srs EPSG:32617 {} {} lot.csv", std::string(format) == "a.dxf" ? "-f DXF" : "-nln a", format));
    const bool outline = std::string(format) == "a.dxf";
    const Answer answer =
        place_file(folder, fmt::format("{{path: {}{}}}", format, outline ? ", crs: EPSG:32617" : ""), utm,
                   outline ? "mark" : "lot");
    INFO(answer.shown);
    REQUIRE(answer.placed);
    if (!outline) CHECK(area_of(answer) == Approx(800).epsilon(2e-4));  // GeoJSON prints 7 decimals
  }

  // A CRS that keeps northings first, in a format that keeps the order of the authority.
  folder.write("pl.csv",
               "WKT,N\n\"POLYGON((637000 486000,637020 486000,637020 486040,637000 486040,637000 486000))\",1\n");
  run("-a_srs EPSG:2180 -f GML -dsco FORMAT=GML3.2 pl.gml pl.csv");
  const Answer poland = place_file(folder, "{path: pl.gml}", "units: m, crs: EPSG:2180");
  CHECK(feature(poland, "f").corners[0].point.at.e == Approx(637000).margin(0.01));
  CHECK(feature(poland, "f").corners[0].point.at.n == Approx(486000).margin(0.01));

  // The same lot written in NAD27 comes back to its place in NAD83.
  run("-s_srs EPSG:26917 -t_srs EPSG:26717 nad27.gpkg lot.csv -nln nad27");
  const Answer nad27 = place_file(folder, "{path: nad27.gpkg}", "units: m, crs: EPSG:26917");
  CHECK(distance(feature(nad27, "f").corners[0].point.at, {465000, 4561000}) < 0.5);

  fs::create_directory(fs::path(folder.path()) / "shapes");
  run("-a_srs EPSG:32617 shapes/lots.shp lot.csv -nln lots");
  CHECK(area_of(place_file(folder, "{path: shapes}", utm)) == Approx(800));
}

TEST_CASE("heights of a raster are interpolated between cells, in its unit, over holes to the nearest") {
  ScratchFolder folder;
  // A plane of 1 m in 10 to the east; cells of 10 m, centres at 5, 15 …; one cell of the middle has no data.
  folder.write("plane.asc",
               "ncols 5\nnrows 5\nxllcorner 0\nyllcorner 0\ncellsize 10\nNODATA_value -9999\n0 1 2 3 4\n0 1 2 3 4\n0 "
               "1 -9999 3 4\n0 1 2 3 4\n0 1 2 3 4\n");
  const auto with = [&](const std::string& ground) {
    return placed(
        job_of("  - {id: house, kind: house, area: [[10, 10], [40, 10], [40, 40], [10, 40]]}\n", "[20, 20]", own) +
            "ground: {dem: " + ground + "}\n",
        folder.path());
  };
  const Answer metres = with("{path: plane.asc, units: m}");
  INFO(metres.shown);
  REQUIRE(metres.placed);
  const GroundSurface& ground = *metres.placed->ground;
  CHECK(ground.has_elevations());
  CHECK(ground.height({15, 5}) == Approx(1).margin(1e-6));
  CHECK(ground.height({11, 7}) == Approx(0.6).margin(1e-6));
  CHECK(ground.height({41, 43}) == Approx(3.6).margin(1e-6));
  const double over_hole = ground.height({25, 25});
  CHECK(over_hole >= 1);
  CHECK(over_hole <= 3);
  CHECK(ground.sigma({25, 25}) > ground.sigma({11, 7}));
  CHECK(with("{path: plane.asc, units: ft}").placed->ground->height({15, 5}) == Approx(metres_per_foot).margin(1e-6));
  CHECK(says(with("{path: plane.asc}"), "does not say the unit"));
  CHECK(says(with("{path: gone.tif}"), "no file"));
  if (outside::has_program("gdal_translate")) {
    outside::output_of(
        "cd '" + folder.path() +
        "' && gdal_translate -q -a_srs EPSG:32617 -a_ullr 465000 4561050 465050 4561000 plane.asc plane.tif");
    const Answer tif = placed(
        job_of("  - {id: house, kind: house, area: [[465010, 4561010], [465040, 4561010], [465040, 4561040]]}\n",
               "[465020, 4561020]", utm) +
            "ground: {dem: {path: plane.tif, units: m}}\n",
        folder.path());
    INFO(tif.shown);
    REQUIRE(tif.placed);
    CHECK(tif.placed->ground->height({465011, 4561007}) == Approx(0.6).margin(1e-4));
  }
}
