#pragma once

#include <vector>

#include "findings/findings.hpp"
#include "findings/sampling.hpp"

namespace swingtie {

/// What the line is made of, house to main, as the logs of all its runs say; a stretch that no log covers carries an
/// empty Pipe. Stretches touch and begin at 0.
/// @param draw  index of a draw: the stations are those of that draw
std::vector<PipeStretch> pipes_of(const Sampling& sampling, std::size_t line, std::size_t draw);

/// The same at the mean stations of the transitions.
std::vector<PipeStretch> mean_pipes(const Sampling& sampling, std::size_t line);

/// The pipe at an item of a log: the last one written at or before it, the first of the log before any.
Pipe pipe_at(const Run& run, CounterReading at);

/// Outside and inside diameter, metres; `assumed` when the log gives no size and 4 in was taken.
struct Diameters {
  double inside = 0, outside = 0;
  bool assumed = false;
};
Diameters diameters(const Pipe& pipe);

}  // namespace swingtie
