#include <catch2/catch.hpp>

#include <algorithm>
#include <map>
#include <set>

#include "sheet/block.hpp"
#include "sheet/flow.hpp"
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

TEST_CASE("the dig sheet forbids to dig where the owner is not settled, and says why a sloped hole does not fit") {
  InventedLot lot = invented_lot(1);
  for (std::uint64_t seed = 2; lot.findings.digs.empty(); ++seed) lot = invented_lot(seed);
  SheetOptions options;
  options.kind = SheetKind::dig;
  DigFinding& dig = lot.findings.digs[0];
  ItemFinding& item = lot.findings.items[dig.item];
  for (const double told : {0.02, 0.5, 0.99}) {
    item.private_probability = told;
    CHECK(any_text(make_sheets(lot.placed, lot.findings, options), "DO NOT DIG YET") == (told == 0.5));
  }
  dig.unfit = "Felling forbidden.";
  CHECK(any_text(make_sheets(lot.placed, lot.findings, options), "Felling forbidden."));
}

TEST_CASE("the route sheet tells of everything that is to be repaired or watched") {
  int told_of = 0;
  for (std::uint64_t seed = 1; seed <= 30; ++seed) {
    const InventedLot lot = invented_lot(seed);
    SheetOptions options;
    options.kind = SheetKind::route;
    int expected = 0, told = 0;
    for (const ItemFinding& item : lot.findings.items) expected += item.act != Act::none ? 1 : 0;
    for (const Sheet& sheet : make_sheets(lot.placed, lot.findings, options)) {
      for_each_mark(sheet, [&](const Object& object, const Mark& mark) {
        const auto* text = std::get_if<Text>(&mark);
        if (text == nullptr || object.kind != "text") return;
        told += text->string.starts_with("To repair, ") || text->string.starts_with("To watch, ") ? 1 : 0;
      });
    }
    INFO("seed " << seed);
    CHECK(told == expected);
    told_of += told;
  }
  CHECK(told_of > 30);
}

TEST_CASE("in every inset both sides of the dig window have their figures") {
  std::size_t insets = 0;
  for (std::uint64_t seed = 1; seed <= 200; ++seed) {
    const InventedLot lot = invented_lot(seed);
    std::map<std::string, int> figures;
    for (const Sheet& sheet : make_sheets(lot.placed, lot.findings, {})) {
      for (const Layer& layer : sheet.layers) {
        if (layer.id != "insets") continue;
        for (const Object& object : layer.objects) {
          const std::string inset = object.id.substr(0, object.id.find('-', 6));
          if (object.id.starts_with("inset-") && object.kind == "frame") figures.emplace(inset, 0);
          if (object.kind == "dimension-figure") ++figures[inset];
        }
      }
    }
    INFO("seed " << seed);
    CHECK(figures.size() == lot.findings.digs.size());
    for (const auto& [inset, count] : figures) {
      INFO(inset);
      CHECK(count == 2);
      ++insets;
    }
  }
  CHECK(insets > 100);
}

TEST_CASE("every tape on a plan has its length") {
  int tapes = 0, lacking = 0;
  for (std::uint64_t seed = 1; seed <= 200; ++seed) {
    const InventedLot lot = invented_lot(seed);
    SheetOptions options;
    options.kind = seed % 2 == 0 ? SheetKind::dig : SheetKind::boundary;
    for (const Sheet& sheet : make_sheets(lot.placed, lot.findings, options)) {
      for (const Layer& layer : sheet.layers) {
        for (const Object& object : layer.objects) {
          if (object.kind != "tie") continue;
          ++tapes;
          if (find_object(sheet, object.id + "-figure") != nullptr) continue;
          ++lacking;
          UNSCOPED_INFO("seed " << seed << ", sheet " << sheet.number << ": " << object.title);
        }
      }
    }
  }
  CHECK(lacking == 0);
  CHECK(tapes > 500);
}

TEST_CASE("every stretch of pipe in a profile is named, in its bar or under the graph") {
  int in_bar = 0, below = 0;
  for (std::uint64_t seed = 1; seed <= 60; ++seed) {
    InventedLot lot = invented_lot(seed);
    // A stretch that is shorter than its name.
    LineFinding& line = lot.findings.lines.front();
    if (seed % 2 == 0 && !line.pipes.empty() && line.length > 3) {
      PipeStretch more = line.pipes.back();
      more.pipe.material = more.pipe.material == Material::pvc ? Material::clay : Material::pvc;
      more.from = line.pipes.back().to = Station{line.length - 1};
      line.pipes.push_back(more);
    }
    SheetOptions options;
    options.kind = kinds[seed % 3];
    for (const Sheet& sheet : make_sheets(lot.placed, lot.findings, options)) {
      for_each_mark(sheet, [&](const Object& object, const Mark& mark) {
        const auto* text = std::get_if<Text>(&mark);
        if (text == nullptr) return;
        in_bar += object.kind == "pipe" ? 1 : 0;
        below += object.kind == "pipe-name" ? 1 : 0;
      });
      for (const Layer& layer : sheet.layers) {
        for (const Object& object : layer.objects) {
          if (object.kind != "pipe" || object.id.substr(0, 13) != "profile-pipe-") continue;
          const bool named = std::any_of(object.marks.begin(), object.marks.end(),
                                         [](const Mark& mark) { return std::holds_alternative<Text>(mark); });
          INFO("seed " << seed << ", sheet " << sheet.number << ": " << object.title);
          CHECK((named || find_object(sheet, object.id + "-name") != nullptr));
        }
      }
    }
  }
  CHECK(in_bar > 40);
  CHECK(below > 20);
}

