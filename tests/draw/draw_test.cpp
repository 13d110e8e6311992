#include <catch2/catch.hpp>

#define POINTERHOLDER_TRANSITION 4
#include <array>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <qpdf/QPDF.hh>
#include <qpdf/QPDFPageDocumentHelper.hh>
#include <sstream>

#include "draw/draw.hpp"
#include "sheet/invented_lot.hpp"
#include "sheet/make_sheets.hpp"
#include "sheet/paper_geometry.hpp"

using namespace swingtie;

namespace {

std::vector<Sheet> sheets_of(std::uint64_t seed, SheetKind kind = SheetKind::dig) {
  const InventedLot lot = invented_lot(seed);
  SheetOptions options;
  options.kind = kind;
  return make_sheets(lot.placed, lot.findings, options);
}

bool have(const std::string& program) {
  return std::system(("command -v " + program + " >/dev/null 2>&1").c_str()) == 0;
}

std::string output_of(const std::string& command) {
  std::string out;
  std::FILE* pipe = popen(command.c_str(), "r");
  std::array<char, 4096> buffer;
  std::size_t got = 0;
  while (pipe != nullptr && (got = std::fread(buffer.data(), 1, buffer.size(), pipe)) > 0)
    out.append(buffer.data(), got);
  if (pipe != nullptr) pclose(pipe);
  return out;
}

struct TemporaryFile {
  std::string path;
  TemporaryFile(const std::string& suffix, const std::string& bytes) {
    path = output_of("mktemp --suffix=" + suffix);
    while (!path.empty() && path.back() == '\n') path.pop_back();
    std::ofstream(path, std::ios::binary) << bytes;
  }
  ~TemporaryFile() { std::remove(path.c_str()); }
};

/// Lengths in points of all straight pieces drawn on a page.
std::vector<double> drawn_lengths(const std::string& pdf) {
  QPDF document;
  document.processMemoryFile("test", pdf.data(), pdf.size());
  auto page = QPDFPageDocumentHelper(document).getAllPages().front();
  auto buffer = page.getObjectHandle().getKey("/Contents").getStreamData(qpdf_dl_all);
  std::istringstream in(std::string(reinterpret_cast<const char*>(buffer->getBuffer()), buffer->getSize()));
  std::vector<double> lengths, operands;
  // The operators that move the coordinate system, ISO 32000-1, 8.4.4: q, Q and cm.
  using Matrix = std::array<double, 6>;
  Matrix now = {1, 0, 0, 1, 0, 0};
  std::vector<Matrix> saved;
  double x = 0, y = 0;
  std::string word;
  while (in >> word) {
    char* end = nullptr;
    const double value = std::strtod(word.c_str(), &end);
    if (*end == '\0') {
      operands.push_back(value);
      continue;
    }
    if (word == "q") saved.push_back(now);
    if (word == "Q" && !saved.empty()) {
      now = saved.back();
      saved.pop_back();
    }
    if (word == "cm" && operands.size() == 6) {
      const Matrix m = now;
      const std::vector<double>& o = operands;
      now = {o[0] * m[0] + o[1] * m[2], o[0] * m[1] + o[1] * m[3],        o[2] * m[0] + o[3] * m[2],
             o[2] * m[1] + o[3] * m[3], o[4] * m[0] + o[5] * m[2] + m[4], o[4] * m[1] + o[5] * m[3] + m[5]};
    }
    if (word == "re" && operands.size() >= 4) {
      const double w = operands[operands.size() - 2], h = operands.back();
      lengths.push_back(std::hypot(w * now[0], w * now[1]));
      lengths.push_back(std::hypot(h * now[2], h * now[3]));
    }
    if ((word == "m" || word == "l") && operands.size() >= 2) {
      const double px = operands[operands.size() - 2], py = operands.back();
      const double to_x = px * now[0] + py * now[2] + now[4], to_y = px * now[1] + py * now[3] + now[5];
      if (word == "l") lengths.push_back(std::hypot(to_x - x, to_y - y));
      x = to_x;
      y = to_y;
    }
    operands.clear();
  }
  return lengths;
}

}  // namespace

