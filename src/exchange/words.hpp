#pragma once

#include <string>
#include <string_view>

#include "job/terms.hpp"
#include "measure/length.hpp"
#include "place/placed.hpp"
#include "route/posterior.hpp"

namespace swingtie {

/// The words that outputs have for the terms of the job: the same ones the job file is written in.
std::string_view word(FeatureKind kind);
std::string_view word(Act act);
std::string_view word(LocateMethod method);
std::string_view word(Knowledge knowledge);
std::string_view word(Verdict::Kind kind);
std::string_view word(PrivateUntil until);

}  // namespace swingtie
