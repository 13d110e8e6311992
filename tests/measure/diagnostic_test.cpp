#include "measure/diagnostic.hpp"

#include <catch2/catch.hpp>

using namespace swingtie;

namespace {

std::string shown(std::string_view text, Span at, std::string expected = {}, std::string hint = {}) {
  return render({Severity::error, at, "it is wrong", std::move(expected), std::move(hint)}, "job.yaml", text, false);
}

}  // namespace

TEST_CASE("a message shows the place, what was expected and a hint") {
  std::string text;
  for (int i = 1; i < 31; ++i) text += "#\n";
  text += "      - {at: 41, position: {ties: {house.sv: 22'4\", house.se: 36'8\"}}}\n";
  const Diagnostic d{Severity::error,
                     {31, 36, 8},
                     "no point `sv` on feature `house`",
                     "one of: sw, nw, ne, se",
                     "did you mean `house.sw`?"};
  CHECK(render(d, "job.yaml", text, false) ==
        "error: no point `sv` on feature `house`\n"
        "  --> job.yaml:31:36\n"
        "   |\n"
        "31 |       - {at: 41, position: {ties: {house.sv: 22'4\", house.se: 36'8\"}}}\n"
        "   |                                    ^^^^^^^^ expected one of: sw, nw, ne, se\n"
        "   = hint: did you mean `house.sw`?\n");
}

TEST_CASE("columns count code points and carets stay under them") {
  CHECK(shown("a: 5′6″ deep", {1, 9, 4}) ==
        "error: it is wrong\n"
        " --> job.yaml:1:9\n"
        "  |\n"
        "1 | a: 5′6″ deep\n"
        "  |         ^^^^\n");
  CHECK(shown("名: wert", {1, 4, 4}) ==
        "error: it is wrong\n"
        " --> job.yaml:1:4\n"
        "  |\n"
        "1 | 名: wert\n"
        "  |     ^^^^\n");
  CHECK(shown("e\xCC\x81: x", {1, 5, 1}) ==
        "error: it is wrong\n"
        " --> job.yaml:1:5\n"
        "  |\n"
        "1 | e\xCC\x81: x\n"
        "  |    ^\n");
}

TEST_CASE("a tab is one column and four cells") {
  CHECK(shown("\tid: 7", {1, 6, 1}) ==
        "error: it is wrong\n"
        " --> job.yaml:1:6\n"
        "  |\n"
        "1 |     id: 7\n"
        "  |         ^\n");
}

TEST_CASE("bytes that would upset a terminal are not printed") {
  CHECK(shown("a\x1b[2Jb\xff", {1, 1, 1}) ==
        "error: it is wrong\n"
        " --> job.yaml:1:1\n"
        "  |\n"
        "1 | a·[2Jb\xEF\xBF\xBD\n"
        "  | ^\n");
}

TEST_CASE("a long line is cut around the span") {
  const std::string text = std::string(300, 'a') + "WRONG" + std::string(300, 'b');
  const std::string out = shown(text, {1, 301, 5}, "less");
  CHECK(out ==
        "error: it is wrong\n"
        " --> job.yaml:1:301\n"
        "  |\n"
        "1 | …" +
            std::string(40, 'a') + "WRONG" + std::string(65, 'b') +
            "…\n"
            "  | " +
            std::string(41, ' ') + "^^^^^ expected less\n");
  CHECK(shown(std::string(50, 'a') + std::string(500, 'b'), {1, 51, 500}).find(std::string(70, '^') + "\n") !=
        std::string::npos);
}

TEST_CASE("the last line, an empty line and a place past the end are shown without reading outside") {
  CHECK(shown("a: 1\r\nb: 2", {2, 4, 1}).find("2 | b: 2\n  |    ^\n") != std::string::npos);
  CHECK(shown("", {1, 1, 1}) == "error: it is wrong\n --> job.yaml:1:1\n  |\n1 | \n  | ^\n");
  CHECK(shown("a", {1, 99, 9}).find("1 | a\n  |  ^\n") != std::string::npos);
  CHECK(shown("a", {7, 1, 1}, "more", "type more") ==
        "error: it is wrong\n --> job.yaml:7:1\n  = expected more\n  = hint: type more\n");
}

TEST_CASE("a message without a place names the file alone") {
  CHECK(shown("a", {}, "", "type more") == "error: it is wrong\n --> job.yaml\n  = hint: type more\n");
}

TEST_CASE("colour marks the severity and the caret only") {
  const Diagnostic d{Severity::warning, {1, 1, 1}, "it is odd", "else", {}};
  CHECK(render(d, "j", "a", true) ==
        "\033[1;33mwarning\033[0m: it is odd\n --> j:1:1\n  |\n1 | a\n  | \033[1;33m^\033[0m expected else\n");
}

TEST_CASE("the nearest name is offered when it is near enough") {
  const std::vector<std::string> names{"right-of-way", "driveway", "house", "curb", "sw", "nw", "ne", "se"};
  CHECK(nearest_name("right_of_way", names) == "right-of-way");
  CHECK(nearest_name("drivway", names) == "driveway");
  CHECK(nearest_name("hosue", names) == "house");
  CHECK(nearest_name("crub", names) == "curb");
  CHECK(nearest_name("sv", names) == "sw");
  CHECK_FALSE(nearest_name("hydrant", names));
  CHECK_FALSE(nearest_name("xy", names));
  CHECK_FALSE(nearest_name("", names));
  CHECK_FALSE(nearest_name(std::string(1000000, 'x'), names));
}
