#pragma once

#include <string>
#include <vector>

#include "sheet/sheet.hpp"

namespace swingtie {

/// The Cairo tag that stands around each layer while drawing.
inline constexpr const char* pdf_layer_tag = "Sect";

/// What the program asks of qpdf, which with the libraries it needs itself costs every run 1.4 ms before main. The
/// one implementation lives in swingtie-qpdf.so. May be used from several threads.
class QpdfModule {
 public:
  static constexpr const char* module_name = "qpdf";
  static constexpr const char* interface_name = "swingtie::QpdfModule 1";
  virtual ~QpdfModule() = default;

  /// Adds to a PDF by Cairo what Cairo cannot write: layers as optional-content groups (ISO 32000-1, 8.11) and
  /// georeferenced viewports (ISO 32000-2, 12.10). The result has a deterministic id.
  /// @throws std::runtime_error
  virtual std::string finish(const std::string& pdf, const std::vector<Sheet>& sheets) const = 0;
};

}  // namespace swingtie
