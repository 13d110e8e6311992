#include <catch2/catch.hpp>
#include <cmath>

#include "measure/bearing.hpp"
#include "measure/length.hpp"
#include "simulate/pipe.hpp"

using namespace swingtie;
using namespace swingtie::simulate;

namespace {

TrenchPlan straight(Material material, double length) {
  TrenchPlan plan;
  plan.length = length;
  Pipe pipe;
  pipe.material = material;
  pipe.size = 0.1;
  plan.stretches = {{0, pipe}};
  return plan;
}

}  // namespace

TEST_CASE("joint play makes the heading wander by about one degree per square root of a foot") {
  for (const Material material :
       {Material::cast_iron, Material::clay, Material::pvc, Material::concrete, Material::orangeburg}) {
    const TrenchPlan plan = straight(material, 100 * metres_per_foot);
    double squares = 0;
    const int n = 400;
    for (int i = 0; i < n; ++i) {
      Random random(static_cast<std::uint64_t>(i));
      const TrueLine line = lay(plan, random);
      CHECK(line.length() == Approx(plan.length));
      const Eigen::Vector3d last = line.direction(line.length());
      squares += std::pow(std::atan2(last.x(), last.y()), 2);
    }
    const double per_root_foot = std::sqrt(squares / n / 100) / degree;
    CAPTURE(trade_name(material), per_root_foot);
    CHECK(per_root_foot > 0.45);
    CHECK(per_root_foot < 1.15);
  }
}

TEST_CASE("fittings turn the pipe by their angle and the tolerance of a fitting in play") {
  TrenchPlan plan = straight(Material::cast_iron, 4);
  plan.bends = {{2, Hand::right, 45 * degree}};
  double sum = 0, squares = 0;
  const int n = 2000;
  for (int i = 0; i < n; ++i) {
    Random random(static_cast<std::uint64_t>(i));
    const TrueLine line = lay(plan, random);
    const Eigen::Vector3d before = line.direction(1.999), after = line.direction(2.001);
    const double turn = (std::atan2(after.x(), after.y()) - std::atan2(before.x(), before.y())) / degree;
    sum += turn;
    squares += (turn - 45) * (turn - 45);
  }
  CHECK(sum / n == Approx(45).margin(0.4));
  CHECK(std::sqrt(squares / n) > 2.5);
  CHECK(std::sqrt(squares / n) < 5);
}

TEST_CASE("a drop pipe uses pipe without plan distance and comes back to grade") {
  TrenchPlan plan = straight(Material::pvc, 10);
  plan.bends = {{3, Hand::down, pi / 2}, {5, Hand::up, pi / 2}};
  Random random(1);
  const TrueLine line = lay(plan, random);
  CHECK(line.length() == Approx(10));
  CHECK(line.station(10) == Approx(8).margin(0.3));  // fittings hang a few degrees off the plumb
  CHECK(line.at(3).z() - line.at(5).z() == Approx(2).margin(0.02));
  CHECK(std::abs(line.direction(9).z()) < 0.05);
}

TEST_CASE("turning a line about exchanges left and right but not up and down") {
  TrenchPlan plan = straight(Material::clay, 20);
  plan.bends = {{5, Hand::left, 0.5}, {9, Hand::down, 0.8}, {11, Hand::up, 0.8}};
  Random random(2);
  const TrueLine line = lay(plan, random), other = reversed(line);
  CHECK((other.at(3) - line.at(17)).norm() < 1e-9);
  REQUIRE(other.bends.size() == 3);
  CHECK(other.bends[0].hand == Hand::up);
  CHECK(other.bends[0].distance == Approx(9));
  CHECK(other.bends[2].hand == Hand::right);
  CHECK(other.bends[2].distance == Approx(15));
}
