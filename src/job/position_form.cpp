#include <fmt/format.h>

#include <algorithm>

#include "job/forms.hpp"
#include "measure/utf8.hpp"

// The recipes by which a position can be given. Each is a map of its own; what tells them apart is one telling key.

namespace swingtie::form {
namespace {

template <class Recipe>
struct Draft {
  Recipe recipe;
  std::optional<Written<double>> within;
};

template <class Recipe>
Key<Draft<Recipe>> within_key() {
  return key("within", &Draft<Recipe>::within, length({1e-6, 1e5}),
             "Radius of the circle that holds the true point with 95 %. States how well the position is known, in "
             "place of what follows from the recipe.");
}

Form<ByCoordinates> coordinates() {
  auto shape = std::make_shared<Shape>();
  shape->kind = Shape::Kind::list;
  shape->name = "coordinates";
  shape->doc = "Easting and northing in the site's grid.";
  shape->item = length().shape;
  shape->min_items = shape->max_items = 2;
  return {[read = length().read](Reader& reader, const YamlNode& node) -> std::optional<ByCoordinates> {
            if (node.kind != YamlNode::Kind::list || node.items.size() != 2) {
              reader.error(node.at, "coordinates are two numbers", "`[easting, northing]`");
              return std::nullopt;
            }
            const auto e = read(reader, *node.items[0]);
            const auto n = read(reader, *node.items[1]);
            if (!e || !n) return std::nullopt;
            return ByCoordinates{*e, *n};
          },
          std::move(shape)};
}

/// `{house.sw: 40'4", house.se: 33'6"}`
Form<std::vector<Tie>> ties() {
  auto shape = std::make_shared<Shape>();
  shape->kind = Shape::Kind::named;
  shape->doc = "Distances from named points, two or more.";
  shape->item = length().shape;
  shape->min_items = 2;
  shape->examples = {"{house.sw: 40'4\", house.se: 33'6\"}"};
  return {[read = length({1e-6, 1e5}).read](Reader& reader, const YamlNode& node) -> std::optional<std::vector<Tie>> {
            if (node.kind != YamlNode::Kind::map) {
              reader.error(node.at, "ties are points and their distances", "`{house.sw: 40'4\", house.se: 33'6\"}`");
              return std::nullopt;
            }
            std::vector<Tie> all;
            bool good = true;
            swingtie::detail::TwofoldKeys twofold;
            for (const YamlNode::Entry& entry : node.entries) {
              if (!twofold.is_first(reader, entry)) {
                good = false;
                continue;
              }
              const auto name = point_name().read(reader, *entry.key);
              if (entry.value->kind == YamlNode::Kind::null) {
                reader.error(entry.key->at, "this tie has no distance", "a length, such as `house.sw: 40'4\"`");
                good = false;
                continue;
              }
              const auto distance = read(reader, *entry.value);
              good = good && name && distance;
              if (name && distance) all.push_back({*name, {*distance, entry.value->at}});
            }
            if (node.entries.size() < 2) {
              reader.error(node.at, "one tie does not fix a point", "two or more ties");
              return std::nullopt;
            }
            if (!good) return std::nullopt;
            return all;
          },
          std::move(shape)};
}

struct Base {
  std::variant<std::string, EdgeName> base;
  Span at;
};

Form<Base> line_or_edge() {
  return {[](Reader& reader, const YamlNode& node) -> std::optional<Base> {
            constexpr std::string_view expected = "a line such as `curb`, or an edge such as `house.sw-se`";
            const auto written = scalar_text(reader, node, expected);
            if (!written) return std::nullopt;
            if (auto edge = parse_edge_name(*written, node.at)) return Base{std::move(*edge), node.at};
            if (written->find('.') != std::string_view::npos) {
              reader.error(node.at, fmt::format("`{}` is not an edge", *written), std::string(expected));
              return std::nullopt;
            }
            auto name = id().read(reader, node);
            if (!name) return std::nullopt;
            return Base{std::move(*name), node.at};
          },
          scalar_shape(Shape::Kind::text, "line-or-edge",
                       "A line feature, or an edge of an area named by its two corners.", {"curb", "house.sw-se"})};
}

Form<Leg> leg() {
  return {[](Reader& reader, const YamlNode& node) -> std::optional<Leg> {
            const auto written = scalar_text(reader, node, "a bearing and a length, such as `N 12 E 40`");
            if (!written) return std::nullopt;
            const auto parsed = parse_course(*written, reader.unit);
            if (!parsed.value) {
              reader.error(node, parsed.fault);
              return std::nullopt;
            }
            return Leg{parsed.value->bearing, parsed.value->distance, node.at};
          },
          scalar_shape(Shape::Kind::text, "course", "A bearing and then a length.",
                       {"N 04 30 00 E 118.00", "N 12 E 40'6\"", "347.5 40"})};
}

Form<std::vector<Leg>> legs() {
  auto list = list_of(leg(), "legs, each a bearing and a length", 1);
  auto shape = std::make_shared<Shape>();
  shape->kind = Shape::Kind::choice;
  shape->choices = {leg().shape, list.shape};
  return {[one = leg().read, many = std::move(list.read)](Reader& reader,
                                                          const YamlNode& node) -> std::optional<std::vector<Leg>> {
            if (node.kind == YamlNode::Kind::list) return many(reader, node);
            auto single = one(reader, node);
            if (!single) return std::nullopt;
            return std::vector<Leg>{std::move(*single)};
          },
          std::move(shape)};
}

template <class Recipe>
Form<Position> finished(Fields<Draft<Recipe>> fields, void (*check)(Reader&, const YamlNode&, Recipe&) = nullptr) {
  auto form = map_of(std::move(fields));
  return {[read = std::move(form.read), check](Reader& reader, const YamlNode& node) -> std::optional<Position> {
            auto draft = read(reader, node);
            if (!draft) return std::nullopt;
            if (check) check(reader, node, draft->recipe);
            return Position{std::move(draft->recipe), draft->within, node.at};
          },
          std::move(form.shape)};
}

Form<Position> by_coordinates() {
  using D = Draft<ByCoordinates>;
  return finished(
      Fields<D>("a position by coordinates", "Coordinates in the site's grid.",
                {key("at", &D::recipe, coordinates(), "Easting and northing in the site's grid.").required(),
                 within_key<ByCoordinates>()}));
}

Form<Position> by_lon_lat() {
  using D = Draft<ByLonLat>;
  return finished(
      Fields<D>("a position by latitude and longitude",
                "A position on the Earth, WGS 84, as a phone or a GNSS receiver shows it.",
                {key_with<D>(
                     "lat", number(-90, 90, "degrees of latitude"),
                     [](D& d, double v, Span) { d.recipe.lat_deg = v; }, "Latitude in degrees, north positive.")
                     .required(),
                 key_with<D>(
                     "lon", number(-180, 180, "degrees of longitude"),
                     [](D& d, double v, Span) { d.recipe.lon_deg = v; }, "Longitude in degrees, east positive.")
                     .required(),
                 within_key<ByLonLat>()}));
}

Form<Position> by_ties() {
  using D = Draft<ByTies>;
  return finished(Fields<D>("a position by ties",
                            "Tape distances from named points. Two meet in two points, and `side` says in which.",
                            {key_with<D>(
                                 "ties", ties(), [](D& d, std::vector<Tie> v, Span) { d.recipe.ties = std::move(v); },
                                 "Distances from named points. Three or more are adjusted.")
                                 .required(),
                             key_with<D>(
                                 "side", side_word(), [](D& d, SideWord v, Span) { d.recipe.side = std::move(v); },
                                 "On which side of the line through the first two points the position lies."),
                             within_key<ByTies>()}));
}

void check_offset(Reader& reader, const YamlNode& node, ByOffset& recipe) {
  const auto* edge = std::get_if<EdgeName>(&recipe.base);
  const bool out_or_in = recipe.toward == ByOffset::Toward::out || recipe.toward == ByOffset::Toward::in;
  if (recipe.base_at.line == 0) return;  // the base was wrong and has been reported
  if (recipe.offset.value < 0) {
    using T = ByOffset::Toward;
    const char* other = recipe.toward == T::left    ? "right"
                        : recipe.toward == T::right ? "left"
                        : recipe.toward == T::out   ? "in"
                                                    : "out";
    reader.error(recipe.offset.at, "an offset cannot be negative", "0 or more",
                 fmt::format("use `{}` instead", other));
  }
  if (!edge && out_or_in) {
    reader.error(recipe.offset.at, "a line has no inside", "`left` or `right`, as one walks it from its first point");
  }
  if (!node.find("from")) {
    if (edge) {
      recipe.from = {edge->feature, edge->from, edge->at, edge->at};
    } else {
      reader.error(recipe.base_at, "an offset along a line needs `from`", {},
                   fmt::format("`from: {}.1` is where the line begins", std::get<std::string>(recipe.base)));
    }
  }
}

Form<Position> by_offset() {
  using D = Draft<ByOffset>;
  const auto base = [](D& d, Base v, Span) {
    d.recipe.base = std::move(v.base);
    d.recipe.base_at = v.at;
  };
  const auto side = [](std::string name, ByOffset::Toward toward, std::string doc) {
    return key_with<D>(
        std::move(name), length({-1e5, 1e5}),
        [toward](D& d, double v, Span at) {
          d.recipe.toward = toward;
          d.recipe.offset = {v, at};
        },
        std::move(doc));
  };
  return finished(
      Fields<D>(
          "a position by offset", "A distance along a line or an edge, and from there an offset square to it.",
          {key_with<D>("off", line_or_edge(), base, "The line, or the edge of an area."),
           key_with<D>("along", line_or_edge(), base, "The same as `off`; reads better with an edge."),
           key_with<D>(
               "from", point_name(), [](D& d, PointName v, Span) { d.recipe.from = std::move(v); },
               "Where the distance begins; the first corner of an edge if left out."),
           key_with<D>(
               "go", length({-1e5, 1e5}),
               [](D& d, double v, Span at) {
                 d.recipe.go = {v, at};
               },
               "How far to go along it.")
               .required(),
           side("left", ByOffset::Toward::left, "Offset to the left of somebody who walks the line as written."),
           side("right", ByOffset::Toward::right, "Offset to the right of somebody who walks the line as written."),
           side("out", ByOffset::Toward::out, "Offset away from the area."),
           side("in", ByOffset::Toward::in, "Offset into the area."), within_key<ByOffset>()})
          .one_of({"off", "along"})
          .at_most_one_of({"left", "right", "out", "in"}),
      check_offset);
}

Form<Position> by_legs() {
  using D = Draft<ByLegs>;
  return finished(Fields<D>(
      "a position by bearing and distance", "From a point along one or more courses.",
      {key_with<D>(
           "from", point_name(), [](D& d, PointName v, Span) { d.recipe.from = std::move(v); }, "Where to start.")
           .required(),
       key_with<D>(
           "go", legs(), [](D& d, std::vector<Leg> v, Span) { d.recipe.legs = std::move(v); },
           "A bearing and a length, or a list of such legs.")
           .required(),
       within_key<ByLegs>()}));
}

Form<Position> on_feature() {
  using D = Draft<OnFeature>;
  return finished(Fields<D>("a position on a feature", "At a point of a feature, or in the middle of it.",
                            {key_with<D>(
                                 "on", point_name(), [](D& d, PointName v, Span) { d.recipe.feature = std::move(v); },
                                 "A corner, a feature that is a point, or any other feature for its middle.")
                                 .required(),
                             within_key<OnFeature>()}));
}

/// A recipe and the keys of which any one tells it.
struct Recipe {
  std::vector<std::string_view> telling;
  Form<Position> form;
};

const std::vector<Recipe>& recipes() {
  static const std::vector<Recipe> all = [] {
    std::vector<Recipe> list;
    list.push_back({{"ties", "side"}, by_ties()});
    list.push_back({{"lat", "lon"}, by_lon_lat()});
    list.push_back({{"off", "along", "left", "right", "out", "in"}, by_offset()});
    list.push_back({{"at"}, by_coordinates()});
    list.push_back({{"on"}, on_feature()});
    list.push_back({{"from", "go"}, by_legs()});
    return list;
  }();
  return all;
}

constexpr std::string_view position_words =
    "a position: `[e, n]`, `{ties: …}`, `{along: …, from: …, go: …}`, `{from: …, go: …}`, `{lat: …, lon: …}` or "
    "`{on: …}`";

std::optional<Position> read_position(Reader& reader, const YamlNode& node) {
  switch (node.kind) {
    case YamlNode::Kind::null:
      reader.error(node.at, "a position is missing", std::string(position_words));
      break;
    case YamlNode::Kind::list:
      if (const auto at = coordinates().read(reader, node)) return Position{*at, {}, node.at};
      break;
    case YamlNode::Kind::scalar:
      if (auto name = point_name().read(reader, node)) return Position{OnFeature{std::move(*name)}, {}, node.at};
      break;
    case YamlNode::Kind::map: {
      for (const Recipe& recipe : recipes()) {
        const bool tells = std::any_of(recipe.telling.begin(), recipe.telling.end(),
                                       [&](std::string_view name) { return node.find(name) != nullptr; });
        if (tells) return recipe.form.read(reader, node);
      }
      const YamlNode& first = node.entries.empty() ? node : *node.entries.front().key;
      std::vector<std::string> names;
      for (const Recipe& recipe : recipes()) {
        for (const std::string_view name : recipe.telling) names.emplace_back(name);
      }
      const auto near = nearest_name(first.text, names);
      reader.error(first.at, "this does not say where", std::string(position_words),
                   near ? fmt::format("did you mean `{}`?", *near) : "");
      break;
    }
  }
  return std::nullopt;
}

}  // namespace

Form<Position> position() {
  static const ShapeRef shape = [] {
    auto choice = std::make_shared<Shape>();
    choice->kind = Shape::Kind::choice;
    choice->name = "position";
    choice->doc = "Where something is. Every recipe brings its own uncertainty; `within` states it instead.";
    choice->choices = {coordinates().shape};
    for (const Recipe& recipe : recipes()) choice->choices.push_back(recipe.form.shape);
    choice->choices.push_back(point_name().shape);
    return choice;
  }();
  return {read_position, shape};
}

}  // namespace swingtie::form
