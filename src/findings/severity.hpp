#pragma once

#include <optional>
#include <string_view>

namespace swingtie {

/// How bad a note says a thing is. Only values of one scale can be compared.
struct NoteSize {
  enum class Scale {
    length,  ///< `1 in`, `10 mm`: metres
    share,   ///< `5 %`, `half the bore`: 0 to 1
    word,    ///< `light` 1, `medium` 2, `heavy` 3
  } scale = Scale::word;
  double value = 0;
};

/// The first size that a note states, if it states one.
std::optional<NoteSize> note_size(std::string_view note);

/// Which kind of thing a note speaks of: `joint`, `crack`, `roots`, `belly` …; empty for none that is known.
std::string_view note_kind(std::string_view note);

/// Whether a note speaks of ground lost around the pipe, or of a pipe that no longer holds it: a void, soil washing
/// in, a piece missing, a collapse.
bool loses_ground(std::string_view note);

}  // namespace swingtie
