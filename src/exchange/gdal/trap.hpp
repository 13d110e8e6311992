#pragma once

#include <cpl_error.h>

#include <stdexcept>
#include <string>

namespace swingtie {

/// While it lives, what GDAL would print is kept, and `check` turns a failure into an exception that says why.
class ErrorTrap {
 public:
  ErrorTrap() { CPLPushErrorHandlerEx(&ErrorTrap::keep, this); }
  ErrorTrap(const ErrorTrap&) = delete;
  ErrorTrap& operator=(const ErrorTrap&) = delete;
  ~ErrorTrap() { CPLPopErrorHandler(); }

  /// @param doing  `create the layer route`
  void check(bool went_well, const std::string& doing) const {
    if (!went_well) throw std::runtime_error("could not " + doing + (reason_.empty() ? "" : ": " + reason_));
  }
  bool failed() const { return !reason_.empty(); }
  const std::string& reason() const { return reason_; }

 private:
  static void CPL_STDCALL keep(CPLErr severity, CPLErrorNum, const char* message) {
    auto* trap = static_cast<ErrorTrap*>(CPLGetErrorHandlerUserData());
    if (severity >= CE_Failure && trap->reason_.empty()) trap->reason_ = message;
  }
  std::string reason_;
};

}  // namespace swingtie
