#pragma once

#include <string_view>

namespace swingtie {

/// What a feature of the lot is. The job file spells these with hyphens (`right-of-way`).
enum class FeatureKind {
  lot,
  house,
  curb,
  right_of_way,
  centerline,
  driveway,
  walk,
  fence,
  wall,
  tree,
  rock,
  hydrant,
  pole,
  meter,
  valve,
  manhole,
  main,
  water,
  gas,
  electric,
  comms,
  mark
};

/// What is to be done about an item of the log.
enum class Act { none, watch, dig };

/// How completely the bends of a run were written down.
enum class Completeness { all, some, none };

/// How the receiver's operator fixed the point over the camera.
enum class LocateMethod {
  peak,   ///< strongest total signal: good across the pipe, poor along it
  nulls,  ///< midway between the two nulls: good both ways
  line,   ///< on the line only: nothing is said along it
};

/// Which way the camera travelled.
enum class Travel { toward_main, toward_house };

/// Turn of a bend as the camera travels.
enum class Hand { left, right, up, down };

/// Where the counter was set to zero.
enum class CounterZero {
  at_pipe_entry,  ///< the drop is not on the cable
  at_rim,         ///< the drop is on the cable
  stated,         ///< the counter showed a stated reading at the pipe entry
};

/// OSHA soil type of 29 CFR 1926 Subpart P Appendix A; other rule sets map theirs onto it.
enum class Soil { rock, a, b, c };

/// Up to where the line is privately owned.
enum class PrivateUntil { unsaid, right_of_way, lot_line, curb, main, clean_out, station };

/// The hand that is meant where the one written is wrong: left for right, down for up.
Hand opposite(Hand hand);

/// A term as the job file spells it: `right-of-way`, `clean-out`. The reader knows these words, the data files write
/// them. `PrivateUntil::unsaid` is `unsaid`, which no job file says.
std::string_view spelled(FeatureKind kind);
std::string_view spelled(Act act);
std::string_view spelled(LocateMethod method);
std::string_view spelled(Hand hand);
std::string_view spelled(PrivateUntil until);

}  // namespace swingtie
