#include "draw/qpdf_module.hpp"

#define POINTERHOLDER_TRANSITION 4
#include <fmt/format.h>

#include <map>
#include <qpdf/Pl_Flate.hh>
#include <qpdf/QPDF.hh>
#include <qpdf/QPDFPageDocumentHelper.hh>
#include <qpdf/QPDFWriter.hh>
#include <stdexcept>

#include "load/module.hpp"

namespace swingtie {
namespace {

/// Replaces Cairo's marks around layers by marks of optional content, and unmarks everything else that was tagged.
/// @param names  resource names of the page's layers in the order drawn
std::string with_layers(const std::string& content, const std::vector<std::string>& names) {
  std::string out;
  out.reserve(content.size());
  std::size_t at = 0, next = 0;
  while (at < content.size()) {
    const std::size_t mark = content.find(" << /MCID ", at);
    if (mark == std::string::npos) break;
    const std::size_t name = content.rfind('/', mark - 1);
    const std::size_t end = content.find("BDC", mark);
    if (name == std::string::npos || name < at || end == std::string::npos) break;
    const std::string tag = content.substr(name + 1, mark - name - 1);
    out.append(content, at, name - at);
    if (tag == pdf_layer_tag && next < names.size()) {
      out += "/OC /" + names[next++] + " BDC";
    } else {
      out += "/" + tag + " BMC";
    }
    at = end + 3;
  }
  out.append(content, at);
  return out;
}

QPDFObjectHandle numbers(const std::vector<double>& values, int decimals) {
  QPDFObjectHandle array = QPDFObjectHandle::newArray();
  for (const double v : values) array.appendItem(QPDFObjectHandle::newReal(v, decimals));
  return array;
}

/// The viewport of a map frame: where its box lies on the Earth.
QPDFObjectHandle viewport(const MapFrame& map, double sheet_height, const std::string& name) {
  constexpr double points = 72 / 25.4;
  std::vector<double> corners;
  for (const MapFrame::Tie& corner : map.corners) {
    corners.push_back(corner.lat_deg);
    corners.push_back(corner.lon_deg);
  }
  QPDFObjectHandle system = QPDFObjectHandle::newDictionary();
  // The corners are WGS 84. They are also coordinates of a grid on a datum that is taken as equal to it; on any other
  // the grid is left out and a reader gets latitude and longitude.
  const bool own_grid = map.wkt.find("NAD83") != std::string::npos || map.wkt.find("NAD_1983") != std::string::npos ||
                        map.wkt.find("North_American_Datum_1983") != std::string::npos ||
                        map.wkt.find("WGS") != std::string::npos || map.wkt.find("ETRS") != std::string::npos ||
                        map.wkt.find("European_Terrestrial") != std::string::npos;
  if (own_grid) {
    system.replaceKey("/Type", QPDFObjectHandle::newName("/PROJCS"));
    system.replaceKey("/WKT", QPDFObjectHandle::newString(map.wkt));
  } else {
    system.replaceKey("/Type", QPDFObjectHandle::newName("/GEOGCS"));
    system.replaceKey("/EPSG", QPDFObjectHandle::newInteger(4326));
  }
  QPDFObjectHandle measure = QPDFObjectHandle::newDictionary();
  measure.replaceKey("/Type", QPDFObjectHandle::newName("/Measure"));
  measure.replaceKey("/Subtype", QPDFObjectHandle::newName("/GEO"));
  measure.replaceKey("/GCS", system);
  measure.replaceKey("/GPTS", numbers(corners, 11));
  measure.replaceKey("/LPTS", numbers({0, 0, 0, 1, 1, 1, 1, 0}, 0));
  measure.replaceKey("/Bounds", numbers({0, 0, 0, 1, 1, 1, 1, 0}, 0));
  QPDFObjectHandle view = QPDFObjectHandle::newDictionary();
  view.replaceKey("/Type", QPDFObjectHandle::newName("/Viewport"));
  view.replaceKey("/Name", QPDFObjectHandle::newUnicodeString(name));
  view.replaceKey("/BBox", numbers({map.box.x * points, (sheet_height - map.box.y - map.box.height) * points,
                                    (map.box.x + map.box.width) * points, (sheet_height - map.box.y) * points},
                                   6));
  view.replaceKey("/Measure", measure);
  return view;
}

std::string finished(const std::string& pdf, const std::vector<Sheet>& sheets) {
  try {
    QPDF document;
    document.processMemoryFile("sheets", pdf.data(), pdf.size());
    QPDFObjectHandle root = document.getRoot();
    // One switch per layer for all pages.
    std::map<std::string, QPDFObjectHandle> groups;
    QPDFObjectHandle all = QPDFObjectHandle::newArray();
    auto pages = QPDFPageDocumentHelper(document).getAllPages();
    for (std::size_t i = 0; i < pages.size() && i < sheets.size(); ++i) {
      const Sheet& sheet = sheets[i];
      QPDFObjectHandle page = pages[i].getObjectHandle();
      QPDFObjectHandle properties = QPDFObjectHandle::newDictionary();
      std::vector<std::string> names;
      for (const Layer& layer : sheet.layers) {
        auto group = groups.find(layer.id);
        if (group == groups.end()) {
          QPDFObjectHandle made = QPDFObjectHandle::newDictionary();
          made.replaceKey("/Type", QPDFObjectHandle::newName("/OCG"));
          made.replaceKey("/Name", QPDFObjectHandle::newUnicodeString(layer.title));
          group = groups.emplace(layer.id, document.makeIndirectObject(made)).first;
          all.appendItem(group->second);
        }
        names.push_back(fmt::format("Layer{}", names.size() + 1));
        properties.replaceKey("/" + names.back(), group->second);
      }
      QPDFObjectHandle contents = page.getKey("/Contents");
      const auto buffer = contents.getStreamData(qpdf_dl_generalized);
      const std::string content(reinterpret_cast<const char*>(buffer->getBuffer()), buffer->getSize());
      contents.replaceStreamData(with_layers(content, names), QPDFObjectHandle::newNull(),
                                 QPDFObjectHandle::newNull());
      QPDFObjectHandle resources = page.getKey("/Resources");
      resources.replaceKey("/Properties", properties);
      page.removeKey("/StructParents");
      QPDFObjectHandle views = QPDFObjectHandle::newArray();
      for (std::size_t k = 0; k < sheet.maps.size(); ++k) {
        if (!sheet.maps[k].georeferenced) continue;
        views.appendItem(viewport(sheet.maps[k], sheet.height, k == 0 ? "Plan" : fmt::format("Inset {}", k)));
      }
      if (views.getArrayNItems() > 0) page.replaceKey("/VP", views);
    }
    QPDFObjectHandle shown = QPDFObjectHandle::newDictionary();
    shown.replaceKey("/Order", all);
    shown.replaceKey("/Name", QPDFObjectHandle::newUnicodeString("Layers"));
    shown.replaceKey("/BaseState", QPDFObjectHandle::newName("/ON"));
    QPDFObjectHandle optional = QPDFObjectHandle::newDictionary();
    optional.replaceKey("/OCGs", all);
    optional.replaceKey("/D", shown);
    root.replaceKey("/OCProperties", optional);
    root.removeKey("/StructTreeRoot");
    root.removeKey("/MarkInfo");
    // The page's content is packed a second time here: less hard makes the file a twentieth larger in half the time.
    [[maybe_unused]] static const bool set = (Pl_Flate::setCompressionLevel(3), true);
    QPDFWriter writer(document);
    writer.setOutputMemory();
    writer.setDeterministicID(true);
    writer.setMinimumPDFVersion("1.7");
    writer.write();
    const auto out = writer.getBufferSharedPointer();
    return {reinterpret_cast<const char*>(out->getBuffer()), out->getSize()};
  } catch (const std::exception& e) {
    throw std::runtime_error(std::string("finishing the PDF: ") + e.what());
  }
}

class Qpdf : public QpdfModule {
 public:
  std::string finish(const std::string& pdf, const std::vector<Sheet>& sheets) const override {
    return finished(pdf, sheets);
  }
};

}  // namespace
}  // namespace swingtie

SWINGTIE_MODULE(swingtie::QpdfModule, swingtie::Qpdf)
