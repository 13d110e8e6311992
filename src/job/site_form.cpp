#include <fmt/format.h>

#include "job/forms.hpp"
#include "measure/utf8.hpp"

namespace swingtie::form {
namespace {

struct GridPair {
  double e = 0, n = 0;
};

Form<AnchorPoint> anchor() {
  using A = AnchorPoint;
  auto pair = std::make_shared<Shape>();
  pair->kind = Shape::Kind::list;
  pair->item = length().shape;
  pair->min_items = pair->max_items = 2;
  const Form<GridPair> grid{[](Reader& reader, const YamlNode& node) -> std::optional<GridPair> {
                              if (node.kind != YamlNode::Kind::list || node.items.size() != 2) {
                                reader.error(node.at, "a grid point is two numbers", "`[easting, northing]`");
                                return std::nullopt;
                              }
                              const auto e = length().read(reader, *node.items[0]);
                              const auto n = length().read(reader, *node.items[1]);
                              if (!e || !n) return std::nullopt;
                              return GridPair{*e, *n};
                            },
                            pair};
  return map_of(Fields<A>(
      "an anchor", "How a local grid lies on the Earth.",
      {key_with<A>(
           "grid", grid,
           [](A& a, GridPair v, Span) {
             a.grid_e = v.e;
             a.grid_n = v.n;
           },
           "A point of the grid.")
           .required(),
       key("lat", &A::lat_deg, number(-90, 90, "degrees of latitude"), "Its latitude in degrees, WGS 84.").required(),
       key("lon", &A::lon_deg, number(-180, 180, "degrees of longitude"), "Its longitude in degrees, WGS 84.")
           .required(),
       key_with<A>(
           "grid_north", angle(), [](A& a, double v, Span) { a.grid_north = {v}; },
           "Azimuth of grid north from true north in degrees, clockwise; 0 if left out."),
       key_with<A>(
           "within", length({0, 1e5}), [](A& a, double v, Span) { a.within = v; },
           "Radius of the circle that holds the true place of that point with 95 %. Left out, it is taken as a "
           "phone's fix; 0 where the point was chosen on a map to begin the grid with.")}));
}

Form<Ground::Spots> spots() {
  using G = GroundSpot;
  auto list =
      list_of(map_of(Fields<G>("a spot height", "A height of the ground.",
                               {key("at", &G::at, position(), "Where.").required(),
                                key("elevation", &G::elevation, length({-1000, 10000}), "How high.").required()})),
              "spot heights", 1);
  return {[read = std::move(list.read)](Reader& reader, const YamlNode& node) -> std::optional<Ground::Spots> {
            auto all = read(reader, node);
            if (!all) return std::nullopt;
            return Ground::Spots{std::move(*all)};
          },
          std::move(list.shape)};
}

Form<Ground::Dem> dem() {
  using D = Ground::Dem;
  return map_of(Fields<D>("a terrain file", "Ground heights from a raster.",
                          {key("path", &D::path, text(), "The raster, relative to the job file.").required(),
                           key_with<D>(
                               "units", unit(), [](D& d, LengthUnit v, Span) { d.metres_per_unit = metres_per(v); },
                               "Unit of its heights, where the file does not say.")}));
}

struct GroundMap {
  Ground ground;
  std::optional<Written<double>> elevation;
  bool flat = false;
};

/// `right-of-way`, `lot-line`, `curb`, `main`, `clean-out ID`, `station 42`
Form<OwnershipRule> private_until() {
  static constexpr std::array plain{PrivateUntil::right_of_way, PrivateUntil::lot_line, PrivateUntil::curb,
                                    PrivateUntil::main};
  constexpr std::string_view expected = "one of: right-of-way, lot-line, curb, main, clean-out ID, station 42";
  return {[expected](Reader& reader, const YamlNode& node) -> std::optional<OwnershipRule> {
            const auto written = scalar_text(reader, node, expected);
            if (!written) return std::nullopt;
            OwnershipRule rule;
            rule.at = node.at;
            const std::size_t space = written->find(' ');
            const std::string_view first = written->substr(0, space);
            std::string_view rest = space == std::string_view::npos ? "" : written->substr(space);
            rest.remove_prefix(std::min(rest.find_first_not_of(' '), rest.size()));
            const Span rest_at =
                node.part(code_point_count(*written) - code_point_count(rest), code_point_count(rest));
            if (first == "clean-out" || first == "station") {
              if (rest.empty()) {
                reader.error(node.at, fmt::format("`{}` needs to say which", first),
                             first == "station" ? "`station 42`" : "`clean-out` and its id");
                return std::nullopt;
              }
              if (first == "clean-out") {
                if (bad_name_character(rest, true)) {
                  reader.error(rest_at, fmt::format("`{}` cannot be a name", rest), "the id of a clean-out");
                  return std::nullopt;
                }
                rule.until = PrivateUntil::clean_out;
                rule.clean_out = std::string(rest);
                rule.at = rest_at;
              } else {
                const auto station = parse_length(rest, reader.unit);
                if (!station.value) {
                  reader.error(rest_at, station.fault.message, station.fault.expected);
                  return std::nullopt;
                }
                rule.until = PrivateUntil::station;
                rule.station = *station.value;
              }
              return rule;
            }
            for (const PrivateUntil until : plain) {
              if (spelled(until) != *written) continue;
              rule.until = until;
              return rule;
            }
            const auto near =
                nearest_name(*written, {"right-of-way", "lot-line", "curb", "main", "clean-out", "station"});
            reader.error(node.at, fmt::format("`{}` is not known here", *written), std::string(expected),
                         near ? fmt::format("did you mean `{}`?", *near) : "");
            return std::nullopt;
          },
          scalar_shape(Shape::Kind::text, {}, "The limit of private ownership.",
                       {"right-of-way", "lot-line", "curb", "main", "clean-out CO1", "station 42"})};
}

}  // namespace

Form<LengthUnit> unit_form() {
  return unit();
}

Form<LengthUnit> unit() {
  return words<LengthUnit>(
      {{"ft", LengthUnit::foot}, {"us-ft", LengthUnit::us_survey_foot}, {"m", LengthUnit::metre}}, {},
      {{"feet", "ft"},
       {"foot", "ft"},
       {"international feet", "ft"},
       {"us survey feet", "us-ft"},
       {"survey feet", "us-ft"},
       {"ftus", "us-ft"},
       {"usft", "us-ft"},
       {"metres", "m"},
       {"meters", "m"},
       {"metre", "m"},
       {"meter", "m"}});
}

Form<SiteEntry> site() {
  using S = SiteEntry;
  return map_of(
      Fields<S>(
          "the site", "What and where the site is.",
          {key("name", &S::name, text(), "Its address, or what it is called."),
           key("units", &S::units, unit(), "Unit of plain numbers: international feet, US survey feet or metres.")
               .required(),
           key("crs", &S::crs, text(),
               "Coordinate system of the site's grid, such as `EPSG:3734`; a local grid if left out."),
           key("anchor", &S::anchor, anchor(), "How a local grid lies on the Earth, for maps."),
           key("inspected", &S::inspected, date(), "The day of the inspection."),
           key("by", &S::by, text(), "Who inspected.")})
          .at_most_one_of({"crs", "anchor"}));
}

Form<Ground> ground() {
  using G = GroundMap;
  auto form = map_of(
      Fields<G>(
          "the ground", "Heights of the ground; flat if left out.",
          {key_with<G>(
               "flat", yes_no(), [](G& g, bool v, Span) { g.flat = v; }, "The ground is taken as flat."),
           key("elevation", &G::elevation, length({-1000, 10000}), "Of a flat ground: its height."),
           key_with<G>(
               "spots", spots(), [](G& g, Ground::Spots v, Span) { g.ground.surface = std::move(v); },
               "Spot heights; the ground between them is interpolated."),
           key_with<G>(
               "dem", dem(), [](G& g, Ground::Dem v, Span) { g.ground.surface = std::move(v); }, "A terrain file.")})
          .one_of({"flat", "spots", "dem"}));
  return {[read = std::move(form.read)](Reader& reader, const YamlNode& node) -> std::optional<Ground> {
            auto value = read(reader, node);
            if (!value) return std::nullopt;
            const bool other = node.find("spots") || node.find("dem");
            if (value->elevation && other) {
              reader.error(value->elevation->at, "only a flat ground has one elevation");
            } else if (node.find("flat") && !value->flat) {
              reader.error(node.find("flat")->at, "ground that is not flat needs heights", "`spots` or `dem`");
            }
            if (auto* flat = std::get_if<Ground::Flat>(&value->ground.surface); flat && value->elevation) {
              flat->elevation = value->elevation->value;
            }
            value->ground.at = node.at;
            return std::move(value->ground);
          },
          std::move(form.shape)};
}

Form<OwnershipRule> ownership() {
  using O = OwnershipRule;
  return map_of(Fields<O>("the ownership rule", "Up to where the line is private.",
                          {key_with<O>(
                               "private_until", private_until(),
                               [](O& o, OwnershipRule v, Span) {
                                 o.until = v.until;
                                 o.clean_out = std::move(v.clean_out);
                                 o.station = v.station;
                                 o.at = v.at;
                               },
                               "Where private ownership ends.")
                               .required(),
                           key("source", &O::source, text(), "Who says so.")}));
}

Form<DigPlan> dig_plan() {
  using D = DigPlan;
  return map_of(Fields<D>(
      "the dig plan", "How holes are to be dug.",
      {key("rules", &D::rules, id(),
           "The set of excavation rules: `us`, `au` or `none`. If left out, `us` on a site in feet and `none` on one "
           "in metres."),
       key("soil", &D::soil,
           words<Soil>({{"rock", Soil::rock}, {"A", Soil::a}, {"B", Soil::b}, {"C", Soil::c}},
                       {{"a", Soil::a}, {"b", Soil::b}, {"c", Soil::c}}),
           "Soil type, by a competent person."),
       key("bucket", &D::bucket, length({1e-6, 5, 3}), "Width of the bucket."),
       key("working_room", &D::working_room, length({0, 5, 3}), "Room added on each side of the window.")}));
}

}  // namespace swingtie::form
