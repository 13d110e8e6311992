#pragma once

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "measure/length.hpp"
#include "measure/plane.hpp"

namespace swingtie {

/// An invented job whose numbers can be changed as a whole: moved, turned, written in another unit or order, or
/// walked the other way. All in metres and on the site grid.
struct Notes {
  struct LogLine {
    double at = 0;
    std::string what;            ///< `pipe: 4 in clay`, `see: root, act: dig`; empty for a bend
    std::optional<double> bend;  ///< degrees, right positive, as the camera travels
  };
  struct LocateLine {
    double at = 0;
    PlanPoint position;
    double depth = 0;
    bool by_ties = false;  ///< written as tapes from two house corners rather than as coordinates
  };

  LengthUnit unit = LengthUnit::metre;
  std::vector<PlanPoint> house, curb, right_of_way, main;
  PlanPoint tree;
  PlanPoint access;
  std::optional<PlanPoint> end;  ///< where the line is known to end; nothing: somewhere on the main
  double drop = 0;
  double sonde_behind_lens = 0;
  bool upstream = false;
  std::vector<LogLine> log;
  std::vector<LocateLine> locates;
  std::vector<std::size_t> order;  ///< of the features in the file; empty: as here
};

/// A house with a lateral of 21 m: two bends of 45 degrees, a joint to dig, four locates with errors of a few
/// centimetres.
Notes plain_notes();

/// The same with every position carried through a map of the plane.
Notes mapped(Notes notes, const std::function<PlanPoint(PlanPoint)>& map);

/// The text of the job file, numbers to a tenth of a micrometre.
std::string job_text(const Notes& notes);

}  // namespace swingtie
