#pragma once

#include <cstddef>
#include <vector>

#include "route/model.hpp"
#include "route/posterior.hpp"

namespace swingtie {

/// One mistake at one place: the smallest piece of an explanation.
struct Atom {
  MistakeKind kind = MistakeKind::unlogged_bend;
  std::size_t index = 0;  ///< unlogged bend: line; wrong locate, misread counter: Model::locates; wrong hand:
                          ///< Model::bends; counter zero: run
  double at = 0;          ///< unlogged bend: pipe coordinate; counter zero: readings beyond it are off
  double log_odds = 0;    ///< log prior odds of this against its absence

  bool operator==(const Atom& other) const { return kind == other.kind && index == other.index && at == other.at; }
};

}  // namespace swingtie
