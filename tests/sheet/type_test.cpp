#include <catch2/catch.hpp>

#include "sheet/type.hpp"

using namespace swingtie;

TEST_CASE("the figures are all of one width, so that columns of numbers stand under one another") {
  Typesetter type;
  const TypeLook look{"figures", 10, {}};
  CHECK(type.width("1111.11", look) == Approx(type.width("8808.80", look)));
}

TEST_CASE("a line of text is as wide as its glyphs' advances") {
  Typesetter type;
  // B612 Regular: each figure advances 1300 of 2000 units (read from the font's hmtx table).
  const Text text = type.set("12", {"figures", 10, {}});
  CHECK(text.width == Approx(2 * 1300.0 / 2000 * 10 * 25.4 / 72));
  REQUIRE(text.runs.size() == 1);
  CHECK(text.runs[0].glyphs.size() == 2);
  CHECK(text.string == "12");
}

TEST_CASE("wrapped lines fit and lose no word") {
  Typesetter type;
  const TypeLook look{"figures", 7, {}};
  const std::string words = "Inside the tolerance zone of any marked line expose by hand or vacuum";
  std::string joined;
  for (const std::string& line : type.wrap(words, look, 30)) {
    CHECK(type.width(line, look) <= 30);
    joined += (joined.empty() ? "" : " ") + line;
  }
  CHECK(joined == words);
  CHECK(type.balanced(words, look, 60).size() == type.wrap(words, look, 60).size());
  for (const std::string& line : type.wrap(std::string(200, 'm'), look, 30)) CHECK(type.width(line, look) <= 30);
}

TEST_CASE("a shortened line ends in dots and cuts between letters") {
  Typesetter type;
  const TypeLook look{"lettering", 8, {}};
  const std::string cut = type.shortened("Größenänderung am Übergang", look, 25);
  CHECK(cut.ends_with("…"));
  CHECK(type.width(cut, look) <= 25);
  CHECK(type.shortened("short", look, 25) == "short");
}

TEST_CASE("broken bytes and control characters are made harmless") {
  Typesetter type;
  CHECK(type.set("a\nb", {"figures", 7, {}}).string == "a b");
  CHECK_NOTHROW(type.set("\xff\xfe\xc0\xaf", {"figures", 7, {}}));
}