TEST_CASE("letters on hatching or linework have paper under them in the colour of the place, others have none") {
  const Style style = *built_in_style("colour");
  int houses = 0, plain = 0;
  for (std::uint64_t seed = 1; seed <= 20; ++seed) {
    const InventedLot lot = invented_lot(seed);
    for (const Sheet& sheet : make_sheets(lot.placed, lot.findings, {})) {
      for (const Layer& layer : sheet.layers) {
        for (const Object& object : layer.objects) {
          if (object.role != Role::label || object.marks.empty()) continue;
          const auto* plate = std::get_if<Path>(&object.marks.front());
          plain += plate == nullptr ? 1 : 0;
          const Feature& house = lot.placed.features.front();
          if (house.kind != FeatureKind::house || object.id != house.id + "-name") continue;
          INFO("seed " << seed << ", " << object.id);
          REQUIRE(plate != nullptr);
          REQUIRE(plate->fill);
          CHECK(plate->fill->colour == *style.look("house").fill);
          // It lies under the letters and not beyond them.
          const auto& text = std::get<Text>(object.marks[1]);
          const PaperBox paper = bounds(plate->points);
          for (const PaperPoint p : outline(text)) CHECK(contains(inset(paper, -0.05), p));
          ++houses;
        }
      }
    }
  }
  CHECK(houses > 10);
  CHECK(plain > 10);
}

TEST_CASE("decimal points stand under one another, with digits after them or not") {
  const InventedLot lot = invented_lot(1);
  Typesetter type;
  const Style style = *built_in_style("colour");
  const Drafting d = start_drafting(lot.placed, lot.findings, style, type);
  Block block;
  set_table(d, block, 60, {{"counter", Align::decimal, false, "table"}, {"what", Align::left, true, "table"}},
            {{"", "", "", {"29", "bend"}}, {"", "", "", {"9.25", "crack"}}, {"", "", "", {"130.5", "end"}}});
  std::vector<double> points;
  for (const Row& row : block.rows) {
    for (const Mark& mark : row.objects.front().marks) {
      const auto* text = std::get_if<Text>(&mark);
      if (text == nullptr || text->string.find_first_not_of("0123456789.") != std::string::npos) continue;
      // Where the whole part ends.
      points.push_back(text->at.x + type.width(text->string.substr(0, text->string.find('.')), style.type("table")));
    }
  }
  REQUIRE(points.size() == 3);
  CHECK(points[1] == Approx(points[0]).margin(0.05));
  CHECK(points[2] == Approx(points[0]).margin(0.05));
}

TEST_CASE("in a narrow table words wrap, and no figure is broken") {
  const InventedLot lot = invented_lot(1);
  Typesetter type;
  const Style style = *built_in_style("colour");
  const Drafting d = start_drafting(lot.placed, lot.findings, style, type);
  for (const double width : {52.0, 60.0, 66.0, 80.0}) {
    Block block;
    set_table(d, block, width,
              {{"", Align::left, true, "table-strong"},
               {"station", Align::right, false, "table-strong"},
               {"95 % between", Align::right, false, "table"},
               {"depth m, 95 %", Align::right, false, "table"}},
              {{"", "", "", {"property line of the lane", "0+011.28", "0+011.01 to 0+011.58", "2.37–2.52"}}});
    for (const std::string figure : {"property", "0+011.28", "0+011.01", "0+011.58", "2.37–2.52"}) {
      bool whole = false;
      for (const Mark& mark : block.rows.back().objects.front().marks) {
        if (const auto* text = std::get_if<Text>(&mark))
          whole = whole || text->string.find(figure) != std::string::npos;
      }
      INFO(figure << " in " << width << " mm");
      CHECK(whole);
    }
  }
}

TEST_CASE("a table says that it was set too narrow for its words") {
  const InventedLot lot = invented_lot(1);
  Typesetter type;
  const Style style = *built_in_style("colour");
  const Drafting d = start_drafting(lot.placed, lot.findings, style, type);
  const auto set = [&](double width) {
    Block block;
    set_table(d, block, width,
              {{"", Align::left, true, "table-strong"}, {"95 % between", Align::right, false, "table"}},
              {{"", "", "", {"right-of-way line", "0+205.41 to 0+208.03"}}});
    return block;
  };
  CHECK(set(20).broken);
  CHECK(!set(40).broken);
  CHECK(set(40).cramped);
  CHECK(!set(70).cramped);
}

