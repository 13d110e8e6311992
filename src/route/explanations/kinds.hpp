#pragma once

#include <cmath>

#include "route/explanations/explanations.hpp"

namespace swingtie {

const ExplanationKind& unlogged_bend();
const ExplanationKind& wrong_locate();
const ExplanationKind& misread_counter();
const ExplanationKind& wrong_hand();
const ExplanationKind& counter_zero();

inline double log_odds(double probability) {
  return std::log(probability / (1 - probability));
}

}  // namespace swingtie
