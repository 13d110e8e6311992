#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "job/terms.hpp"
#include "measure/length.hpp"

namespace swingtie::simulate {

/// How the runs of a lateral were made.
enum class Course {
  downstream,  ///< one run, house to main
  upstream,    ///< one run from a street-side clean-out to the house
  meeting,     ///< two runs from both ends over one line
  branching,   ///< a second line that joins the first at a wye, each with a run
};

/// A kind of lateral and of the mistakes made on it. Lengths in metres, shares and chances 0..1.
struct Scenario {
  std::string name;  ///< as given to --scenario
  std::string says;  ///< for the table
  Course course = Course::downstream;
  double shortest = 40 * metres_per_foot, longest = 110 * metres_per_foot;
  int fewest_bends = 0, most_bends = 4;
  std::vector<double> angles_deg = {22.5, 45, 45, 60, 90};
  bool around_house = false;  ///< two square bends of one hand, 90 to 140 ft
  bool long_drop = false;     ///< counter zeroed at the rim of a deep clean-out, and often a drop pipe further on
  double shallowest = 3 * metres_per_foot, deepest = 8 * metres_per_foot;  ///< of the axis at the access
  int locates = 4;                        ///< of each run that has the line to itself
  double within = 0.7 * metres_per_foot;  ///< stated 95 % radius of a locate's position, the receiver not included
  bool stated = false;      ///< the receiver is left out: an error of `within` in all, stated for the whole locate
  double shared_shift = 0;  ///< share of the position error's variance common to all locates of a job
  Completeness bends = Completeness::all;
  double angle_given = 0.85;  ///< chance that a written bend has its angle, not only its hand
  double drop_pipe = 0.12;    ///< chance of a steep piece between two vertical bends
  double bends_logged = 1;    ///< chance that a bend was written down
  double blunder = 0;         ///< chance that a locate is wrong by 5 to 12 ft
  double wrong_hand = 0;      ///< chance that a left or right is written as its opposite
  double misread = 0;         ///< chance that a locate carries a misread counter
  double one_misread = 0;     ///< chance that exactly one locate of the lateral does
  double not_zeroed = 0;      ///< chance that a run's counter was not zeroed
};

/// All scenarios, in the order of the table.
const std::vector<Scenario>& scenarios();
/// Null when there is none of that name.
const Scenario* find_scenario(std::string_view name);

}  // namespace swingtie::simulate
