#include "job/deed_text.hpp"
#include "job/forms.hpp"
#include "measure/bearing.hpp"

namespace swingtie::form {
namespace {

struct ArcMap {
  DeedCall call;
  Span at;
};

Form<DeedCall> chord() {
  return {[](Reader& reader, const YamlNode& node) -> std::optional<DeedCall> {
            const auto written = scalar_text(reader, node, "a bearing and a length, or one of them");
            if (!written) return std::nullopt;
            const auto parsed = parse_chord(*written, reader.unit);
            if (!parsed.value) reader.error(node, parsed.fault);
            return parsed.value;
          },
          scalar_shape(Shape::Kind::measure, {}, "Bearing and length of the chord, or one of them.",
                       {"N 30-35-13 W 236.47", "236.47"})};
}

Fields<ArcMap> arc_fields() {
  using A = ArcMap;
  const auto arc = [](A& a) -> DeedCall::Arc& {
    if (!a.call.arc) a.call.arc = DeedCall::Arc{};
    return *a.call.arc;
  };
  return Fields<A>(
      "an arc", "A curve of a deed. An arc without a bearing of its chord is tangent to the course before it.",
      {key_with<A>(
           "arc", words<bool>({{"left", true}, {"right", false}}), [arc](A& a, bool v, Span) { arc(a).to_left = v; },
           "On which hand the centre lies, going on.")
           .required(),
       key_with<A>(
           "radius", length({1e-6, 1e6}), [arc](A& a, double v, Span) { arc(a).radius = v; }, "Radius of the curve.")
           .required(),
       key_with<A>(
           "delta", angle(), [arc](A& a, double v, Span) { arc(a).delta = v; }, "Central angle."),
       key_with<A>(
           "length", length({1e-6, 1e6}), [arc](A& a, double v, Span) { arc(a).arc_length = v; },
           "Length along the curve."),
       key_with<A>(
           "chord", chord(),
           [](A& a, DeedCall v, Span) {
             a.call.bearing = v.bearing;
             a.call.distance = v.distance;
           },
           "Bearing and length of the chord, or one of them.")});
}

}  // namespace

Form<DeedCall> deed_call() {
  static const ShapeRef shape = [] {
    auto choice = std::make_shared<Shape>();
    choice->kind = Shape::Kind::choice;
    choice->name = "deed-call";
    choice->doc = "A call of a deed: a bearing and a length, or an arc.";
    choice->choices = {scalar_shape(Shape::Kind::text, {}, "A course, or an arc in words.",
                                    {"N 04 30 00 E 118.00",
                                     "arc left radius 475 delta 28-49-34 chord N 30-35-13 W 236.47 length 238.98"}),
                       std::make_shared<Shape>(arc_fields().shape())};
    return choice;
  }();
  auto map = map_of(arc_fields());
  return {[read_map = std::move(map.read)](Reader& reader, const YamlNode& node) -> std::optional<DeedCall> {
            std::optional<DeedCall> call;
            if (node.kind == YamlNode::Kind::map) {
              if (auto arc = read_map(reader, node)) call = std::move(arc->call);
              if (call && !call->arc) return std::nullopt;  // a key that is needed was missing or wrong
            } else {
              const auto written = scalar_text(reader, node, "a bearing and a length, or an arc");
              if (!written) return std::nullopt;
              auto parsed = parse_deed_call(*written, reader.unit);
              if (!parsed.value) reader.error(node, parsed.fault);
              call = std::move(parsed.value);
            }
            if (!call) return std::nullopt;
            call->at = node.at;
            if (call->arc && !call->arc->delta && !call->arc->arc_length && !call->distance) {
              reader.error(node.at, "this arc does not say how far it goes",
                           "one of `delta`, `length` or a `chord` length");
              return std::nullopt;
            }
            return call;
          },
          shape};
}

}  // namespace swingtie::form
