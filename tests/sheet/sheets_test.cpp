#include <catch2/catch.hpp>

#include <algorithm>
#include <set>

#include "sheet/invented_lot.hpp"
#include "sheet/make_sheets.hpp"
#include "sheet/paper_geometry.hpp"
#include "sheet/scales.hpp"

using namespace swingtie;

namespace {

constexpr SheetKind kinds[] = {SheetKind::dig, SheetKind::route, SheetKind::boundary};

template <class F>
void for_each_mark(const Sheet& sheet, F&& f) {
  for (const Layer& layer : sheet.layers) {
    for (const Object& object : layer.objects) {
      for (const Mark& mark : object.marks) f(object, mark);
    }
  }
}

const Object* find_object(const Sheet& sheet, const std::string& id) {
  for (const Layer& layer : sheet.layers) {
    for (const Object& object : layer.objects) {
      if (object.id == id) return &object;
    }
  }
  return nullptr;
}

bool any_text(const std::vector<Sheet>& sheets, const std::string& part) {
  bool found = false;
  for (const Sheet& sheet : sheets) {
    for_each_mark(sheet, [&](const Object&, const Mark& mark) {
      if (const auto* text = std::get_if<Text>(&mark)) found = found || text->string.find(part) != std::string::npos;
    });
  }
  return found;
}

}  // namespace

TEST_CASE("nothing lies outside the sheet, on every kind and paper") {
  const auto papers = paper_names();
  for (std::uint64_t seed = 1; seed <= 42; ++seed) {
    const InventedLot lot = invented_lot(seed);
    SheetOptions options;
    options.kind = kinds[seed % 3];
    options.paper = paper(papers[seed % papers.size()]);
    for (const Sheet& sheet : make_sheets(lot.placed, lot.findings, options)) {
      const PaperBox page{0, 0, sheet.width, sheet.height};
      for_each_mark(sheet, [&](const Object& object, const Mark& mark) {
        INFO("seed " << seed << ", " << papers[seed % papers.size()] << ", " << object.id);
        if (const auto* path = std::get_if<Path>(&mark)) {
          for (const PaperPoint p : path->points) CHECK(contains(page, p));
        } else if (const auto* text = std::get_if<Text>(&mark)) {
          for (const PaperPoint p : outline(*text)) CHECK(contains(page, p));
        }
      });
    }
  }
}

TEST_CASE("no type is smaller than six points") {
  for (const std::string& style : built_in_style_names()) {
    const InventedLot lot = invented_lot(7);
    SheetOptions options;
    options.kind = SheetKind::full;
    options.style = *built_in_style(style);
    for (const Sheet& sheet : make_sheets(lot.placed, lot.findings, options)) {
      for_each_mark(sheet, [&](const Object& object, const Mark& mark) {
        INFO(object.id);
        if (const auto* text = std::get_if<Text>(&mark)) CHECK(text->size >= 6 * 25.4 / 72 - 1e-9);
      });
    }
  }
}

TEST_CASE("every plan is at a standard scale, and a length on it is true") {
  for (std::uint64_t seed = 1; seed <= 40; ++seed) {
    const InventedLot lot = invented_lot(seed);
    SheetOptions options;
    options.kind = kinds[seed % 3];
    const Sheet sheet = make_sheets(lot.placed, lot.findings, options).front();
    const MapFrame& map = sheet.maps.front();
    const auto scales = plan_scales(lot.placed.unit);
    CHECK(std::find(scales.begin(), scales.end(), map.scale_denominator) != scales.end());
    // Upper left to upper right of the frame, on the ground and on paper.
    const double ground = distance(map.corners[1].grid, map.corners[2].grid);
    CHECK(ground * 1000 / map.scale_denominator == Approx(map.box.width).margin(1e-6));
    // The route's first and last points on the paper are as far apart as on the ground.
    const LineFinding& line = lot.findings.lines.front();
    const Object* route = find_object(sheet, "main");
    REQUIRE(route != nullptr);
    const auto& casing = std::get<Path>(route->marks.front());
    const double drawn = distance(casing.points.front(), casing.points.back());
    const double real = distance(plan(line.stations.front().at), plan(line.stations.back().at));
    CHECK(drawn == Approx(real * 1000 / map.scale_denominator).margin(0.01));
  }
}

