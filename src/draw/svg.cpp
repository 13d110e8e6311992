#include <fmt/format.h>

#include <cmath>
#include <map>
#include <set>

#include "draw/draw.hpp"
#include "draw/markup.hpp"

namespace swingtie {

std::string escaped(std::string_view text) {
  std::string out;
  out.reserve(text.size());
  for (const char c : text) {
    switch (c) {
      case '&':
        out += "&amp;";
        break;
      case '<':
        out += "&lt;";
        break;
      case '>':
        out += "&gt;";
        break;
      case '"':
        out += "&quot;";
        break;
      default:
        // XML 1.0 knows no other control characters.
        if (static_cast<unsigned char>(c) >= 0x20 || c == '\t' || c == '\n') out += c;
    }
  }
  return out;
}

std::string base64(std::string_view bytes) {
  static constexpr char digits[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
  std::string out;
  out.reserve((bytes.size() + 2) / 3 * 4);
  for (std::size_t i = 0; i < bytes.size(); i += 3) {
    const auto byte = [&](std::size_t k) {
      return i + k < bytes.size() ? static_cast<unsigned>(static_cast<unsigned char>(bytes[i + k])) : 0u;
    };
    const unsigned word = byte(0) << 16 | byte(1) << 8 | byte(2);
    out += digits[word >> 18];
    out += digits[word >> 12 & 63];
    out += i + 1 < bytes.size() ? digits[word >> 6 & 63] : '=';
    out += i + 2 < bytes.size() ? digits[word & 63] : '=';
  }
  return out;
}

namespace {

/// Thousandths of a millimetre, without trailing zeros or a negative zero.
void number(std::string& out, double v) {
  long long thousandths = std::llround(v * 1000);
  if (thousandths < 0) {
    out += '-';
    thousandths = -thousandths;
  }
  fmt::format_to(std::back_inserter(out), "{}", thousandths / 1000);
  if (const int rest = static_cast<int>(thousandths % 1000)) {
    std::string digits = fmt::format("{:03}", rest);
    while (digits.back() == '0') digits.pop_back();
    out += '.';
    out += digits;
  }
}

std::string number(double v) {
  std::string out;
  number(out, v);
  return out;
}

std::string hex(Colour c) {
  return fmt::format("#{:02x}{:02x}{:02x}", c.red, c.green, c.blue);
}

class SvgWriter {
 public:
  SvgWriter(const Sheet& sheet, std::string prefix) : sheet_(sheet), prefix_(std::move(prefix)) { gather_classes(); }

  std::string write() {
    out_ += fmt::format(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{0}mm\" height=\"{1}mm\" viewBox=\"0 0 {0} {1}\" "
        "role=\"graphics-document document\" aria-labelledby=\"{2}sheet-title\">\n",
        number(sheet_.width), number(sheet_.height), prefix_);
    out_ += fmt::format("<title id=\"{}sheet-title\">", prefix_) + escaped(sheet_.title) + "</title>\n";
    if (!sheet_.subject.empty()) out_ += "<desc>" + escaped(sheet_.subject) + "</desc>\n";
    write_styles();
    out_ += fmt::format("<rect width=\"{}\" height=\"{}\" fill=\"#fff\"/>\n", number(sheet_.width),
                        number(sheet_.height));
    for (const Layer& layer : sheet_.layers) {
      out_ += fmt::format("<g id=\"{}layer-{}\" class=\"layer\" data-title=\"{}\">\n", prefix_, escaped(layer.id),
                          escaped(layer.title));
      for (const Object& object : layer.objects) write_object(object);
      out_ += "</g>\n";
    }
    out_ += "</svg>\n";
    return std::move(out_);
  }

 private:
  /// Equal pens, fills and fonts share a class, which makes the file a third smaller.
  static std::string look_of(const Path& path) {
    std::string css;
    if (path.fill) {
      css += "fill:" + hex(path.fill->colour) + ";fill-rule:evenodd";
      if (path.fill->opacity < 1) css += ";fill-opacity:" + number(path.fill->opacity);
    } else {
      css += "fill:none";
    }
    if (path.pen) {
      css += ";stroke:" + hex(path.pen->colour) + ";stroke-width:" + number(path.pen->width);
      if (!path.pen->dash.empty()) {
        css += ";stroke-dasharray:";
        for (std::size_t i = 0; i < path.pen->dash.size(); ++i) {
          if (i > 0) css += ' ';
          number(css, path.pen->dash[i]);
        }
      }
      if (path.pen->round) css += ";stroke-linecap:round;stroke-linejoin:round";
    }
    return css;
  }

  std::string look_of(const Text& text) const {
    const Font& font = sheet_.fonts.at(text.runs.empty() ? 0 : text.runs.front().font);
    std::string css = "font-family:'" + font.family + "'";
    css += font.family.starts_with("Routed") ? ",'DIN Alternate','Barlow',sans-serif"
                                             : ",'DejaVu Sans','Verdana',sans-serif";
    css += ";font-size:" + number(text.size) + "px;fill:" + hex(text.colour);
    if (font.bold) css += ";font-weight:bold";
    if (font.italic) css += ";font-style:italic";
    return css;
  }

  void gather_classes() {
    for (const Layer& layer : sheet_.layers) {
      for (const Object& object : layer.objects) {
        for (const Mark& mark : object.marks) {
          std::string look;
          if (const auto* path = std::get_if<Path>(&mark)) look = look_of(*path);
          if (const auto* text = std::get_if<Text>(&mark); text && !text->string.empty()) look = look_of(*text);
          if (!look.empty()) classes_.emplace(std::move(look), classes_.size());
        }
      }
    }
  }

  void write_styles() {
    std::map<std::size_t, const std::string*> by_number;
    for (const auto& [look, n] : classes_) by_number[n] = &look;
    out_ += "<style>\ntext{white-space:pre}\n";
    for (const auto& [n, look] : by_number) out_ += fmt::format(".{}s{}{{{}}}\n", prefix_, n, *look);
    out_ += "</style>\n";
  }

  void write_object(const Object& object) {
    if (!object.link.empty())
      out_ +=
          fmt::format("<a href=\"{}\">", object.link.starts_with('#') ? "#" + prefix_ + escaped(object.link.substr(1))
                                                                      : escaped(object.link));
    out_ += fmt::format("<g id=\"{}{}\" class=\"{}\">", prefix_, escaped(object.id), escaped(object.kind));
    if (!object.title.empty()) out_ += "<title>" + escaped(object.title) + "</title>";
    for (const Mark& mark : object.marks) {
      std::visit([this](const auto& m) { write(m); }, mark);
    }
    out_ += object.link.empty() ? "</g>\n" : "</g></a>\n";
  }

  void write(const Path& path) {
    out_ += fmt::format("<path class=\"{}s{}\" d=\"", prefix_, classes_.at(look_of(path)));
    const PaperPoint* p = path.points.data();
    const auto point = [&] {
      number(out_, p->x);
      out_ += ' ';
      number(out_, p->y);
      ++p;
    };
    for (const Path::Verb verb : path.verbs) {
      switch (verb) {
        case Path::Verb::move:
          out_ += 'M';
          point();
          break;
        case Path::Verb::line:
          out_ += 'L';
          point();
          break;
        case Path::Verb::cubic:
          out_ += 'C';
          point();
          out_ += ' ';
          point();
          out_ += ' ';
          point();
          break;
        case Path::Verb::close:
          out_ += 'Z';
          break;
      }
    }
    out_ += "\"/>";
  }

  void write(const Text& text) {
    if (text.string.empty()) return;
    out_ += fmt::format("<text class=\"{}s{}\"", prefix_, classes_.at(look_of(text)));
    if (text.rotation == 0) {
      out_ += fmt::format(" x=\"{}\" y=\"{}\"", number(text.at.x), number(text.at.y));
    } else {
      out_ += fmt::format(" transform=\"translate({} {}) rotate({})\"", number(text.at.x), number(text.at.y),
                          number(text.rotation * 180 / 3.14159265358979323846));
    }
    // The layout was made for this width: another font is squeezed into it rather than run into its neighbour.
    out_ += fmt::format(" textLength=\"{}\" lengthAdjust=\"spacingAndGlyphs\">{}</text>", number(text.width),
                        escaped(text.string));
  }

  void write(const Image& image) {
    out_ += fmt::format("<image x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" href=\"data:image/{};base64,",
                        number(image.box.x), number(image.box.y), number(image.box.width), number(image.box.height),
                        image.format == Image::Format::jpeg ? "jpeg" : "png");
    out_ += base64(*image.bytes);
    out_ += "\"/>";
  }

  const Sheet& sheet_;
  std::string prefix_;
  std::map<std::string, std::size_t> classes_;
  std::string out_;
};

}  // namespace

std::string write_svg(const Sheet& sheet) {
  return "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n" + SvgWriter(sheet, "").write();
}

std::string svg_element(const Sheet& sheet, const std::string& prefix) {
  return SvgWriter(sheet, prefix).write();
}

}  // namespace swingtie
