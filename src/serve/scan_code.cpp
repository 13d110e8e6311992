#include "serve/scan_code.hpp"

#include <qrencode.h>

#include <memory>

namespace swingtie {

std::string scan_code(const std::string& text) {
  const std::unique_ptr<QRcode, void (*)(QRcode*)> code(
      QRcode_encodeData(static_cast<int>(text.size()), reinterpret_cast<const unsigned char*>(text.data()), 0,
                        QR_ECLEVEL_L),
      QRcode_free);
  if (!code) return {};
  constexpr int quiet = 4;
  const int width = code->width;
  const auto dark = [&](int x, int y) {
    return x >= 0 && y >= 0 && x < width && y < width && (code->data[y * width + x] & 1) != 0;
  };
  std::string out;
  for (int y = -quiet; y < width + quiet; y += 2) {
    out += "\x1b[30;107m";
    for (int x = -quiet; x < width + quiet; ++x) {
      const bool upper = dark(x, y), lower = dark(x, y + 1);
      out += upper && lower ? "█" : upper ? "▀" : lower ? "▄" : " ";
    }
    out += "\x1b[0m\n";
  }
  return out;
}

}  // namespace swingtie