TEST_CASE("the street lies at the foot of the sheet") {
  const InventedLot lot = invented_lot(11);
  const Sheet sheet = make_sheets(lot.placed, lot.findings, {}).front();
  const Object* route = find_object(sheet, "main");
  REQUIRE(route != nullptr);
  const auto& casing = std::get<Path>(route->marks.front());
  CHECK(casing.points.back().y > casing.points.front().y);
}

TEST_CASE("ids are unique on a sheet, and every link leads to an object of the same sheet or is a geo URI") {
  for (std::uint64_t seed = 1; seed <= 20; ++seed) {
    const InventedLot lot = invented_lot(seed);
    SheetOptions options;
    options.kind = SheetKind::full;
    for (const Sheet& sheet : make_sheets(lot.placed, lot.findings, options)) {
      std::set<std::string> ids;
      for (const Layer& layer : sheet.layers) {
        for (const Object& object : layer.objects) CHECK(ids.insert(object.id).second);
      }
      for (const Layer& layer : sheet.layers) {
        for (const Object& object : layer.objects) {
          INFO(object.id << " -> " << object.link);
          CHECK((object.link.empty() || object.link.starts_with("#") || object.link.starts_with("geo:")));
        }
      }
    }
  }
}

TEST_CASE("the legend names what occurs and nothing else") {
  InventedLot lot = invented_lot(3);
  std::erase_if(lot.placed.features, [](const Feature& f) { return f.kind == FeatureKind::fence; });
  const auto without = make_sheets(lot.placed, lot.findings, {});
  CHECK(find_object(without.front(), "legend-fence") == nullptr);
  bool sewer = false;
  for (const Sheet& sheet : without) sewer = sewer || find_object(sheet, "legend-route") != nullptr;
  CHECK(sewer);
}

TEST_CASE("every set of sheets carries the cautions") {
  const InventedLot lot = invented_lot(5);
  for (const SheetKind kind : kinds) {
    SheetOptions options;
    options.kind = kind;
    const auto sheets = make_sheets(lot.placed, lot.findings, options);
    CHECK(any_text(sheets, "BEFORE YOU DIG"));
    CHECK(any_text({sheets.front()}, "one-call"));
    CHECK(any_text({sheets.front()}, "not a"));
  }
}

TEST_CASE("sheets are counted through") {
  const InventedLot lot = invented_lot(9);
  SheetOptions options;
  options.kind = SheetKind::full;
  const auto sheets = make_sheets(lot.placed, lot.findings, options);
  for (std::size_t i = 0; i < sheets.size(); ++i) {
    CHECK(sheets[i].number == static_cast<int>(i) + 1);
    CHECK(sheets[i].count == static_cast<int>(sheets.size()));
  }
}

TEST_CASE("the same lot gives the same display list twice") {
  const InventedLot lot = invented_lot(21);
  const auto a = make_sheets(lot.placed, lot.findings, {}), b = make_sheets(lot.placed, lot.findings, {});
  REQUIRE(a.size() == b.size());
  for (std::size_t i = 0; i < a.size(); ++i) CHECK(dump(a[i]) == dump(b[i]));
}

TEST_CASE("a name in another script is set, or the sheet says that no font has it") {
  InventedLot lot = invented_lot(2);
  lot.placed.site_name = "17 شارع الزيتون, 東町 🏠";
  const auto sheets = make_sheets(lot.placed, lot.findings, {});
  bool set = false;
  for_each_mark(sheets.front(), [&](const Object&, const Mark& mark) {
    if (const auto* text = std::get_if<Text>(&mark))
      set = set || (text->string.find("شارع") != std::string::npos && !text->runs.empty());
  });
  CHECK((set || !sheets.front().remarks.empty()));
}

TEST_CASE("a job without anything but an access still gives a sheet") {
  InventedLot lot = invented_lot(4);
  lot.placed.features.clear();
  lot.findings.digs.clear();
  lot.findings.trees.clear();
  lot.findings.crossings.clear();
  lot.findings.tie_sets.clear();
  lot.findings.items.clear();
  lot.findings.locates.clear();
  for (const SheetKind kind : kinds) {
    SheetOptions options;
    options.kind = kind;
    CHECK(!make_sheets(lot.placed, lot.findings, options).empty());
  }
  lot.findings.lines.clear();
  lot.findings.grades.clear();
  lot.findings.sides.clear();
  lot.placed.runs.clear();
  CHECK(!make_sheets(lot.placed, lot.findings, {}).empty());
}
