#include "exchange/stake_out.hpp"

#include <fmt/format.h>

#include <cmath>

#include "exchange/frame.hpp"

namespace swingtie {
namespace {

/// A field of RFC 4180: quoted where it must be. A leading sign that a spreadsheet would take for a formula gets an
/// apostrophe.
std::string csv_text(const std::string& text) {
  const std::string safe =
      !text.empty() && std::string_view("=+-@").find(text[0]) != std::string_view::npos ? "'" + text : text;
  if (safe.find_first_of(",\"\r\n") == std::string::npos) return safe;
  std::string all = "\"";
  for (const char c : safe) {
    if (c == '"') all += '"';
    all += c;
  }
  return all + "\"";
}

class StakeOut {
 public:
  StakeOut(const JobFindings& job, std::string& text)
      : job_(job), placed_(*job.placed), findings_(*job.findings), text_(text), unit_(metres_per(placed_.unit)) {}

  void write() {
    for (const DigFinding& dig : findings_.digs) {
      const ItemFinding& item = findings_.items.at(dig.item);
      add("dig point", item.what, plan(dig.position), item.depth, item.depth95, item.ellipse95);
      for (const PlanPoint& corner : dig.window)
        add("dig window corner", item.what, corner, std::nullopt, {}, item.ellipse95);
    }
    for (const Crossing& c : findings_.crossings)
      add("crossing", placed_.features.at(c.feature).label, plan(c.position), c.depth, c.depth95, c.ellipse95);
    for (const Run& run : placed_.runs)
      add("access", run.access_what, run.access.at, std::nullopt, {}, error_ellipse(run.access.covariance, 0.95));
    for (const ItemFinding& item : findings_.items)
      if (item.act != Act::dig) add("item", item.what, plan(item.position), item.depth, item.depth95, item.ellipse95);
    for (const LineFinding& line : findings_.lines)
      for (const StationFinding& s : line.marks)
        add("station",
            fmt::format("{} {}", line.id, format_length(s.station.metres, placed_.unit, LengthStyle::decimal, 1)),
            plan(s.at), s.depth, s.depth95, s.ellipse95);
  }

 private:
  std::string length(double metres) const {
    return std::isfinite(metres) ? fmt::format("{:.2f}", fixed(metres / unit_, 2)) : std::string{};
  }

  void add(std::string_view kind, const std::string& what, PlanPoint at, std::optional<double> depth,
           const Interval& depth95, const ErrorEllipse& ellipse95) {
    const double grid = metres_per_coordinate(placed_);
    std::string lat, lon, on_earth95;
    if (placed_.georeference) {
      const LonLat place = placed_.georeference->to_lon_lat(at);
      lat = fmt::format("{:.8f}", place.lat_deg);
      lon = fmt::format("{:.8f}", place.lon_deg);
      on_earth95 = length(coordinate_accuracy95(placed_, CoordinateKind::lon_lat, at, ellipse95));
    }
    text_ +=
        fmt::format("{},{},{},{},{:.3f},{:.3f},{},{},{},{},{},{},{},{},{},{}\r\n", csv_text(job_.name), ++number_,
                    kind, csv_text(what), fixed(at.n / grid, 3), fixed(at.e / grid, 3),
                    csv_text(placed_.crs.empty() ? "local grid" : placed_.crs), lat, lon, unit_word(placed_.unit),
                    depth ? length(*depth) : "", depth ? length(depth95.low) : "", depth ? length(depth95.high) : "",
                    length(coordinate_accuracy95(placed_, CoordinateKind::grid, at, ellipse95)), on_earth95,
                    length(ellipse95.semi_major));
  }

  const JobFindings& job_;
  const Placed& placed_;
  const Findings& findings_;
  std::string& text_;
  double unit_;
  int number_ = 0;
};

}  // namespace

std::string write_stake_out(std::span<const JobFindings> jobs) {
  std::string text =
      "job,point,kind,what,northing,easting,grid,lat,lon,units,depth,dep_lo95,dep_hi95,acc_h95,geo_h95,rel_h95\r\n";
  for (const JobFindings& job : jobs) StakeOut(job, text).write();
  return text;
}

}  // namespace swingtie
