#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "job/deed_text.hpp"
#include "job/forms.hpp"
#include "measure/words.hpp"

namespace swingtie::form {
namespace {

/// Which geometries a kind of feature can have.
enum class Allowed { point, line, area, line_or_area, any };

struct KindRow {
  FeatureKind kind;
  Allowed allowed;
};
constexpr std::array<KindRow, 22> kinds{{
    {FeatureKind::lot, Allowed::area},          {FeatureKind::house, Allowed::area},
    {FeatureKind::curb, Allowed::line},         {FeatureKind::right_of_way, Allowed::line_or_area},
    {FeatureKind::centerline, Allowed::line},   {FeatureKind::driveway, Allowed::line_or_area},
    {FeatureKind::walk, Allowed::line_or_area}, {FeatureKind::fence, Allowed::line_or_area},
    {FeatureKind::wall, Allowed::line_or_area}, {FeatureKind::tree, Allowed::point},
    {FeatureKind::rock, Allowed::any},          {FeatureKind::hydrant, Allowed::point},
    {FeatureKind::pole, Allowed::point},        {FeatureKind::meter, Allowed::point},
    {FeatureKind::valve, Allowed::point},       {FeatureKind::manhole, Allowed::point},
    {FeatureKind::main, Allowed::line},         {FeatureKind::water, Allowed::line},
    {FeatureKind::gas, Allowed::line},          {FeatureKind::electric, Allowed::line},
    {FeatureKind::comms, Allowed::line},        {FeatureKind::mark, Allowed::any},
}};

Form<FeatureKind> kind_form() {
  auto shape = std::make_shared<Shape>();
  shape->kind = Shape::Kind::words;
  shape->name = "kind";
  shape->doc = "What a feature is.";
  for (const KindRow& row : kinds) shape->words.emplace_back(spelled(row.kind));
  return {[names = shape->words](Reader& reader, const YamlNode& node) -> std::optional<FeatureKind> {
            const auto which = detail::which_word(reader, node, names, names.size());
            if (!which) return std::nullopt;
            return kinds[*which].kind;
          },
          shape};
}

struct NamedDeed {
  Deed deed;
  std::vector<Written<std::string>> corners;
};
struct NamedWalls {
  Walls walls;
  std::vector<Written<std::string>> corners;
};

Form<std::vector<Written<std::string>>> corner_names() {
  auto list = list_of(written(corner_name()), "names");
  return {[read = std::move(list.read)](Reader& reader,
                                        const YamlNode& node) -> std::optional<std::vector<Written<std::string>>> {
            auto names = read(reader, node);
            if (!names) return std::nullopt;
            for (std::size_t i = 0; i < names->size(); ++i) {
              for (std::size_t j = 0; j < i; ++j) {
                if ((*names)[i].value != (*names)[j].value) continue;
                reader.error((*names)[i].at, fmt::format("two corners are called `{}`", (*names)[i].value));
                break;
              }
            }
            return names;
          },
          std::move(list.shape)};
}

std::string corners_doc() {
  return "Names for the corners in order, the first being where it starts; numbered from 1 if left out.";
}

Form<NamedDeed> deed() {
  using N = NamedDeed;
  return map_of(Fields<N>(
      "a deed", "An outline by the calls of a deed.",
      {key_with<N>(
           "start", position(), [](N& n, Position v, Span) { n.deed.start = std::move(v); }, "Point of beginning.")
           .required(),
       key_with<N>(
           "calls", list_of(deed_call(), "calls", 1),
           [](N& n, std::vector<DeedCall> v, Span) { n.deed.calls = std::move(v); },
           "The calls in order: a bearing and a length, or an arc. The last returns to the start.")
           .required(),
       key("corners", &N::corners, corner_names(), corners_doc()),
       key_with<N>(
           "balance",
           words<Deed::Balance>({{"if-small", Deed::Balance::if_small},
                                 {"compass", Deed::Balance::compass_rule},
                                 {"none", Deed::Balance::none}}),
           [](N& n, Deed::Balance v, Span) { n.deed.balance = v; },
           "Whether the misclosure is spread over the courses by the compass rule; by default if it is small.")}));
}

/// `28`, `R 42`, `L 10`, `R 45 12.5`: a turn and then a length.
Form<WallLeg> wall_leg() {
  return {[](Reader& reader, const YamlNode& node) -> std::optional<WallLeg> {
            constexpr std::string_view expected = "a length, or R or L and a length, such as `R 42` or `R 45 12.5`";
            const auto text = scalar_text(reader, node, expected);
            if (!text) return std::nullopt;
            const auto parsed = parse_wall_leg(*text, reader.unit);
            if (!parsed.value) {
              reader.error(node, parsed.fault);
              return std::nullopt;
            }
            return WallLeg{parsed.value->turn, parsed.value->distance, node.at};
          },
          scalar_shape(Shape::Kind::measure, "wall",
                       "A turn and then a length: R or L, an angle unless it is 90, a length.",
                       {"28", "R 42", "L 10", "R 45 12.5"})};
}

Form<NamedWalls> walls() {
  using N = NamedWalls;
  return map_of(Fields<N>(
      "walls", "An outline by tape along the walls, turning at each corner.",
      {key_with<N>(
           "start", position(), [](N& n, Position v, Span) { n.walls.start = std::move(v); }, "The first corner.")
           .required(),
       key_with<N>(
           "heading", bearing(), [](N& n, Azimuth v, Span) { n.walls.heading = v; }, "Bearing of the first wall.")
           .required(),
       key_with<N>(
           "legs", list_of(wall_leg(), "legs", 1),
           [](N& n, std::vector<WallLeg> v, Span) { n.walls.legs = std::move(v); },
           "The walls in order. A leg that is not the first begins with R or L; an angle may follow if it is not 90.")
           .required(),
       key_with<N>(
           "closed", yes_no(), [](N& n, bool v, Span) { n.walls.closed = v; },
           "Whether the last leg returns to the start; true if left out."),
       key("corners", &N::corners, corner_names(), corners_doc())}));
}

Form<OffsetLine> offset_line() {
  using N = OffsetLine;
  return map_of(Fields<N>("an offset line", "A line parallel to another.",
                          {key_with<N>(
                               "from", id(),
                               [](N& n, std::string v, Span at) {
                                 n.from = std::move(v);
                                 n.from_at = at;
                               },
                               "The line to run along.")
                               .required(),
                           key("by", &N::by, length({0, 1e5}), "The distance between the two.").required(),
                           key("toward", &N::toward, toward_form(),
                               "The feature, or the point of the compass, on whose "
                               "side the new line lies.")
                               .required()}));
}

/// Which attribute of the file stands for which key of ours.
struct AttributeMap {
  std::vector<std::pair<std::string, std::string>> pairs;
};

Fields<AttributeMap> attribute_map() {
  std::vector<Key<AttributeMap>> keys;
  for (const char* ours : {"label", "material", "size", "depth", "width", "trunk", "spread"}) {
    keys.push_back(key_with<AttributeMap>(
        ours, text(),
        [ours](AttributeMap& m, std::string theirs, Span) { m.pairs.emplace_back(ours, std::move(theirs)); },
        fmt::format("The attribute that holds `{}`.", ours)));
  }
  return Fields<AttributeMap>("a map of attributes", "Which attribute of the file gives which key.", std::move(keys));
}

Form<FileSource> file_source() {
  using N = FileSource;
  return map_of(Fields<N>(
      "a file", "A geometry from a geodata file.",
      {key("path", &N::path, text(), "The file, relative to the job file.").required(),
       key("layer", &N::layer, text(), "The layer; may be left out when there is only one."),
       key("where", &N::where, text(), "Which features to take, as an SQL condition on the attributes."),
       key("near", &N::near, position(), "Take the feature that holds this point, or else is nearest to it."),
       key_with<N>(
           "map", map_of(attribute_map()), [](N& n, AttributeMap v, Span) { n.map = std::move(v.pairs); },
           "Keys to take from attributes of the file."),
       key("crs", &N::crs, text(), "The coordinate system, where the file does not say, such as `EPSG:3734`.")}));
}

bool allows(Allowed allowed, const FeatureEntry& feature) {
  const bool point = std::holds_alternative<PointGeometry>(feature.geometry);
  const bool line =
      std::holds_alternative<LineGeometry>(feature.geometry) || std::holds_alternative<OffsetLine>(feature.geometry);
  if (std::holds_alternative<FileSource>(feature.geometry)) return true;
  switch (allowed) {
    case Allowed::point:
      return point;
    case Allowed::line:
      return line;
    case Allowed::area:
      return !point && !line;
    case Allowed::line_or_area:
      return !point;
    case Allowed::any:
      return true;
  }
  return true;
}

std::string_view geometry_keys(Allowed allowed) {
  switch (allowed) {
    case Allowed::point:
      return "`at` or `file`";
    case Allowed::line:
      return "`line`, `offset` or `file`";
    case Allowed::area:
      return "`area`, `walls`, `deed` or `file`";
    default:
      return "`line`, `offset`, `area`, `walls`, `deed` or `file`";
  }
}

/// What the keys of a feature have to do with each other.
void check_feature(Reader& reader, const YamlNode& node, const FeatureEntry& feature) {
  const auto key_place = [&](std::string_view name) {
    for (const YamlNode::Entry& entry : node.entries) {
      if (entry.key->text == name) return entry.key->at;
    }
    return node.at;
  };
  static constexpr std::array geometry_names{"at", "line", "area", "deed", "walls", "offset", "file"};
  const auto is_given = [&](const char* name) { return node.find(name) != nullptr; };
  const auto given = std::find_if(geometry_names.begin(), geometry_names.end(), is_given);
  if (std::count_if(geometry_names.begin(), geometry_names.end(), is_given) != 1) return;  // reported already
  const auto kind =
      std::find_if(kinds.begin(), kinds.end(), [&](const KindRow& row) { return row.kind == feature.kind.value; });
  if (feature.kind.at.line == 0 || kind == kinds.end()) return;
  if (!allows(kind->allowed, feature)) {
    reader.error(key_place(*given), fmt::format("a {} cannot be given by `{}`", spelled(kind->kind), *given),
                 std::string(geometry_keys(kind->allowed)));
  }
  if (feature.kind.value != FeatureKind::tree) {
    for (const char* name : {"trunk", "spread"}) {
      if (node.find(name)) reader.error(key_place(name), fmt::format("only a tree has a `{}`", name));
    }
  }
  if (feature.street_edge && feature.kind.value != FeatureKind::lot) {
    reader.error(key_place("street"), "only a lot has a street edge");
  }
  std::size_t vertices = static_cast<std::size_t>(-1);
  if (const auto* line = std::get_if<LineGeometry>(&feature.geometry)) vertices = line->vertices.size();
  if (const auto* area = std::get_if<AreaGeometry>(&feature.geometry)) vertices = area->vertices.size();
  if (const auto* by_deed = std::get_if<Deed>(&feature.geometry)) vertices = by_deed->calls.size() + 1;
  if (const auto* by_wall = std::get_if<Walls>(&feature.geometry)) vertices = by_wall->legs.size() + 1;
  if (feature.corners.size() > vertices) {
    reader.error(feature.corners[vertices].at,
                 fmt::format("{} for {}", counted(feature.corners.size(), "name"), counted(vertices, "corner")));
  }
}

Fields<FeatureEntry> feature_fields() {
  using F = FeatureEntry;
  const auto vertices = [](std::size_t least) { return list_of(position(), "positions", least); };
  return Fields<F>("a feature", "Something of the site that is drawn, tied to, or crossed by the line.",
                   {key("id", &F::id, id(), "Its name in this file.").required(),
                    key("kind", &F::kind, kind_form(), "What it is.").required(),
                    key_with<F>(
                        "at", position(), [](F& f, Position v, Span) { f.geometry = PointGeometry{std::move(v)}; },
                        "Where it is, for something that is a point."),
                    key_with<F>(
                        "line", vertices(2),
                        [](F& f, std::vector<Position> v, Span) { f.geometry = LineGeometry{std::move(v)}; },
                        "Its points in order, for a line."),
                    key_with<F>(
                        "area", vertices(3),
                        [](F& f, std::vector<Position> v, Span) { f.geometry = AreaGeometry{std::move(v)}; },
                        "Its corners in order, the first not repeated."),
                    key_with<F>(
                        "deed", deed(),
                        [](F& f, NamedDeed v, Span at) {
                          v.deed.at = at;
                          f.geometry = std::move(v.deed);
                          f.corners = std::move(v.corners);
                        },
                        "An outline by the calls of a deed."),
                    key_with<F>(
                        "walls", walls(),
                        [](F& f, NamedWalls v, Span at) {
                          v.walls.at = at;
                          f.geometry = std::move(v.walls);
                          f.corners = std::move(v.corners);
                        },
                        "An outline by tape along the walls."),
                    key_with<F>(
                        "offset", offset_line(), [](F& f, OffsetLine v, Span) { f.geometry = std::move(v); },
                        "A line parallel to another feature."),
                    key_with<F>(
                        "file", file_source(), [](F& f, FileSource v, Span) { f.geometry = std::move(v); },
                        "From a geodata file."),
                    key("corners", &F::corners, corner_names(), corners_doc()),
                    key("label", &F::label, text(), "The words to print instead of the id."),
                    key("trunk", &F::trunk, length({1e-6, 6, 1.2}),
                        "Of a tree: diameter at breast height, 4.5 ft above the ground (DBH)."),
                    key("spread", &F::spread, length({1e-6, 80}), "Of a tree: diameter of the crown."),
                    key("width", &F::width, length({1e-6, 100}), "Of a driveway, walk, fence or wall."),
                    key("size", &F::size, length({1e-6, 6, 0.6}), "Outside diameter of a utility or a main."),
                    key("depth", &F::depth, length({0, 30}), "Of a utility or a main: from the ground to its top."),
                    key("within", &F::within, length({1e-6, 1e5}),
                        "Radius of the circle around each of its points that holds the true point with 95 %."),
                    key("material", &F::material, text(), "Of a utility or a main."),
                    key("street", &F::street_edge, edge_corners(),
                        "Of a lot: the edge that faces the street, such as `sw-se`.")})
      .one_of({"at", "line", "area", "deed", "walls", "offset", "file"});
}

}  // namespace

Form<SideWord> toward_form() {
  auto side = side_word();
  auto shape = std::make_shared<Shape>(*side.shape);
  shape->name = "toward";
  shape->doc = "A feature, or a point of the compass.";
  shape->examples = {"house", "south"};
  return {[read = side.read](Reader& reader, const YamlNode& node) -> std::optional<SideWord> {
            const auto written = scalar_text(reader, node, "a feature or a point of the compass");
            if (!written) return std::nullopt;
            const bool one_word = written->find(' ') == std::string_view::npos;
            if (!one_word || parse_compass_point(*written)) return read(reader, node);
            const auto name = id().read(reader, node);
            if (!name) return std::nullopt;
            return SideWord{SideWord::Kind::toward, {}, *name, node.at};
          },
          std::move(shape)};
}

Form<std::string> edge_corners() {
  return {[](Reader& reader, const YamlNode& node) -> std::optional<std::string> {
            const auto written = scalar_text(reader, node, "two corners, such as `sw-se`");
            if (!written) return std::nullopt;
            if (!parse_edge_name("x." + std::string(*written), node.at)) {
              reader.error(node.at, fmt::format("`{}` is not an edge", *written), "two corners, such as `sw-se`");
              return std::nullopt;
            }
            return std::string(*written);
          },
          scalar_shape(Shape::Kind::text, {}, "Two corners with a hyphen between them.", {"sw-se"})};
}

Form<FeatureEntry> feature() {
  auto form = map_of(feature_fields());
  return {[read = std::move(form.read)](Reader& reader, const YamlNode& node) -> std::optional<FeatureEntry> {
            auto value = read(reader, node);
            if (value) check_feature(reader, node, *value);
            return value;
          },
          std::move(form.shape)};
}

}  // namespace swingtie::form