TEST_CASE("no layout breaks the figures of a table, in the widest lettering") {
  int figures = 0;
  for (std::uint64_t seed = 1; seed <= 80; ++seed) {
    const InventedLot lot = invented_lot(seed);
    SheetOptions options;
    options.kind = SheetKind::boundary;
    options.style = *built_in_style("high-contrast");
    const auto sheets = make_sheets(lot.placed, lot.findings, options);
    Typesetter type;
    const Drafting d = start_drafting(lot.placed, lot.findings, options.style, type);
    for (const Crossing& crossing : lot.findings.crossings) {
      INFO("seed " << seed << ": " << bare_range(d, crossing.station95));
      CHECK(any_text(sheets, bare_range(d, crossing.station95)));
      ++figures;
    }
  }
  CHECK(figures > 60);
}

TEST_CASE("where the camera was pushed more than once, tables say which run a counter belongs to") {
  InventedLot lot = invented_lot(3);
  REQUIRE(!lot.placed.runs.empty());
  REQUIRE(!lot.findings.items.empty());
  SheetOptions options;
  options.kind = SheetKind::route;
  CHECK(!any_text(make_sheets(lot.placed, lot.findings, options), ", pushed toward the "));
  Run second = lot.placed.runs.front();
  second.id = "R2";
  second.access_what.clear();
  second.toward = Travel::toward_house;
  second.locates.clear();
  lot.placed.runs.push_back(second);
  lot.findings.items.back().run = lot.placed.runs.size() - 1;
  const auto sheets = make_sheets(lot.placed, lot.findings, options);
  CHECK(any_text(sheets, "run R2, pushed toward the house"));
}

TEST_CASE("a short paragraph stays whole, a long one leaves at least three lines on either side") {
  const InventedLot lot = invented_lot(1);
  Typesetter type;
  const Style style = *built_in_style("colour");
  const Drafting d = start_drafting(lot.placed, lot.findings, style, type);
  std::string words;
  for (int k = 0; k < 60; ++k) words += "so many words ";
  const auto many = paragraph(d, "p", words, "body", 60);
  REQUIRE(many.size() > 8);
  std::size_t breaks = 0;
  for (std::size_t i = 0; i + 1 < many.size(); ++i) {
    if (many[i].keep_with_next) continue;
    ++breaks;
    CHECK(i + 1 >= 3);
    CHECK(many.size() - (i + 1) >= 3);
  }
  CHECK(breaks > 0);
  const auto few = paragraph(d, "p", words.substr(0, 150), "body", 60);
  REQUIRE(few.size() > 2);
  for (std::size_t i = 0; i + 1 < few.size(); ++i) CHECK(few[i].keep_with_next);
}

TEST_CASE("the space after the last paragraph of a column is not continued in the next") {
  const InventedLot lot = invented_lot(1);
  Typesetter type;
  const Style style = *built_in_style("colour");
  const Drafting d = start_drafting(lot.placed, lot.findings, style, type);
  const auto block = [&](const std::string& id) {
    Block out{id, id, {}, {}, false};
    for (int k = 0; k < 3; ++k) {
      out.rows.push_back(text_row(d, id, "words", "body"));
      out.rows.push_back(space_row(1.2));
    }
    return out;
  };
  const std::vector<Block> blocks = {block("ONE"), block("TWO")};
  // Exactly as high as the first block without the space at its end, and a little higher, to beyond the space.
  const double height = height_of(d, blocks.front()) - 1.2;
  for (double more = 0; more < 1.5; more += 0.1) {
    const Flow filled = flow(d, blocks, {}, {{0, 0, 60, height + more}, {65, 0, 60, 100}}, false);
    INFO("higher by " << more);
    CHECK(filled.end.block == 2);
    int headings = 0;
    for (const PlacedRow& row : filled.rows) headings += row.row == nullptr ? 1 : 0;
    CHECK(headings == 2);
  }
}

TEST_CASE("the plan calls a thing what the words call it, by its label or an id that can be said") {
  InventedLot lot = invented_lot(1);
  const auto named = [&](FeatureKind kind, const std::string& id, const std::string& label) {
    lot.placed.features.resize(1);
    lot.placed.features.front().kind = kind;
    lot.placed.features.front().id = id;
    lot.placed.features.front().label = label;
    return feature_name(lot.placed, 0);
  };
  CHECK(named(FeatureKind::tree, "pecan", "") == "pecan");
  CHECK(named(FeatureKind::tree, "t2", "") == "tree");
  CHECK(named(FeatureKind::tree, "t2", "bur oak") == "bur oak");
  CHECK(named(FeatureKind::curb, "kerb", "") == "kerb");
  CHECK(named(FeatureKind::house, "studio", "studio") == "studio");
  CHECK(named(FeatureKind::driveway, "drive", "") == "driveway");
  CHECK(named(FeatureKind::right_of_way, "row", "") == "right-of-way");
  CHECK(named(FeatureKind::main, "sewer", "") == "city main");
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
