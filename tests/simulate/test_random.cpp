#include <catch2/catch.hpp>
#include <cmath>
#include <vector>

#include "simulate/random.hpp"

using swingtie::simulate::Random;

TEST_CASE("the generator gives the same numbers on every machine") {
  // Values of this implementation, kept so that a change of generator, which would change every fixture, is noticed.
  Random random(42);
  CHECK(random.bits() == 0xab4c4adfbb450230);
  CHECK(random.bits() == 0x16c758048460b512);
  Random other(42, 7);
  CHECK(other.normal() == Approx(0.54664449945625626).epsilon(1e-14));
  CHECK(other.normal() == Approx(0.14999165979161558).epsilon(1e-14));
  CHECK(Random(43).bits() != Random(42).bits());
}

// Moments of the standard normal: 0, 1, 0, 3; margins are four standard errors of 200,000 numbers.
TEST_CASE("normal variates have the moments of a standard normal") {
  Random random(7);
  const int n = 200000;
  double sum1 = 0, sum2 = 0, sum3 = 0, sum4 = 0;
  for (int i = 0; i < n; ++i) {
    const double x = random.normal();
    sum1 += x;
    sum2 += x * x;
    sum3 += x * x * x;
    sum4 += x * x * x * x;
  }
  CHECK(sum1 / n == Approx(0).margin(4 * std::sqrt(1.0 / n)));
  CHECK(sum2 / n == Approx(1).margin(4 * std::sqrt(2.0 / n)));
  CHECK(sum3 / n == Approx(0).margin(4 * std::sqrt(15.0 / n)));
  CHECK(sum4 / n == Approx(3).margin(4 * std::sqrt(96.0 / n)));
}

TEST_CASE("whole numbers reach both ends of their range evenly") {
  Random random(3);
  std::vector<int> count(6, 0);
  for (int i = 0; i < 60000; ++i) ++count[static_cast<std::size_t>(random.whole(0, 5))];
  for (const int c : count) CHECK(c == Approx(10000).margin(4 * std::sqrt(10000.0 * 5 / 6)));
}