TEST_CASE("lengths drawn in the PDF are true at the sheet's scale to 0.1 mm, on every paper") {
  const std::vector<std::string> papers = paper_names();
  for (std::uint64_t seed = 1; seed <= 14; ++seed) {
    const InventedLot lot = invented_lot(seed);
    SheetOptions options;
    options.kind = SheetKind::route;  // A dig sheet need not show the whole house.
    options.paper = paper(papers[seed % papers.size()]);
    const auto sheets = make_sheets(lot.placed, lot.findings, options);
    const auto lengths = drawn_lengths(write_pdf(sheets));
    // The house lies inside the frame and is drawn in one stroke: two of its walls after one another.
    const MapFrame& map = sheets.front().maps.front();
    const auto& wall = lot.placed.features.front().areas.front().outer;
    const auto furthest_off = [&](double scale) {
      double least = 1e9;
      for (std::size_t i = 0; i + 1 < lengths.size(); ++i) {
        double worst = 0;
        for (std::size_t k = 0; k < 2; ++k) {
          const double there = distance(wall[k], wall[k + 1]) * 1000 / scale;
          worst = std::max(worst, std::abs(lengths[i + k] * 25.4 / 72 - there));
        }
        least = std::min(least, worst);
      }
      return least;
    };
    INFO("seed " << seed << " on " << papers[seed % papers.size()] << ", 1:" << map.scale_denominator);
    CHECK(furthest_off(map.scale_denominator) < 0.1);
    // A scale that is 3 % off would be noticed.
    CHECK(furthest_off(1.03 * map.scale_denominator) > 0.1);
  }
}

TEST_CASE("the same sheets give the same bytes in every format") {
  const auto a = sheets_of(4), b = sheets_of(4);
  CHECK(write_pdf(a) == write_pdf(b));
  CHECK(write_svg(a.front()) == write_svg(b.front()));
  CHECK(write_png(a.front(), 96) == write_png(b.front(), 96));
  CHECK(write_html(a) == write_html(b));
}

TEST_CASE("the PDF has its layers, is georeferenced where the job is, and is well-formed") {
  for (std::uint64_t seed = 1; seed <= 6; ++seed) {
    const auto sheets = sheets_of(seed, SheetKind::full);
    const std::string pdf = write_pdf(sheets);
    QPDF document;
    document.processMemoryFile("test", pdf.data(), pdf.size());
    CHECK(document.getAllPages().size() == sheets.size());
    QPDFObjectHandle groups = document.getRoot().getKey("/OCProperties").getKey("/OCGs");
    CHECK(groups.getArrayNItems() >= 6);
    QPDFObjectHandle first = QPDFPageDocumentHelper(document).getAllPages().front().getObjectHandle();
    CHECK(first.hasKey("/VP") == sheets.front().maps.front().georeferenced);
    if (have("qpdf")) {
      const TemporaryFile file(".pdf", pdf);
      CHECK(output_of("qpdf --check " + file.path + " 2>&1").find("No syntax or stream encoding errors") !=
            std::string::npos);
    }
  }
}

TEST_CASE("words of the sheet are found in the PDF as text") {
  if (!have("pdftotext")) {
    WARN("skipped: pdftotext (poppler-utils) is not installed");
    return;
  }
  const TemporaryFile file(".pdf", write_pdf(sheets_of(6, SheetKind::full)));
  const std::string text = output_of("pdftotext -layout " + file.path + " -");
  for (const char* words : {"BEFORE YOU DIG", "not a survey", "PROFILE", "LEGEND", "95 %"}) {
    INFO(words);
    CHECK(text.find(words) != std::string::npos);
  }
}

TEST_CASE(
    "the PDF's text is read in the order of the sheet: what to dig and how deep, the tapes, then the cautions") {
  if (!have("pdftotext")) {
    WARN("skipped: pdftotext (poppler-utils) is not installed");
    return;
  }
  const TemporaryFile file(".pdf", write_pdf(sheets_of(6)));
  const std::string text = output_of("pdftotext -raw " + file.path + " -");
  std::size_t before = 0;
  for (const char* words : {"DIG ", "top of pipe below ground, 95 %", "the window holds the point with", "TAPES",
                            "The tapes put a finder within", "sides hole at grade", "BEFORE YOU DIG", "DIG SHEET"}) {
    INFO(words << " in\n" << text);
    // The heading is searched as a line of its own, not in the name of an inset or of the sheet.
    const std::size_t at = text.find(std::string("\n") + words, before);
    REQUIRE(at != std::string::npos);
    before = at;
  }
}

