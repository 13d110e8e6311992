#include <catch2/catch.hpp>
#include <numbers>

#include "sheet/labels.hpp"

using namespace swingtie;

namespace {

Label point_label(PaperPoint at, double width, int priority = 1) {
  Label label;
  label.id = "label";
  label.anchor = at;
  label.priority = priority;
  label.forms = {{{}, width, 3}};
  return label;
}

}  // namespace

TEST_CASE("a lone label stands right of its point without a leader") {
  const auto placed = place_labels({point_label({50, 50}, 20)}, {}, {0, 0, 100, 100});
  REQUIRE(placed.size() == 1);
  CHECK(placed[0].box.centre.x > 60);
  CHECK(!placed[0].leader);
}

TEST_CASE("labels of one crowded place are led away and do not touch") {
  std::vector<Label> labels;
  for (int i = 0; i < 9; ++i) labels.push_back(point_label({44 + 1.4 * i, 50}, 22));
  const auto placed = place_labels(labels, {}, {0, 0, 120, 100});
  CHECK(placed.size() == 9);
  for (std::size_t i = 0; i < placed.size(); ++i) {
    for (std::size_t j = i + 1; j < placed.size(); ++j) {
      CHECK(overlap_area(placed[i].box, placed[j].box) == 0);
      if (placed[i].leader && placed[j].leader) {
        CHECK(!segments_cross((*placed[i].leader)[0], (*placed[i].leader)[1], (*placed[j].leader)[0],
                              (*placed[j].leader)[1]));
      }
    }
  }
}

TEST_CASE("where not all fit the important ones stay") {
  std::vector<Label> labels;
  for (int i = 0; i < 10; ++i) labels.push_back(point_label({15, 8}, 18, i == 7 ? 9 : 1));
  const auto placed = place_labels(labels, {}, {0, 0, 30, 16});
  CHECK(placed.size() < 10);
  bool kept = false;
  for (const auto& p : placed) kept = kept || p.label == 7;
  CHECK(kept);
}

TEST_CASE("a label keeps off what it must never cover") {
  Obstacles obstacles;
  obstacles.add_line({{0, 50}, {100, 50}}, 0.5, Obstacles::never);
  obstacles.add_box(turned_box({52, 40, 40, 9}), Obstacles::never);
  const auto placed = place_labels({point_label({50, 48}, 20)}, obstacles, {0, 0, 100, 100});
  REQUIRE(placed.size() == 1);
  CHECK(!overlap(placed[0].box, {0, 50}, {100, 50}));
  CHECK(overlap_area(placed[0].box, turned_box({52, 40, 40, 9})) == 0);
}

TEST_CASE("a shorter wording is taken where the long one has no place") {
  Label label;
  label.id = "line";
  label.where = Label::Where::along_line;
  label.line = {{10, 20}, {40, 20}};
  label.forms = {{{}, 60, 3}, {{}, 12, 3}};
  const auto placed = place_labels({label}, {}, {0, 0, 100, 40});
  REQUIRE(placed.size() == 1);
  CHECK(placed[0].form == 1);
}

TEST_CASE("the name of a narrow area is turned along it, to be read from the right-hand side") {
  Label label;
  label.id = "driveway";
  label.where = Label::Where::in_area;
  label.forms = {{{}, 18, 3}};
  label.line = {{20, 10}, {30, 10}, {30, 90}, {20, 90}};
  auto placed = place_labels({label}, {}, {0, 0, 100, 100});
  REQUIRE(placed.size() == 1);
  CHECK(placed[0].box.rotation == Approx(-std::numbers::pi / 2));
  for (const PaperPoint corner : placed[0].box.corners()) CHECK(inside(corner, label.line));
  // Where it is wide enough, upright.
  label.line = {{20, 10}, {50, 10}, {50, 90}, {20, 90}};
  placed = place_labels({label}, {}, {0, 0, 100, 100});
  REQUIRE(placed.size() == 1);
  CHECK(placed[0].box.rotation == 0);
}

TEST_CASE("a length without room along its short line stands aside with a leader, in its last wording") {
  Label label;
  label.id = "tape";
  label.where = Label::Where::along_line;
  label.line = {{50, 50}, {54, 50}};
  label.forms = {{{}, 8, 3}, {{}, 14, 3}};
  CHECK(place_labels({label}, {}, {0, 0, 100, 100}).empty());
  label.led_aside = true;
  label.reach = 20;
  const auto placed = place_labels({label}, {}, {0, 0, 100, 100});
  REQUIRE(placed.size() == 1);
  CHECK(placed[0].form == 1);
  REQUIRE(placed[0].leader);
  CHECK(distance_to_line((*placed[0].leader)[1], label.line) < 1e-6);
}

TEST_CASE("the same labels get the same places") {
  std::vector<Label> labels;
  for (int i = 0; i < 30; ++i) labels.push_back(point_label({20.0 + 2 * i, 30.0 + (i * 7) % 11}, 15));
  const auto a = place_labels(labels, {}, {0, 0, 120, 80}), b = place_labels(labels, {}, {0, 0, 120, 80});
  REQUIRE(a.size() == b.size());
  for (std::size_t i = 0; i < a.size(); ++i) CHECK(a[i].box.centre.x == b[i].box.centre.x);
}
