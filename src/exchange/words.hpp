#pragma once

#include <string>
#include <string_view>

#include "job/terms.hpp"
#include "measure/length.hpp"
#include "place/placed.hpp"
#include "route/posterior.hpp"

namespace swingtie {

/// The words of the data files for what the answer says of itself; the job's own terms are `spelled`.
std::string_view word(Knowledge knowledge);
std::string_view word(Verdict::Kind kind);

}  // namespace swingtie