TEST_CASE("what is read aloud of a route and a boundary sheet begins with what was seen and whose it is") {
  if (!have("pdftotext")) {
    WARN("skipped: pdftotext (poppler-utils) is not installed");
    return;
  }
  const std::vector<std::pair<SheetKind, std::vector<std::string>>> orders = {
      {SheetKind::route,
       {"PROFILE", "WHAT WAS SEEN", "counter", "LEGEND", "WHAT WAS FOUND", "BEFORE YOU DIG", "ROUTE SHEET"}},
      {SheetKind::boundary,
       {"PROFILE", "WHO OWNS WHAT", "WHERE THE LINE CROSSES", "PRIVATE AND PUBLIC LENGTHS", "LEGEND", "WHAT WAS SEEN",
        "BEFORE YOU DIG", "BOUNDARY SHEET"}}};
  for (const auto& [kind, order] : orders) {
    const TemporaryFile file(".pdf", write_pdf({sheets_of(23, kind).front()}));
    const std::string text = output_of("pdftotext -raw " + file.path + " -");
    std::size_t before = 0;
    for (const std::string& words : order) {
      INFO(words << " in\n" << text);
      const std::size_t at = text.find("\n" + words, before);
      REQUIRE(at != std::string::npos);
      before = at;
    }
  }
}

TEST_CASE("every font of the PDF is embedded, cut down to the letters used, and can be read back as Unicode") {
  if (!have("pdffonts")) {
    WARN("skipped: pdffonts (poppler-utils) is not installed");
    return;
  }
  const TemporaryFile file(".pdf", write_pdf(sheets_of(6, SheetKind::full)));
  std::istringstream fonts(output_of("pdffonts " + file.path));
  std::string line;
  int count = 0;
  while (std::getline(fonts, line)) {
    if (line.starts_with("name ") || line.starts_with("---")) continue;
    ++count;
    INFO(line);
    CHECK(line.find(" yes yes yes ") != std::string::npos);
  }
  CHECK(count >= 3);
}

TEST_CASE("the PDF links marks to their rows") {
  const std::string pdf = write_pdf(sheets_of(6, SheetKind::full));
  QPDF document;
  document.processMemoryFile("test", pdf.data(), pdf.size());
  int links = 0;
  for (QPDFObjectHandle page : document.getAllPages()) {
    QPDFObjectHandle notes = page.getKey("/Annots");
    for (int i = 0; notes.isArray() && i < notes.getArrayNItems(); ++i) {
      if (notes.getArrayItem(i).getKey("/Subtype").getName() == "/Link") ++links;
    }
  }
  CHECK(links >= 2);
}

TEST_CASE("a reader of georeferenced PDF puts the corners of the plan where they are") {
  if (!have("gdalinfo")) {
    WARN("skipped: gdalinfo (gdal-bin) is not installed");
    return;
  }
  for (std::uint64_t seed = 1; seed <= 12; ++seed) {
    const auto sheets = sheets_of(seed);
    if (!sheets.front().maps.front().georeferenced) continue;
    const TemporaryFile file(".pdf", write_pdf(sheets));
    const std::string info = output_of("gdalinfo " + file.path + " 2>/dev/null");
    if (info.find("Driver: PDF") == std::string::npos) {
      WARN("skipped: this GDAL reads no PDF");
      return;
    }
    // The neat line repeats the corners that the viewport gives.
    const MapFrame& map = sheets.front().maps.front();
    const std::size_t at = info.find("NEATLINE=POLYGON ((");
    REQUIRE(at != std::string::npos);
    std::istringstream ring(info.substr(at + 19));
    std::vector<std::array<double, 2>> corners;
    double lon = 0, lat = 0;
    char comma = ',';
    while (comma == ',' && ring >> lon >> lat && ring >> comma) corners.push_back({lon, lat});
    REQUIRE(corners.size() >= 4);
    for (const MapFrame::Tie& corner : map.corners) {
      double nearest = 1e9;
      for (const auto& [x, y] : corners) {
        nearest =
            std::min(nearest, std::hypot((x - corner.lon_deg) * 111320 * std::cos(corner.lat_deg * 3.14159265 / 180),
                                         (y - corner.lat_deg) * 111195));
      }
      INFO("seed " << seed);
      CHECK(nearest < 0.01);
    }
    return;
  }
}

