#include <catch2/catch.hpp>
#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <nlohmann/json.hpp>

#include "whole/program.hpp"

// Every format is written by the program and read by somebody else: GDAL's own tools, a validator from npm, the audit
// of a DXF library, the database itself.

using namespace swingtie;
using Json = nlohmann::json;
namespace fs = std::filesystem;

namespace {

const std::string job = SWINGTIE_SOURCE_DIR "/tests/exchange/jobs/kestrel.yaml";

/// Exports the job. @return the path of the file
std::string exported(const ScratchFolder& scratch, const std::string& file, const std::string& from = job) {
  const Outcome outcome = run_swingtie({"export", from, "-o", scratch.path(file)});
  INFO(outcome.err);
  REQUIRE(outcome.exit_code == 0);
  return scratch.path(file);
}

/// A layer of a file as GDAL reads it, in the coordinates of the file.
Json read_by_gdal(const std::string& path, const std::string& layer) {
  const Outcome outcome =
      run_command("ogr2ogr -f GeoJSON /vsistdout/ '" + path + "' " + layer + " -lco COORDINATE_PRECISION=6");
  INFO(outcome.err);
  REQUIRE(outcome.exit_code == 0);
  return Json::parse(outcome.out);
}

const Json& row_with(const Json& collection, const std::string& key, const std::string& value) {
  for (const Json& feature : collection.at("features"))
    if (feature.at("properties").value(key, "") == value) return feature;
  throw std::runtime_error("no row with " + key + " = " + value);
}

bool reads(const std::string& what) {
  if (has_program(what)) return true;
  WARN("skipped: no " << what << " to read with");
  return false;
}

}  // namespace

TEST_CASE("GDAL reads every format back and finds the rows of the findings in it") {
  if (!reads("ogrinfo")) return;
  const ScratchFolder scratch;
  const Json numbers = solve_json(job);
  const std::size_t items = numbers.at("items").size();
  for (const std::string file : {"a.gpkg", "a.kml", "a.shp.zip"}) {
    INFO(file);
    const Json layer = read_by_gdal(exported(scratch, file), "items");
    CHECK(layer.at("features").size() == items);
  }
  for (const std::string file : {"a.geojson", "a.fgb"}) {
    INFO(file);
    const std::string path = exported(scratch, file);
    const Json all =
        Json::parse(run_command("ogr2ogr -f GeoJSON /vsistdout/ '" + path + "' -where \"layer = 'items'\"").out);
    CHECK(all.at("features").size() == items);
  }
  const Json points = read_by_gdal(exported(scratch, "a.gpx"), "waypoints");
  CHECK(points.at("features").size() == items + numbers.at("crossings").size() + numbers.at("runs").size());
  CHECK(run_command("ogrinfo -q -al -so '" + exported(scratch, "a.dxf") + "'").exit_code == 0);
}

TEST_CASE("coordinates in a GeoPackage agree with the JSON to a millimetre") {
  if (!reads("ogr2ogr")) return;
  const ScratchFolder scratch;
  const Json numbers = solve_json(job);
  const Json item = numbers.at("items").at(2);
  // Without -t_srs GDAL turns to longitude and latitude for GeoJSON, so ask for the grid back.
  const std::string path = exported(scratch, "a.gpkg");
  const Json rows = Json::parse(
      run_command("ogr2ogr -f GeoJSON /vsistdout/ '" + path + "' items -t_srs EPSG:2269 -lco COORDINATE_PRECISION=6")
          .out);
  const Json& row = row_with(rows, "what", item.at("what"));
  CHECK(row.at("geometry").at("coordinates")[0].get<double>() == Approx(item.at("e").get<double>()).margin(0.003));
  CHECK(row.at("geometry").at("coordinates")[1].get<double>() == Approx(item.at("n").get<double>()).margin(0.003));
  CHECK(row.at("properties").at("acc_h95").get<double>() > 0);
}

