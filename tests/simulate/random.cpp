#include "simulate/random.hpp"

#include <cmath>

namespace swingtie::simulate {

namespace {

std::uint64_t rotated(std::uint64_t x, int k) {
  return (x << k) | (x >> (64 - k));
}

std::uint64_t splitmix(std::uint64_t& x) {
  std::uint64_t z = (x += 0x9e3779b97f4a7c15ULL);
  z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9ULL;
  z = (z ^ (z >> 27)) * 0x94d049bb133111ebULL;
  return z ^ (z >> 31);
}

}  // namespace

Random::Random(std::uint64_t seed, std::uint64_t stream) {
  std::uint64_t x = seed;
  x = splitmix(x) ^ (stream * 0xd1342543de82ef95ULL);
  for (std::uint64_t& word : state_) word = splitmix(x);
}

std::uint64_t Random::bits() {
  const std::uint64_t result = rotated(state_[0] + state_[3], 23) + state_[0];
  const std::uint64_t shifted = state_[1] << 17;
  state_[2] ^= state_[0];
  state_[3] ^= state_[1];
  state_[1] ^= state_[2];
  state_[0] ^= state_[3];
  state_[2] ^= shifted;
  state_[3] = rotated(state_[3], 45);
  return result;
}

double Random::uniform() {
  return static_cast<double>(bits() >> 11) * 0x1.0p-53;
}

double Random::uniform(double low, double high) {
  return low + (high - low) * uniform();
}

int Random::whole(int low, int high) {
  return low + static_cast<int>(std::floor(uniform() * static_cast<double>(high - low + 1)));
}

double Random::normal() {
  if (has_spare_) {
    has_spare_ = false;
    return spare_;
  }
  for (;;) {
    const double u = uniform(-1, 1), v = uniform(-1, 1);
    const double s = u * u + v * v;
    if (s >= 1 || s == 0) continue;
    const double scale = std::sqrt(-2 * std::log(s) / s);
    spare_ = v * scale;
    has_spare_ = true;
    return u * scale;
  }
}

}  // namespace swingtie::simulate
