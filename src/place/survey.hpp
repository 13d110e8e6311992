#pragma once

#include <optional>

#include "job/job.hpp"

namespace swingtie {

/// What kinds of positions a job holds, found before any is worked out.
struct PositionSurvey {
  std::optional<PlanPoint> sample;  ///< the southernmost coordinates written, metres of the site's unit
  std::optional<Span> first_lon_lat;
};
PositionSurvey survey_positions(const Job& job);

}  // namespace swingtie
