#include <catch2/catch.hpp>

#include "sheet/invented_lot.hpp"
#include "sheet/make_sheets.hpp"
#include "sheet/overlaps.hpp"

using namespace swingtie;

TEST_CASE("on five hundred lots no label covers a label, the route, a symbol or a leader, and no leaders cross") {
  constexpr SheetKind kinds[] = {SheetKind::dig, SheetKind::route, SheetKind::boundary};
  const char* styles[] = {"colour", "mono", "high-contrast"};
  double words = 0;
  int others = 0;
  for (std::uint64_t seed = 1; seed <= 500; ++seed) {
    const InventedLot lot = invented_lot(seed);
    SheetOptions options;
    options.kind = kinds[seed % 3];
    options.style = *built_in_style(styles[seed / 3 % 3]);
    for (const Sheet& sheet : make_sheets(lot.placed, lot.findings, options)) {
      const Overlaps o = overlaps(sheet);
      words += o.words;
      others += o.route + o.symbols + o.leaders;
      INFO("seed " << seed << ", sheet " << sheet.number << ": " << o.first);
      CHECK(o.none());
    }
  }
  CHECK(words == 0);
  CHECK(others == 0);
}
