#include <catch2/catch.hpp>

#include <cstdlib>
#include <fstream>
#include <sstream>

#include "sheet/invented_lot.hpp"
#include "sheet/make_sheets.hpp"

using namespace swingtie;

// The display lists of three lots, looked at by eye when they were accepted. SWINGTIE_ACCEPT=1 accepts what is drawn
// now.
TEST_CASE("the display lists are those that were looked at") {
  struct Case {
    std::uint64_t seed;
    SheetKind kind;
  };
  for (const Case c : {Case{12, SheetKind::dig}, Case{23, SheetKind::route}, Case{34, SheetKind::boundary}}) {
    const InventedLot lot = invented_lot(c.seed);
    SheetOptions options;
    options.kind = c.kind;
    std::string now;
    for (const Sheet& sheet : make_sheets(lot.placed, lot.findings, options)) now += dump(sheet);
    const std::string path =
        std::string(SWINGTIE_SOURCE_DIR) + "/tests/sheet/golden/" + std::string(sheet_kind_name(c.kind)) + ".txt";
    if (std::getenv("SWINGTIE_ACCEPT") != nullptr) std::ofstream(path) << now;
    std::ifstream in(path);
    std::stringstream accepted;
    accepted << in.rdbuf();
    const bool same = accepted.str() == now;
    INFO(path << " differs from what is drawn; look, then accept with SWINGTIE_ACCEPT=1");
    CHECK(same);
  }
}
