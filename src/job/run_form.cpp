#include <fmt/format.h>

#include "job/forms.hpp"
#include "job/log_text.hpp"

namespace swingtie::form {
namespace {

template <class T>
Form<T> from_text(Parsed<T> (*parse)(std::string_view), std::string_view expected, ShapeRef shape) {
  return {[parse, expected](Reader& reader, const YamlNode& node) -> std::optional<T> {
            const auto written = scalar_text(reader, node, expected);
            if (!written) return std::nullopt;
            const auto parsed = parse(*written);
            if (!parsed.value) reader.error(node, parsed.fault);
            return parsed.value;
          },
          std::move(shape)};
}

Form<BendNote> bend() {
  return from_text<BendNote>(
      parse_bend, "a bend such as `left 45`",
      scalar_shape(Shape::Kind::measure, "bend",
                   "A bend as the camera travels: its hand, and its angle in degrees if known.",
                   {"left 45", "right 22.5", "down 90", "left 1/8 bend", "left", "unknown"}));
}

Form<PipeNote> pipe() {
  return {[](Reader& reader, const YamlNode& node) -> std::optional<PipeNote> {
            const auto written = scalar_text(reader, node, "a pipe such as `4 in cast iron`");
            if (!written) return std::nullopt;
            const auto parsed = parse_pipe(*written, reader.unit);
            if (!parsed.value) reader.error(node, parsed.fault);
            return parsed.value;
          },
          scalar_shape(Shape::Kind::text, "pipe", "Nominal inside size and material.",
                       {"4 in cast iron", "100 mm PVC", "clay"})};
}

Form<Act> act() {
  return terms({Act::dig, Act::watch, Act::none});
}

Form<Hand> wye_hand() {
  return terms({Hand::left, Hand::right, Hand::up, Hand::down});
}

Fields<LogEntry> log_fields() {
  using L = LogEntry;
  return Fields<L>(
      "an entry of the log", "What the camera met, by counter reading.",
      {key("at", &L::at, counter_reading(), "The counter reading.").required(),
       key("pipe", &L::pipe, pipe(), "The pipe from here on."),
       key("bend", &L::bend, bend(), "A bend, as the camera travels."),
       key("joint", &L::joint, text(), "What a joint looks like."), key("see", &L::see, text(), "What is seen."),
       key("act", &L::act, act(), "What is to be done about it."),
       key("wye", &L::wye, wye_hand(), "A branch comes in from this hand, as the camera travels."),
       key("line", &L::branch, id(), "The line that comes in at a wye."),
       key("end", &L::end, text(), "The run ends here, and in what: `city main`, `blockage`."),
       key("photo", &L::photo, text(), "A picture, relative to the job file."),
       key("note", &L::note, text(), "Anything else.")});
}

Form<DepthNote::Ratio> ratio() {
  using R = DepthNote::Ratio;
  return map_of(Fields<R>(
      "a ratio of signals", "Two signal readings a known height apart.",
      {key("lower", &R::lower, number(0, 1e9, "a signal reading"), "Signal with the receiver low.").required(),
       key("upper", &R::upper, number(0, 1e9, "a signal reading"), "Signal with the receiver high.").required(),
       key("apart", &R::apart, length({1e-6, 10}), "Height between the two.").required()}));
}

Form<DepthNote> depth() {
  using D = DepthNote;
  const LengthRange deep{0, 30};
  auto map = map_of(Fields<D>(
      "a depth", "Depth readings at the locate.",
      {key("along", &D::along, length(deep), "Read with the receiver turned along the pipe."),
       key("across", &D::across, length(deep), "Read with the receiver turned across the pipe; weak."),
       key("nulls", &D::nulls, length({1e-6, 60}), "Distance between the two nulls; the depth is 0.7071 of it."),
       key("ratio", &D::ratio, ratio(), "Two signal readings a known height apart.")}));
  auto shape = std::make_shared<Shape>();
  shape->kind = Shape::Kind::choice;
  shape->choices = {length().shape, map.shape};
  return {[read_map = std::move(map.read), read_plain = length(deep).read](
              Reader& reader, const YamlNode& node) -> std::optional<DepthNote> {
            if (node.kind == YamlNode::Kind::map) {
              if (node.entries.empty()) {
                reader.error(node.at, "this depth has no reading",
                             "a length, or one of: along, across, nulls, ratio");
                return std::nullopt;
              }
              return read_map(reader, node);
            }
            const auto plain = read_plain(reader, node);
            if (!plain) return std::nullopt;
            DepthNote note;
            note.along = Written<double>{*plain, node.at};
            return note;
          },
          std::move(shape)};
}

Fields<LocateEntry> locate_fields() {
  using L = LocateEntry;
  return Fields<L>(
      "a locate", "Where the receiver stood over the camera, by counter reading.",
      {key("at", &L::at, counter_reading(), "The counter reading when the receiver stood over the camera.")
           .required(),
       key("position", &L::position, position(), "Where that was.").required(),
       key("within", &L::within, length({1e-6, 1e4}),
           "Radius that holds the camera with 95 %, receiver included. States it instead of what follows from the "
           "position, the depth and the method."),
       key("by", &L::by, terms({LocateMethod::peak, LocateMethod::nulls, LocateMethod::line}),
           "How it was taken: strongest signal, midway between the two nulls, or on the line only. Peak if left "
           "out."),
       key("depth", &L::depth, depth(), "Depth read here: a length, or readings by how they were taken."),
       key("direction", &L::direction, bearing(), "Bearing of the line that the receiver showed."),
       key("marked", &L::marked, text(), "What was left on the ground: `white stake`."),
       key("photo", &L::photo, text(), "A picture, relative to the job file."),
       key("note", &L::note, text(), "Anything else.")});
}

struct From {
  RunEntry::From from;
  std::optional<Written<double>> within;
};

Form<RunEntry::From> from() {
  using F = From;
  const auto part = [](auto RunEntry::From::*member) {
    return [member](F& f, auto v, Span at) { swingtie::detail::store(f.from.*member, std::move(v), at); };
  };
  auto form = map_of(
      Fields<F>("an access", "Where the camera went in.",
                {key_with<F>("at", position(), part(&RunEntry::From::at), "Where it is.").required(),
                 key_with<F>("what", text(), part(&RunEntry::From::what), "What it is: `basement floor clean-out`."),
                 key_with<F>("drop", length({0, 30}), part(&RunEntry::From::drop),
                             "From the ground or floor down to the pipe's invert."),
                 key("within", &F::within, length({1e-6, 1e4}), "Radius of the circle that holds it with 95 %."),
                 key_with<F>("id", id(), part(&RunEntry::From::id), "A name to use it by elsewhere, as a point.")}));
  return {[read = std::move(form.read)](Reader& reader, const YamlNode& node) -> std::optional<RunEntry::From> {
            auto value = read(reader, node);
            if (!value) return std::nullopt;
            if (value->within) value->from.at.within = value->within;
            return std::move(value->from);
          },
          std::move(form.shape)};
}

struct Zero {
  CounterZero zero = CounterZero::at_pipe_entry;
  double reading = 0;
};

Form<Zero> zero() {
  auto shape = std::make_shared<Shape>();
  shape->kind = Shape::Kind::choice;
  auto known = std::make_shared<Shape>();
  known->kind = Shape::Kind::words;
  known->words = {"at pipe entry", "at rim"};
  shape->choices = {known, length().shape};
  return {[](Reader& reader, const YamlNode& node) -> std::optional<Zero> {
            constexpr std::string_view expected = "`at pipe entry`, `at rim`, or what it showed at the pipe entry";
            const auto written = scalar_text(reader, node, expected);
            if (!written) return std::nullopt;
            if (*written == "at pipe entry") return Zero{};
            if (*written == "at rim") return Zero{CounterZero::at_rim, 0};
            const auto parsed = parse_length(*written, reader.unit);
            if (!parsed.value) {
              const auto near = nearest_name(*written, {"at pipe entry", "at rim"});
              reader.error(node.at, fmt::format("`{}` does not say where the counter was zero", *written),
                           std::string(expected), near ? fmt::format("did you mean `{}`?", *near) : "");
              return std::nullopt;
            }
            return Zero{CounterZero::stated, *parsed.value};
          },
          std::move(shape)};
}

Fields<RunEntry> run_fields() {
  using R = RunEntry;
  return Fields<R>(
      "a run", "One push of the camera from an access.",
      {key("id", &R::id, id(), "Its name in this file.").required(),
       key("line", &R::line, id(), "The line it goes along; may be left out when there is only one."),
       key("from", &R::from, from(), "Where the camera went in.").required(),
       key("toward", &R::toward, words<Travel>({{"main", Travel::toward_main}, {"house", Travel::toward_house}}),
           "Which way it was pushed; toward the main if left out."),
       nested(
           "counter",
           Fields<R>("a counter", "The cable counter.",
                     {key_with<R>(
                         "zero", zero(),
                         [](R& r, Zero v, Span) {
                           r.zero = v.zero;
                           r.zero_reading = v.reading;
                         },
                         "Where it was zero: `at pipe entry` (if left out), `at rim` (the drop is on the cable), or "
                         "what it showed at the pipe entry.")}),
           "The cable counter."),
       nested("camera",
              Fields<R>("a camera", "The camera.",
                        {key("sonde_behind_lens", &R::sonde_behind_lens, length({0, 2, 0.6}),
                             "From the lens back to the transmitter."),
                         key("view_ahead", &R::view_ahead, length({0, 2, 0.6}),
                             "How far before the lens things are when they are called out.")}),
              "The camera."),
       key("bends", &R::bends,
           words<Completeness>(
               {{"all", Completeness::all}, {"some", Completeness::some}, {"none", Completeness::none}}),
           "How completely bends were written down; all if left out."),
       key("log", &R::log, list_of_entries(map_of(log_fields()), "entries"),
           "What the camera met, by counter reading."),
       key("locates", &R::locates, list_of_entries(map_of(locate_fields()), "locates"),
           "Where the receiver stood over the camera.")});
}

Form<LineEnd> line_end() {
  auto shape = std::make_shared<Shape>();
  shape->kind = Shape::Kind::choice;
  auto reserved = std::make_shared<Shape>();
  reserved->kind = Shape::Kind::words;
  reserved->words = {"city-main", "open"};
  shape->choices = {reserved, id().shape, position().shape};
  return {[](Reader& reader, const YamlNode& node) -> std::optional<LineEnd> {
            LineEnd end;
            if (node.kind != YamlNode::Kind::scalar || node.text.find('.') != std::string::npos) {
              auto point = position().read(reader, node);
              if (!point) return std::nullopt;
              end.kind = LineEnd::Kind::point;
              end.point = std::move(*point);
              return end;
            }
            auto name = id().read(reader, node);
            if (!name) return std::nullopt;
            end.kind = *name == "open"        ? LineEnd::Kind::open
                       : *name == "city-main" ? LineEnd::Kind::city_main
                                              : LineEnd::Kind::feature;
            end.feature = {std::move(*name), node.at};
            return end;
          },
          std::move(shape)};
}

}  // namespace

Form<LineEntry> line_entry() {
  using L = LineEntry;
  return map_of(Fields<L>(
      "a line", "A pipe from end to end.",
      {key("id", &L::id, id(), "Its name in this file.").required(),
       key("ends_at", &L::end, line_end(),
           "Where it ends: `city-main`, `open` (if left out), a feature on which it ends somewhere, or a position."),
       key("joins", &L::joins, id(), "Of a branch: the line it joins at a wye.")}));
}

Form<RunEntry> run_entry() {
  return map_of(run_fields());
}

}  // namespace swingtie::form
