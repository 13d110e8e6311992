#include "job/deed_text.hpp"

#include <fmt/format.h>

#include <array>
#include <optional>
#include <string>

#include "measure/bearing.hpp"
#include "measure/scanner.hpp"

namespace swingtie {
namespace {

template <class T>
Parsed<T> shifted(TextFault fault, std::size_t offset) {
  fault.offset += offset;
  return {{}, std::move(fault)};
}

/// The parts of an arc in words; offsets of the words that name them.
enum class ArcPart { turn, radius, delta, chord, length };

std::optional<ArcPart> arc_part(std::string_view word) {
  if (word == "arc" || word == "curve") return ArcPart::turn;
  if (word == "radius") return ArcPart::radius;
  if (word == "delta" || word == "angle") return ArcPart::delta;
  if (word == "chord") return ArcPart::chord;
  if (word == "length") return ArcPart::length;
  return std::nullopt;
}

constexpr std::string_view arc_example =
    "`arc left radius 475 delta 28-49-34 chord N 30-35-13 W 236.47 length 238.98`, of which some parts may be "
    "missing";

/// Puts the text of one part into the call. @return a fault, its offset counted from the part's text
std::optional<TextFault> put_part(DeedCall& call, ArcPart part, std::string_view text, LengthUnit unit) {
  DeedCall::Arc& arc = *call.arc;
  const auto take = [&](auto parsed, auto& target) -> std::optional<TextFault> {
    if (!parsed.value) return parsed.fault;
    target = *parsed.value;
    return std::nullopt;
  };
  switch (part) {
    case ArcPart::turn: {
      const bool left = text == "left" || text == "L" || text == "l";
      if (!left && text != "right" && text != "R" && text != "r") {
        return TextFault{0, 1, fmt::format("`{}` is no turn of an arc", text), "`left` or `right`"};
      }
      arc.to_left = left;
      return std::nullopt;
    }
    case ArcPart::radius:
      return take(parse_length(text, unit), arc.radius);
    case ArcPart::delta:
      return take(parse_angle(text), arc.delta);
    case ArcPart::length:
      return take(parse_length(text, unit), arc.arc_length);
    case ArcPart::chord: {
      const auto chord = parse_chord(text, unit);
      if (!chord.value) return chord.fault;
      call.bearing = chord.value->bearing;
      call.distance = chord.value->distance;
      return std::nullopt;
    }
  }
  return std::nullopt;
}

Parsed<DeedCall> parse_arc(Scanner& in, LengthUnit unit) {
  struct Piece {
    ArcPart part;
    std::size_t begin, end;
  };
  std::vector<Piece> pieces;
  while (!in.done()) {
    in.skip_spaces();
    const std::size_t at = in.at();
    const auto part = in.peek_letter() ? arc_part(in.take_word()) : std::nullopt;
    if (part) {
      if (!pieces.empty()) pieces.back().end = at;
      pieces.push_back({*part, in.at(), in.size()});
    } else {
      while (!in.done() && in.peek() != U' ') in.go_to(in.at() + 1);
    }
  }
  DeedCall call;
  call.arc = DeedCall::Arc{};
  for (const Piece& piece : pieces) {
    std::string text = in.between(piece.begin, piece.end);
    const std::size_t skipped = std::min(text.find_first_not_of(' '), text.size());
    text.erase(0, skipped);
    while (!text.empty() && (text.back() == ' ' || text.back() == ',')) text.pop_back();
    if (auto fault = put_part(call, piece.part, text, unit)) {
      return shifted<DeedCall>(std::move(*fault), piece.begin + skipped);
    }
  }
  return {call, {}};
}

}  // namespace

Parsed<WallLeg> parse_wall_leg(std::string_view text, LengthUnit unit) {
  Scanner in(text);
  in.skip_spaces();
  WallLeg leg;
  bool turns = false;
  if (in.peek_letter()) {
    const std::size_t at = in.at();
    const std::string word = in.take_word();
    const bool left = word == "l" || word == "left", right = word == "r" || word == "right";
    if (!left && !right) {
      return {{},
              in.fault(at, in.at(), fmt::format("`{}` is no turn", in.between(at, in.at())),
                       "`L` or `R`, then an angle unless it is 90, then a length")};
    }
    turns = true;
    leg.turn = (left ? -1 : 1) * pi / 2;
    in.skip_spaces();
  }
  const std::size_t begin = in.at();
  const auto checked = [&](double metres, std::size_t offset) -> Parsed<WallLeg> {
    leg.distance = metres;
    if (metres > 0) return {leg, {}};
    return {{}, in.fault(offset, in.size(), "a wall must have a length", "more than 0")};
  };
  const auto alone = parse_length(in.between(begin, in.size()), unit);
  if (alone.value) return checked(*alone.value, begin);
  if (turns) {
    // `R 45 12.5`: the first split at a space that leaves an angle before it and a length behind.
    for (std::size_t split = begin; split < in.size(); ++split) {
      if (in.between(split, split + 1) != " ") continue;
      const auto turn = parse_angle(in.between(begin, split));
      const auto distance = parse_length(in.between(split + 1, in.size()), unit);
      if (!turn.value || !distance.value) continue;
      if (!(*turn.value > 0 && *turn.value < pi)) {
        return {{}, in.fault(begin, split, "a wall turns by more than 0 and less than 180 degrees", {})};
      }
      leg.turn = (leg.turn < 0 ? -1 : 1) * *turn.value;
      return checked(*distance.value, split + 1);
    }
  }
  return shifted<WallLeg>(alone.fault, begin);
}

Parsed<DeedCall> parse_chord(std::string_view text, LengthUnit unit) {
  DeedCall call;
  const auto course = parse_course(text, unit);
  if (course.value) {
    call.bearing = course.value->bearing;
    call.distance = course.value->distance;
    return {call, {}};
  }
  const auto length = parse_length(text, unit);
  if (length.value) {
    call.distance = *length.value;
    return {call, {}};
  }
  const auto bearing = parse_bearing(text);
  if (bearing.value) {
    call.bearing = *bearing.value;
    return {call, {}};
  }
  return {{}, course.fault};
}

Parsed<DeedCall> parse_deed_call(std::string_view text, LengthUnit unit) {
  Scanner in(text);
  in.skip_spaces();
  const std::size_t begin = in.at();
  if (in.peek_letter() && arc_part(in.take_word()) == ArcPart::turn) {
    in.go_to(begin);
    auto arc = parse_arc(in, unit);
    if (arc.value && !(arc.value->arc->radius > 0)) {
      return {{}, in.fault(begin, in.size(), "this arc has no radius", std::string(arc_example))};
    }
    return arc;
  }
  const auto course = parse_course(text, unit);
  if (!course.value) return {{}, course.fault};
  DeedCall call;
  call.bearing = course.value->bearing;
  call.distance = course.value->distance;
  return {call, {}};
}

}  // namespace swingtie
