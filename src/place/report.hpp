#pragma once

#include <algorithm>
#include <string>
#include <utility>
#include <vector>

#include "measure/diagnostic.hpp"

namespace swingtie {

/// Collects what there is to say to the user while a stage works, so that all of it comes in one go.
class Report {
 public:
  void error(Span at, std::string message, std::string expected = {}, std::string hint = {}) {
    diagnostics_.push_back({Severity::error, at, std::move(message), std::move(expected), std::move(hint)});
    failed_ = true;
  }
  void warn(Span at, std::string message, std::string expected = {}, std::string hint = {}) {
    diagnostics_.push_back({Severity::warning, at, std::move(message), std::move(expected), std::move(hint)});
  }
  bool failed() const { return failed_; }

  /// In the order of the file.
  std::vector<Diagnostic> take() {
    std::stable_sort(diagnostics_.begin(), diagnostics_.end(),
                     [](const Diagnostic& a, const Diagnostic& b) { return a.at < b.at; });
    return std::move(diagnostics_);
  }

 private:
  std::vector<Diagnostic> diagnostics_;
  bool failed_ = false;
};

}  // namespace swingtie
