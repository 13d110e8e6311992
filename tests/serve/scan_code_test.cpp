#include "serve/scan_code.hpp"

#include <catch2/catch.hpp>
#include <string>
#include <string_view>
#include <vector>

using namespace swingtie;

namespace {

/// The half blocks back to rows of modules.
std::vector<std::string> modules(std::string_view drawn) {
  std::vector<std::string> rows;
  while (!drawn.empty()) {
    const auto end = drawn.find('\n');
    REQUIRE(end != std::string_view::npos);
    std::string_view line = drawn.substr(0, end);
    drawn.remove_prefix(end + 1);
    REQUIRE(line.starts_with("\x1b[30;107m"));
    REQUIRE(line.ends_with("\x1b[0m"));
    line = line.substr(9, line.size() - 13);
    std::string upper, lower;
    while (!line.empty()) {
      const bool block = line.front() != ' ';
      const std::string_view mark = line.substr(0, block ? 3 : 1);
      line.remove_prefix(mark.size());
      upper += mark == "█" || mark == "▀" ? '#' : '.';
      lower += mark == "█" || mark == "▄" ? '#' : '.';
    }
    rows.push_back(upper);
    rows.push_back(lower);
  }
  return rows;
}

}  // namespace

// ISO/IEC 18004:2015, 5.3: three finder patterns of 7 x 7 modules in the corners, a quiet zone of four modules; a
// symbol of version v has 17 + 4 v modules a side, and version 4 at level L holds 78 bytes (table 7; from memory).
TEST_CASE("an address becomes a symbol that a telephone can find") {
  const auto rows = modules(scan_code("http://192.168.7.2:8470/#key=0123456789abcdef0123456789abcdef"));
  const std::size_t width = 17 + 4 * 4;
  REQUIRE(rows.size() == width + 2 * 4 + 1);  // an odd number of rows, two a line
  for (const auto& row : rows) REQUIRE(row.size() == width + 2 * 4);
  const std::vector<std::string> finder = {"#######", "#.....#", "#.###.#", "#.###.#",
                                           "#.###.#", "#.....#", "#######"};
  for (std::size_t y = 0; y < 7; ++y) {
    CHECK(rows[4 + y].substr(4, 7) == finder[y]);
    CHECK(rows[4 + y].substr(4 + width - 7, 7) == finder[y]);
    CHECK(rows[4 + width - 7 + y].substr(4, 7) == finder[y]);
  }
  for (std::size_t y = 0; y < 4; ++y) CHECK(rows[y].find('#') == std::string::npos);
}

TEST_CASE("a text too long for any symbol gives none") {
  CHECK(scan_code(std::string(4000, 'x')).empty());
}