TEST_CASE("the SVG is well-formed and says at every object what it is") {
  const auto sheets = sheets_of(7);
  const std::string svg = write_svg(sheets.front());
  CHECK(svg.find("<text") != std::string::npos);
  CHECK(svg.find("<g id=\"house\" class=\"house\"><title>house</title>") != std::string::npos);
  if (!have("python3")) {
    WARN("skipped: python3 is not installed");
    return;
  }
  const TemporaryFile file(".svg", svg);
  CHECK(output_of("python3 -c \"import xml.dom.minidom,sys; d=xml.dom.minidom.parse(sys.argv[1]); "
                  "i=[e.getAttribute('id') for e in d.getElementsByTagName('g')]; print(len(i)==len(set(i)))\" " +
                  file.path) == "True\n");
}

TEST_CASE("a JPEG photo is in the PDF byte by byte, and drawn in the other formats") {
  // Eight by eight pixels from red to blue.
  const std::string hex =
      "ffd8ffe000104a46494600010100000100010000ffdb004300140e0f120f0d14121012171514181e32211e1c1c1e3d2c2e24"
      "3249404c4b47404645505a736250556d5645466488656d777b8182814e608d978c7d96737e817cffdb0043011517171e1a1e"
      "3b21213b7c5346537c7c7c7c7c7c7c7c7c7c7c7c7c7c7c7c7c7c7c7c7c7c7c7c7c7c7c7c7c7c7c7c7c7c7c7c7c7c7c7c7c7c"
      "7c7c7c7c7c7c7c7cffc00011080008000803011100021101031101ffc40014000100000000000000000000000000000005ff"
      "c400161000030000000000000000000000000000001461ffc40014010100000000000000000000000000000005ffc4001611"
      "00030000000000000000000000000000001561ffda000c03010002110311003f00058a20b20a31a7ffd9";
  std::string jpeg;
  for (std::size_t i = 0; i + 1 < hex.size(); i += 2)
    jpeg += static_cast<char>(std::stoi(hex.substr(i, 2), nullptr, 16));
  Image image;
  image.format = Image::Format::jpeg;
  image.bytes = std::make_shared<const std::string>(jpeg);
  image.pixels_wide = image.pixels_high = 8;
  image.box = {10, 10, 40, 40};
  Object object;
  object.id = "photo-1";
  object.marks = {image};
  Layer layer;
  layer.id = "blocks";
  layer.title = "Tables";
  layer.objects = {object};
  Sheet sheet;
  sheet.title = "a photo";
  sheet.width = sheet.height = 60;
  sheet.layers = {layer};

  const std::string pdf = write_pdf({sheet});
  CHECK(pdf.find("/DCTDecode") != std::string::npos);
  CHECK(pdf.find(jpeg) != std::string::npos);
  CHECK(write_svg(sheet).find("data:image/jpeg;base64,/9j/") != std::string::npos);
  // Were it missing, the sheet would be one colour and its PNG smaller than the picture itself.
  Sheet empty = sheet;
  empty.layers.clear();
  CHECK(write_png(sheet, 96).size() > write_png(empty, 96).size() + 200);
}

TEST_CASE("hostile words do no harm to markup") {
  InventedLot lot = invented_lot(8);
  lot.placed.site_name = "<script>alert('&\"')</script>";
  lot.findings.items.front().what = "]]><b>\x01";
  const auto sheets = make_sheets(lot.placed, lot.findings, {});
  CHECK(write_svg(sheets.front()).find("<script>") == std::string::npos);
  CHECK(write_html(sheets).find("<script>alert") == std::string::npos);
  CHECK_NOTHROW(write_pdf(sheets));
}

TEST_CASE("a PNG has the size that its resolution asks for") {
  const auto sheets = sheets_of(9);
  const std::string png = write_png(sheets.front(), 100);
  const auto number = [&](std::size_t at) {
    int value = 0;
    for (std::size_t i = 0; i < 4; ++i) value = value * 256 + static_cast<unsigned char>(png[at + i]);
    return value;
  };
  CHECK(number(16) == std::lround(sheets.front().width / 25.4 * 100));
  CHECK(number(20) == std::lround(sheets.front().height / 25.4 * 100));
  CHECK_THROWS(write_png(sheets.front(), 5));
  CHECK_THROWS(write_png(sheets.front(), NAN));
}