TEST_CASE("longitude and latitude agree with PROJ's own program to a millimetre") {
  if (!reads("cs2cs")) return;
  const ScratchFolder scratch;
  const Json item = solve_json(job).at("items").at(2);
  const Json all = Json::parse(read_file(exported(scratch, "a.geojson")));
  for (const Json& feature : all.at("features")) {
    if (feature.at("properties").at("layer") != "items" || feature.at("properties").at("what") != item.at("what"))
      continue;
    const Outcome outside = run_command("echo " + item.at("e").dump() + " " + item.at("n").dump() +
                                        " | cs2cs -f %.9f EPSG:2269 EPSG:4326");
    const double lat = std::strtod(outside.out.c_str(), nullptr);
    const double lon = std::strtod(outside.out.c_str() + outside.out.find('\t'), nullptr);
    CHECK(feature.at("geometry").at("coordinates")[1].get<double>() == Approx(lat).margin(1.5e-8));
    CHECK(feature.at("geometry").at("coordinates")[0].get<double>() == Approx(lon).margin(1.5e-8));
  }
}

TEST_CASE("a validator of GeoJSON from npm finds nothing to say") {
  if (!reads("npm") || !reads("node")) return;
  const ScratchFolder scratch;
  for (const char* file : {"package.json", "package-lock.json", "check.mjs"})
    fs::copy(fs::path(SWINGTIE_SOURCE_DIR) / "tests/exchange" / file, scratch.path(file));
  if (run_command("cd '" + scratch.path("") + "' && npm ci --no-audit --no-fund --silent").exit_code != 0) {
    WARN("skipped: npm cannot fetch the validator here");
    return;
  }
  const auto validate = [&](const std::string& path) {
    return run_command("cd '" + scratch.path("") + "' && node check.mjs '" + path + "'");
  };
  const Outcome outcome = validate(exported(scratch, "a.geojson"));
  CHECK(outcome.out == "");
  CHECK(outcome.exit_code == 0);
  // The validator is not asleep: it finds a ring that is not closed.
  const std::string open_ring =
      scratch.write("open.geojson", R"({"type":"Polygon","coordinates":[[[0,0],[1,0],[1,1],[0,1]]]})");
  CHECK(validate(open_ring).exit_code == 1);
}

TEST_CASE("a DXF library audits the drawing without an error and sees its unit and layers") {
  if (run_command("/usr/bin/python3 -c 'import ezdxf'").exit_code != 0) {
    WARN("skipped: no python3-ezdxf to audit with");
    return;
  }
  const ScratchFolder scratch;
  const std::string script =
      scratch.write("audit.py",
                    "import sys\n"
                    "from ezdxf import recover\n"
                    "doc, audit = recover.readfile(sys.argv[1])\n"
                    "print(len(audit.errors), len(audit.fixes), doc.header['$INSUNITS'])\n"
                    "print(sorted(l.dxf.name for l in doc.layers if l.dxf.name.startswith('SEWER')))\n");
  const Outcome outcome = run_command("/usr/bin/python3 '" + script + "' '" + exported(scratch, "a.dxf") + "'");
  INFO(outcome.err);
  CHECK(outcome.out.rfind("0 0 2\n", 0) == 0);  // no error, no fix, feet
  for (const char* layer : {"SEWER-ROUTE", "SEWER-DIG-WINDOWS", "SEWER-ITEMS-TEXT"})
    CHECK(outcome.out.find(layer) != std::string::npos);
  // What stands on the lot has a layer by kind; every place says how good it is; the cautions are on the drawing.
  std::string drawing = read_file(scratch.path("a.dxf"));
  // Texts have hard blanks.
  for (std::size_t i = 0; (i = drawing.find("\\~", i)) != std::string::npos;) drawing.replace(i, 2, " ");
  for (const char* words : {"SEWER-FEATURES-HOUSE", "SEWER-FEATURES-TREE", "ft at 95 %", "Estimates, not a survey",
                            "Coordinates: EPSG:2269, ft."}) {
    INFO(words);
    CHECK(drawing.find(words) != std::string::npos);
  }
}

