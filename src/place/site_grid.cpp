#include "place/site_grid.hpp"

#include <cmath>

#include <fmt/format.h>

#include "load/module.hpp"
#include "place/local_grid.hpp"
#include "place/proj_module.hpp"
#include "place/standard_errors.hpp"

namespace swingtie {
namespace {

/// A grid whose distances differ from those on the ground by more than this draws a plan that a tape contradicts:
/// 1 in 500 is 0.2 ft in 100. State-plane zones and UTM stay within 1 in 1,000.
constexpr double scale_allowed = 1.0 / 500;
/// A datum operation coarser than this at 95 % is worth a word, metres.
constexpr double coarse_operation = 1.0;

std::string_view unit_key(LengthUnit unit) {
  switch (unit) {
    case LengthUnit::foot:
      return "ft";
    case LengthUnit::us_survey_foot:
      return "us-ft";
    case LengthUnit::metre:
      break;
  }
  return "m";
}

std::optional<LengthUnit> unit_of(double metres_per_unit) {
  for (const LengthUnit unit : {LengthUnit::foot, LengthUnit::us_survey_foot, LengthUnit::metre}) {
    if (std::abs(metres_per_unit / metres_per(unit) - 1) < 1e-7) return unit;
  }
  return std::nullopt;
}

std::string_view unit_words(LengthUnit unit) {
  switch (unit) {
    case LengthUnit::foot:
      return "feet";
    case LengthUnit::us_survey_foot:
      return "US survey feet";
    case LengthUnit::metre:
      break;
  }
  return "metres";
}

std::string utm_advice(std::optional<double> lon_deg, std::optional<double> lat_deg) {
  if (!lon_deg || !lat_deg || std::abs(*lon_deg) > 180 || std::abs(*lat_deg) > 84) {
    return "the UTM zone of the place (EPSG:326 and the zone's number, in metres) or your state's plane grid in feet "
           "will do";
  }
  const int zone = std::min(static_cast<int>(std::floor((*lon_deg + 180) / 6)) + 1, 60);
  const bool has_state_planes = *lon_deg < -60 && *lat_deg > 17;
  return fmt::format("EPSG:{}{:02} (UTM zone {}, in metres){} will do", *lat_deg < 0 ? 327 : 326, zone, zone,
                     has_state_planes ? " or your state's plane grid in feet" : "");
}

std::optional<SiteGrid> grid_of_crs(const SiteEntry& site, const std::optional<PlanPoint>& sample, Report& report) {
  const Written<std::string>& crs = *site.crs;
  const auto& proj = open_module<ProjModule>();
  const ProjModule::Opened opened = proj.open(crs.value);
  if (!opened.facts) {
    report.error(crs.at, fmt::format("`{}` is no coordinate reference system that is known here", crs.value),
                 "an EPSG code as `EPSG:2260`, an OGC WKT, or a PROJ string",
                 "leave `crs:` out to work on a grid of your own");
    return std::nullopt;
  }
  const CrsFacts& facts = *opened.facts;
  const double unit = metres_per(site.units);
  if (facts.kind == CrsFacts::Kind::geographic) {
    // With a geographic CRS the coordinates were degrees, longitude first as everywhere here; or latitude first.
    std::optional<double> lon, lat;
    if (sample) {
      lon = sample->e / unit;
      lat = sample->n / unit;
    }
    report.error(crs.at,
                 fmt::format("`{}` ({}) counts in degrees; a site is measured on a plane", crs.value, facts.name),
                 "a projected CRS", utm_advice(lon, lat) + "; positions may still be given by `lat` and `lon`");
    return std::nullopt;
  }
  if (facts.kind != CrsFacts::Kind::projected || !facts.east_and_north) {
    report.error(crs.at,
                 fmt::format("`{}` ({}) has no axes that run east and north on a plane", crs.value, facts.name),
                 "a projected CRS");
    return std::nullopt;
  }
  if (facts.web_mercator) {
    std::optional<double> lon, lat;
    if (sample && opened.own_datum) {
      const LonLat at = opened.own_datum->to_lon_lat(*sample);
      lon = at.lon_deg;
      lat = at.lat_deg;
    }
    report.error(crs.at,
                 fmt::format("`{}` ({}) is made for web maps: its metres shrink with the latitude, a tape's do not",
                             crs.value, facts.name),
                 "a CRS for surveying", utm_advice(lon, lat));
    return std::nullopt;
  }
  SiteGrid grid;
  grid.unit = site.units;
  grid.georeference = opened.reference;
  const auto crs_unit = unit_of(facts.metres_per_unit);
  if (!crs_unit || (*crs_unit != site.units && (*crs_unit == LengthUnit::metre || site.units == LengthUnit::metre))) {
    report.error(crs.at,
                 fmt::format("the site is written in {} and the axes of `{}` ({}) are in {}", unit_words(site.units),
                             crs.value, facts.name, crs_unit ? unit_words(*crs_unit) : facts.unit),
                 crs_unit ? fmt::format("`units: {}`, or a grid in {}", unit_key(*crs_unit), unit_key(site.units))
                          : "a grid in feet or metres",
                 "any length may carry its own unit: `5 ft 6 in`, `1.7 m`");
    return std::nullopt;
  }
  if (*crs_unit != site.units) {
    // Two parts in a million: nothing on a tape, feet on a false easting. The coordinates are the grid's.
    grid.unit = *crs_unit;
    grid.coordinate_scale = facts.metres_per_unit / unit;
    report.warn(crs.at,
                fmt::format("the axes of `{}` ({}) are in {}, the site says `units: {}`", crs.value, facts.name,
                            facts.unit, unit_key(site.units)),
                {}, fmt::format("coordinates are taken as the grid's; write `units: {}`", unit_key(*crs_unit)));
  }
  if (!sample) return grid;

  const PlanPoint at{sample->e * grid.coordinate_scale, sample->n * grid.coordinate_scale};
  const LonLat where = opened.own_datum->to_lon_lat(at);
  constexpr double margin = 1.0;  // degrees
  if (facts.area) {
    const CrsFacts::Area& a = *facts.area;
    const double east = a.east < a.west ? a.east + 360 : a.east;
    const double middle = (a.west + east) / 2, half = (east - a.west) / 2;
    const bool inside = where.lat_deg >= a.south - margin && where.lat_deg <= a.north + margin &&
                        std::abs(std::remainder(where.lon_deg - middle, 360.0)) <= half + margin;
    if (!inside) {
      const std::string there = std::isfinite(where.lat_deg) ? fmt::format("at latitude {:.2f}, longitude {:.2f}, ",
                                                                           where.lat_deg, where.lon_deg)
                                                             : std::string();
      report.warn(crs.at,
                  fmt::format("the coordinates of this job lie {}outside the area of `{}` ({})", there, crs.value,
                              facts.name),
                  {}, "with coordinates of your own leave `crs:` out, or give the site an `anchor:`");
      return grid;
    }
  }
  const double scale = grid_scale(*opened.own_datum, at);
  if (std::isfinite(scale) && std::abs(scale - 1) > scale_allowed) {
    report.error(
        crs.at,
        fmt::format("100 on the grid of `{}` ({}) are {:.2f} on the ground here", crs.value, facts.name, 100 / scale),
        "a grid made for this place", utm_advice(where.lon_deg, where.lat_deg));
    return std::nullopt;
  }
  return grid;
}

}  // namespace

std::optional<SiteGrid> site_grid(const SiteEntry& site, const std::optional<PlanPoint>& sample, Report& report) {
  if (site.crs && site.anchor) {
    report.error(site.anchor->at, "a site has a `crs` or an `anchor`, not both", "one of the two",
                 "the grid of a `crs` knows already where it lies");
    return std::nullopt;
  }
  if (site.crs) return grid_of_crs(site, sample, report);
  SiteGrid grid;
  grid.unit = site.units;
  if (site.anchor) grid.georeference = local_grid(site.anchor->value);
  return grid;
}

void warn_if_coarse(const SiteEntry& site, const SiteGrid& grid, Span first_lon_lat, Report& report) {
  if (!site.crs || !grid.georeference ||
      standard_errors::radius95_per_rms * grid.georeference->accuracy() < coarse_operation)
    return;
  report.warn(
      first_lon_lat,
      fmt::format("latitudes and longitudes reach the grid of `{}` through a datum operation good to {} at 95 %",
                  site.crs->value,
                  format_length(standard_errors::radius95_per_rms * grid.georeference->accuracy(), grid.unit,
                                LengthStyle::decimal, 1)),
      {},
      "what they give may be off together by that much against coordinates of the grid; it is in the error regions");
}

}  // namespace swingtie
