#include <catch2/catch.hpp>

#include <cmath>

#include "sheet/paper_geometry.hpp"

using namespace swingtie;

TEST_CASE("a line is cut at the box and comes back in") {
  const auto pieces = clip_line({{-5, 5}, {5, 5}, {5, 20}, {8, 20}, {8, 5}}, {0, 0, 10, 10});
  REQUIRE(pieces.size() == 2);
  CHECK(pieces[0].front().x == Approx(0));
  CHECK(pieces[0].back().y == Approx(10));
  CHECK(pieces[1].front().y == Approx(10));
}

TEST_CASE("a ring is cut to the box with the area they share") {
  const Polyline square = {{5, 5}, {15, 5}, {15, 15}, {5, 15}};
  CHECK(std::abs(signed_area(clip_ring(square, {0, 0, 10, 10}))) == Approx(25));
  CHECK(clip_ring(square, {20, 20, 5, 5}).size() < 3);
}

TEST_CASE("hatching fills an area and leaves its hole free") {
  // Lines 1 mm apart in 10 x 10 mm with a hole of 4 x 4 mm: total length is the area.
  double total = 0;
  for (const auto& [a, b] :
       hatch({{{0, 0.5}, {10, 0.5}, {10, 10.5}, {0, 10.5}}, {{3, 3.5}, {7, 3.5}, {7, 7.5}, {3, 7.5}}}, 1, 0))
    total += distance(a, b);
  CHECK(total == Approx(100 - 16));
}

TEST_CASE("turned boxes overlap by the area that clipping gives") {
  const TurnedBox a{{0, 0}, 2, 1, 0};
  CHECK(overlap_area(a, {{3, 0}, 2, 1, 0}) == Approx(2));
  CHECK(overlap_area(a, {{5, 0}, 2, 1, 0}) == 0);
  // A square of side 2 turned by 45 degrees over a wide bar of height 2: the diamond loses two corners of 0.414
  // height.
  const TurnedBox diamond{{0, 0}, 1, 1, std::acos(-1) / 4};
  const double corner = (std::sqrt(2) - 1) * (std::sqrt(2) - 1);
  CHECK(overlap_area({{0, 0}, 10, 1, 0}, diamond) == Approx(4 - 2 * corner));
  CHECK(overlap(a, diamond));
  CHECK(!overlap(TurnedBox{{0, 2.5}, 10, 1, 0}, diamond));
}

TEST_CASE("a line moved sideways keeps its distance") {
  const Polyline corner = {{0, 0}, {10, 0}, {10, 10}};
  for (const PaperPoint p : offset_line(corner, 1))
    CHECK(distance_to_line(p, corner) == Approx(p.x > 10.5 && p.y < -0.5 ? std::sqrt(2) : 1));
}

TEST_CASE("places along a line are at their distance") {
  const Polyline corner = {{0, 0}, {10, 0}, {10, 10}};
  CHECK(along(corner, 15).at.y == Approx(5));
  CHECK(along(corner, 99).at.y == Approx(10));
  CHECK(length(part(corner, 4, 13)) == Approx(9));
}