TEST_CASE("KML and GPX are well formed, in the order of their schemas, and read alike by another reader") {
  if (!reads("xmllint")) return;
  const ScratchFolder scratch;
  const std::string kml = exported(scratch, "a.kml"), gpx = exported(scratch, "a.gpx");
  const auto holds = [](const std::string& path, const std::string& claim) {
    INFO(claim);
    CHECK(run_command("xmllint --xpath \"" + claim + "\" '" + path + "'").out == "true\n");
  };
  // OGC 12-007r2 (KML 2.3, as in 2.2): names before descriptions before geometry in a Placemark, closed rings.
  holds(kml, "namespace-uri(/*) = 'http://www.opengis.net/kml/2.2'");
  holds(kml, "count(//*[local-name() = 'Placemark']) > 40");
  holds(kml, "not(//*[local-name() = 'Placemark'][*[local-name() = 'name'] and name(*[1]) != 'name'])");
  holds(kml,
        "not(//*[local-name() = 'ExtendedData']/preceding-sibling::*[local-name() = 'Point' or local-name() = "
        "'LineString' or local-name() = 'Polygon' or local-name() = 'MultiGeometry'])");
  holds(kml,
        "not(//*[local-name() = 'SchemaData'][not(substring-after(@schemaUrl, '#') = "
        "//*[local-name() = 'Schema']/@id)])");
  // GPX 1.1 schema (topografix.com/GPX/1/1): metadata, wpt, rte, trk in this order; name before desc before type.
  holds(gpx,
        "namespace-uri(/*) = 'http://www.topografix.com/GPX/1/1' and /*/@version = '1.1' and /*/@creator = "
        "'swingtie'");
  holds(gpx, "not(//*[local-name() = 'wpt']/preceding-sibling::*[local-name() = 'trk'])");
  holds(gpx, "not(//*[local-name() = 'name']/preceding-sibling::*[local-name() = 'desc' or local-name() = 'type'])");
  holds(gpx,
        "not(//*[local-name() = 'desc']/preceding-sibling::*[local-name() = 'type' or local-name() = 'trkseg'])");
  holds(gpx, "not(//*[@lat][@lat < -90 or @lat > 90 or @lon < -180 or @lon > 180])");
}

TEST_CASE("a GeoPackage has the tables, the identifier and the reference systems that the standard asks for") {
  // OGC 12-128: application_id GPKG, requirements 2, 10, 11 and 13.
  if (!reads("sqlite3")) return;
  const ScratchFolder scratch;
  const std::string path = exported(scratch, "a.gpkg");
  const auto ask = [&](const std::string& question) {
    return run_command("sqlite3 '" + path + "' \"" + question + "\"").out;
  };
  CHECK(ask("PRAGMA application_id") == "1196444487\n");
  CHECK(ask("PRAGMA integrity_check") == "ok\n");
  CHECK(ask("PRAGMA foreign_key_check") == "");
  CHECK(ask("SELECT count(*) FROM gpkg_spatial_ref_sys WHERE srs_id IN (-1, 0, 4326)") == "3\n");
  CHECK(ask("SELECT count(*) FROM gpkg_contents WHERE data_type = 'features'") == "13\n");
  CHECK(ask("SELECT count(*) FROM gpkg_geometry_columns") == "13\n");
  CHECK(ask("SELECT count(*) FROM layer_styles WHERE styleQML LIKE '%renderer-v2%'") == "12\n");
  CHECK(ask("SELECT min(acc_h95 IS NOT NULL AND basis IS NOT NULL) FROM items") == "1\n");
  // Requirement 2 (version), 5 (table of reference systems), 13 to 17 (contents), 21 to 33 (geometry columns): every
  // table of contents exists, has an integer primary key, an extent and a known reference system.
  CHECK(ask("PRAGMA user_version") != "0\n");
  CHECK(ask("SELECT count(*) FROM gpkg_contents c LEFT JOIN sqlite_master m ON m.name = c.table_name WHERE m.name IS "
            "NULL") == "0\n");
  CHECK(
      ask("SELECT count(*) FROM gpkg_geometry_columns g LEFT JOIN gpkg_contents c USING (table_name) WHERE c.srs_id "
          "IS NOT g.srs_id") == "0\n");
  CHECK(
      ask("SELECT count(*) FROM gpkg_contents c LEFT JOIN gpkg_spatial_ref_sys s USING (srs_id) WHERE c.data_type = "
          "'features' AND s.srs_id IS NULL") == "0\n");
  CHECK(ask("SELECT count(*) FROM gpkg_contents WHERE data_type = 'features' AND (min_x IS NULL OR max_y < min_y OR "
            "last_change NOT GLOB '[0-9]*-*T*:*:*Z')") == "0\n");
  CHECK(ask("SELECT count(*) FROM pragma_table_info('items') WHERE pk = 1 AND type = 'INTEGER'") == "1\n");
  CHECK(ask("SELECT count(*) FROM gpkg_extensions WHERE extension_name = 'gpkg_rtree_index'") == "13\n");
  // Requirement 19: a geometry begins with GP, version 0; the little-endian flag and the reference system follow.
  CHECK(ask("SELECT count(*) FROM items WHERE hex(substr(geom, 1, 3)) <> '475000'") == "0\n");
  // The schema extension: each column says what it means and in which unit, and refers to a column that is there.
  CHECK(ask("SELECT count(*) FROM gpkg_extensions WHERE extension_name = 'gpkg_schema'") == "2\n");
  CHECK(ask("SELECT description FROM gpkg_data_columns WHERE table_name = 'items' AND column_name = 'depth'") ==
        "ground surface to the pipe's axis (`units`)\n");
  CHECK(ask("SELECT count(*) FROM gpkg_data_columns d WHERE NOT EXISTS (SELECT 1 FROM "
            "pragma_table_info(d.table_name) p "
            "WHERE p.name = d.column_name)") == "0\n");
}

