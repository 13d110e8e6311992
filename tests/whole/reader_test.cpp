#include <algorithm>
#include <array>
#include <catch2/catch.hpp>
#include <cmath>
#include <complex>
#include <nlohmann/json.hpp>
#include <regex>

#include "whole/program.hpp"

// What a stranger with two tapes makes of the words alone, on every sample.

namespace swingtie {
namespace {

using Point = std::complex<double>;  // e + i n, in the job's unit

const std::string samples = std::string(SWINGTIE_SOURCE_DIR) + "/samples/";

/// `22'4"` in feet or `6.81 m` in metres: the job's unit either way.
double on_the_tape(const std::string& words) {
  std::smatch m;
  if (std::regex_match(words, m, std::regex("(\\d+)'(\\d+)\""))) return std::stod(m[1]) + std::stod(m[2]) / 12;
  return std::stod(words);
}

struct Directions {
  std::array<double, 3> tapes{};
  std::array<std::string, 3> from;
  std::string side;
  double agree = 0, within = 0;  ///< what the check tape may be off, and how near this leads
};

std::vector<Directions> read_directions(std::string text) {
  std::replace(text.begin(), text.end(), '\n', ' ');
  const std::string tape = "(\\d+'\\d+\"|\\d+\\.\\d+ m)";
  const std::regex sentence("Where .*?swing " + tape + " from (.*?) and " + tape +
                            " from (the (?:(?!; ).)*?); the two tapes meet twice: take the point (.*?) of the line "
                            "between them\\. Check: from (.*?) it must be " +
                            tape + ", within " + tape + ";.*?puts you within " + tape + " of the point meant");
  std::vector<Directions> out;
  for (std::sregex_iterator m(text.begin(), text.end(), sentence), end; m != end; ++m) {
    Directions d;
    d.tapes = {on_the_tape((*m)[1]), on_the_tape((*m)[3]), on_the_tape((*m)[7])};
    d.from = {(*m)[2], (*m)[4], (*m)[6]};
    d.side = (*m)[5];
    d.agree = on_the_tape((*m)[8]);
    d.within = on_the_tape((*m)[9]);
    out.push_back(std::move(d));
  }
  return out;
}

/// Where two circles meet: with the second centre ahead, the point on the left and the one on the right.
std::array<Point, 2> meet(Point a, double ra, Point b, double rb) {
  const double base = std::abs(b - a);
  const double along = (ra * ra - rb * rb + base * base) / (2 * base);
  const double off = std::sqrt(std::max(0.0, ra * ra - along * along));
  const Point ahead = (b - a) / base;
  return {a + ahead * Point(along, off), a + ahead * Point(along, -off)};
}

/// How far a point lies the way that the words say, for somebody who faces this azimuth.
double that_way(const std::string& words, double facing_deg, Point p) {
  const Point ahead = std::polar(1.0, (90 - facing_deg) * std::acos(-1.0) / 180);
  const Point eyes = p / ahead;  // real: ahead of the viewer; imaginary: on his left
  if (words.find("away from the street") != std::string::npos) return eyes.real();
  if (words.find("street side") != std::string::npos) return -eyes.real();
  if (words.find("on the left") != std::string::npos) return eyes.imag();
  REQUIRE(words.find("on the right") != std::string::npos);
  return -eyes.imag();
}

}  // namespace

TEST_CASE("the excavator's words alone lead two tapes to every dig point of the samples, within the stated radius") {
  for (const std::string name : {"basement-house", "deep-under-maple", "orangeburg-wye", "row-house", "slab-house",
                                 "two-accesses", "whose-is-it", "wrong-hand"}) {
    INFO(name);
    const auto solved = solve_json(samples + name);
    const std::vector<Directions> read =
        read_directions(run_swingtie({"tell", samples + name, "--for", "excavator"}).out);
    const auto& digs = solved.at("dig");
    REQUIRE(read.size() == digs.size());
    for (std::size_t i = 0; i < read.size(); ++i) {
      const Directions& words = read[i];
      // On the lot the things that the words name are seen; here they are where the numbers have them.
      std::array<Point, 3> seen;
      for (std::size_t k = 0; k < 3; ++k) {
        const auto& tie = digs.at(i).at("ties").at(k);
        CHECK(tie.at("says") == words.from[k]);
        seen[k] = {tie.at("e").get<double>(), tie.at("n").get<double>()};
      }
      const auto both = meet(seen[0], words.tapes[0], seen[1], words.tapes[1]);
      const double facing = solved.at("site").at("facing");
      const bool first = that_way(words.side, facing, both[0]) > that_way(words.side, facing, both[1]);
      const Point marked = both[first ? 0 : 1], other = both[first ? 1 : 0];
      const Point meant(digs.at(i).at("e").get<double>(), digs.at(i).at("n").get<double>());
      CHECK(std::abs(marked - meant) <= words.within);
      // The check tape agrees there, and shows it when the other of the two points was taken.
      CHECK(std::abs(std::abs(marked - seen[2]) - words.tapes[2]) <= words.agree);
      CHECK(std::abs(std::abs(other - seen[2]) - words.tapes[2]) > words.agree);
    }
  }
}

TEST_CASE("the sample of doubtful ownership says so plainly to all three readers") {
  for (const std::string reader : {"excavator", "buyer", "city"}) {
    const std::string text = run_swingtie({"tell", samples + "whose-is-it", "--for", reader}).out;
    INFO(reader);
    CHECK_THAT(text, Catch::Contains("cannot be told", Catch::CaseSensitive::No));
    CHECK_THAT(text, Catch::Contains("private with"));
    CHECK_THAT(text, Catch::Contains("public with"));
  }
}

}  // namespace swingtie
