#pragma once

#include <cstdint>
#include <vector>

namespace swingtie::simulate {

/// A small seeded generator whose numbers are the same with every compiler and standard library.
///
/// Source: D. Blackman and S. Vigna, "Scrambled linear pseudorandom number generators", ACM Trans. Math. Softw. 47
/// (2021): xoshiro256++, its state filled by splitmix64. Normal variates by Marsaglia's polar method (SIAM Review 6,
/// 1964), because std::normal_distribution differs between library implementations.
class Random {
 public:
  /// @param stream  independent sequences of one seed, so that a change in one part of a lateral leaves the rest
  /// alone
  explicit Random(std::uint64_t seed, std::uint64_t stream = 0);

  std::uint64_t bits();
  double uniform();                         ///< in [0, 1)
  double uniform(double low, double high);  ///< in [low, high)
  double normal();                          ///< mean 0, standard deviation 1
  double normal(double mean, double sigma) { return mean + sigma * normal(); }
  bool chance(double probability) { return uniform() < probability; }
  int whole(int low, int high);  ///< in [low, high], both included
  template <class T>
  const T& one_of(const std::vector<T>& choices) {
    return choices[static_cast<std::size_t>(whole(0, static_cast<int>(choices.size()) - 1))];
  }

 private:
  std::uint64_t state_[4];
  double spare_ = 0;
  bool has_spare_ = false;
};

}  // namespace swingtie::simulate