TEST_CASE("the same job gives the same bytes in every format, at another time and in another folder") {
  const ScratchFolder scratch, elsewhere;
  const std::string endings[] = {"geojson", "gpkg", "dxf", "kml", "csv", "gpx", "shp.zip", "fgb"};
  for (const std::string& ending : endings) exported(scratch, "one." + ending);
  // Archives keep times to two seconds.
  run_command("sleep 2.1");
  for (const std::string& ending : endings) {
    INFO(ending);
    CHECK(read_file(scratch.path("one." + ending)) == read_file(exported(elsewhere, "two." + ending)));
  }
}

TEST_CASE("the lot, written to a GeoPackage and read as features again, comes back to a millimetre") {
  const ScratchFolder scratch;
  exported(scratch, "lot.gpkg");
  std::string text = read_file(job);
  const std::string begin = "features:\n", end = "\nruns:";
  const std::size_t from = text.find(begin), to = text.find(end);
  REQUIRE(from != std::string::npos);
  std::string features = begin;
  for (const auto& [id, kind] : std::vector<std::pair<std::string, std::string>>{{"lot", "lot"},
                                                                                 {"house", "house"},
                                                                                 {"curb", "curb"},
                                                                                 {"row", "right-of-way"},
                                                                                 {"sewer", "main"},
                                                                                 {"oak", "tree"}})
    features += "  - {id: " + id + ", kind: " + kind +
                ", file: {path: lot.gpkg, layer: features, where: \"feature = '" + id + "'\"}" +
                (kind == "lot" ? ", corners: [sw, nw, ne, se]" : "") +
                (kind == "house" ? ", corners: [sw, nw, ne, se]" : "") + "}\n";
  text.replace(from, to - from, features);
  const std::string again = scratch.write("again.yaml", text);
  const auto positions = [&](const std::string& path) {
    std::vector<double> all;
    const Json rows =
        Json::parse(run_command("ogr2ogr -f GeoJSON /vsistdout/ '" + path +
                                "' -sql \"SELECT feature, geom FROM features WHERE feature <> 'hydrant' "
                                "ORDER BY feature\" -t_srs EPSG:2269 -lco COORDINATE_PRECISION=6")
                        .out);
    for (const Json& number : rows.at("features").flatten())
      if (number.is_number()) all.push_back(number.get<double>());
    return all;
  };
  const std::vector<double> first = positions(scratch.path("lot.gpkg"));
  const std::vector<double> second = positions(exported(scratch, "again.gpkg", again));
  REQUIRE(first.size() > 30);
  REQUIRE(first.size() == second.size());
  for (std::size_t i = 0; i < first.size(); ++i) CHECK(second[i] == Approx(first[i]).margin(0.0033));  // 1 mm in feet
}

TEST_CASE("a folder of jobs becomes one atlas in which every row names its job") {
  if (!reads("ogr2ogr")) return;
  const ScratchFolder scratch;
  fs::create_directories(scratch.path("jobs/north"));
  scratch.write("jobs/north/one.yaml", read_file(job));
  scratch.write("jobs/two.yaml", read_file(job));
  const Outcome outcome = run_swingtie({"export", scratch.path("jobs"), "-o", scratch.path("atlas.gpkg")});
  INFO(outcome.err);
  REQUIRE(outcome.exit_code == 0);
  const Json items = read_by_gdal(scratch.path("atlas.gpkg"), "items");
  CHECK(items.at("features").size() == 2 * solve_json(job).at("items").size());
  row_with(items, "job", "north/one");
  row_with(items, "job", "two");
}
