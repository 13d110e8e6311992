#pragma once

#include <array>
#include <bit>
#include <cmath>
#include <cstdint>

namespace swingtie {

/// Random numbers that are the same on every platform, which std::normal_distribution does not promise.
/// Generator: xoshiro256++ 1.0 (Blackman and Vigna 2019), seeded by splitmix64. Normals: Marsaglia's polar method.
class Random {
 public:
  explicit Random(std::uint64_t seed) {
    for (std::uint64_t& word : state_) {
      seed += 0x9e3779b97f4a7c15;
      std::uint64_t z = seed;
      z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9;
      z = (z ^ (z >> 27)) * 0x94d049bb133111eb;
      word = z ^ (z >> 31);
    }
  }

  std::uint64_t bits() {
    const std::uint64_t result = std::rotl(state_[0] + state_[3], 23) + state_[0];
    const std::uint64_t t = state_[1] << 17;
    state_[2] ^= state_[0];
    state_[3] ^= state_[1];
    state_[1] ^= state_[2];
    state_[0] ^= state_[3];
    state_[2] ^= t;
    state_[3] = std::rotl(state_[3], 45);
    return result;
  }

  /// In [0, 1).
  double uniform() { return static_cast<double>(bits() >> 11) * 0x1.0p-53; }

  double normal() {
    if (has_spare_) {
      has_spare_ = false;
      return spare_;
    }
    double a, b, square;
    do {
      a = 2 * uniform() - 1;
      b = 2 * uniform() - 1;
      square = a * a + b * b;
    } while (square >= 1 || square == 0);
    const double factor = std::sqrt(-2 * std::log(square) / square);
    spare_ = b * factor;
    has_spare_ = true;
    return a * factor;
  }

 private:
  std::array<std::uint64_t, 4> state_{};
  double spare_ = 0;
  bool has_spare_ = false;
};

}  // namespace swingtie
