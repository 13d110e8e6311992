#include "measure/words.hpp"

#include <catch2/catch.hpp>

#include "measure/utf8.hpp"

using namespace swingtie;

TEST_CASE("nouns follow their number") {
  CHECK(counted(1, "locate") == "1 locate");
  CHECK(counted(2, "locate") == "2 locates");
  CHECK(counted(0, "locate") == "0 locates");
  CHECK(counted(2, "entry", "entries") == "2 entries");
  CHECK(counted(1, "entry", "entries") == "1 entry");
}

TEST_CASE("lists read as a sentence does") {
  CHECK(listed({}, "or").empty());
  CHECK(listed({"a"}, "or") == "a");
  CHECK(listed({"a", "b"}, "or") == "a or b");
  CHECK(listed({"a", "b", "c"}, "and") == "a, b and c");
}

TEST_CASE("any bytes decode, and well-formed ones come back") {
  const std::string good = "aé′漢😀";
  CHECK(encode_utf8(decode_utf8(good)) == good);
  CHECK(code_point_count(good) == 5);
  CHECK(find_bad_utf8(good) == std::string::npos);
  // Overlong, surrogate, past the end, cut short, stray continuation: Unicode Standard, table 3-7.
  for (const char* bad : {"\xC0\x80", "\xED\xA0\x80", "\xF4\x90\x80\x80", "\xE2\x80", "\x80", "\xFF"}) {
    CHECK(find_bad_utf8(bad) == 0);
    CHECK(decode_utf8(bad).front() == 0xFFFD);
  }
}
