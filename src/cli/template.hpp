#pragma once

#include <string_view>

namespace swingtie {

/// The job that `swingtie new` writes: a small invented lot that draws at once, every line explained.
extern const std::string_view job_template;

}  // namespace swingtie
