#pragma once

#include "measure/bearing.hpp"
#include "measure/length.hpp"

namespace swingtie {

/// How often each mistake is made, and how large it is when it is. Standard deviations in metres and radians.
/// Frequencies are judgement (no publication counts them): a careful crew makes one of each in some tens of readings.
/// They need not be right to be useful, since a mistake of several sigma outweighs a factor of two in its odds; they
/// decide how much evidence is asked for before somebody is accused.
///
/// | mistake         | how often              | why                                                            |
/// |-----------------|------------------------|----------------------------------------------------------------|
/// | wrong locate    | 4 % of locates         | another conductor's peak, the wrong paint mark, a tape misread |
/// | misread counter | 1.5 % of locates       | a digit wrong; read at leisure, so rarer than the above        |
/// | wrong hand      | 4 % of bends           | left and right on a picture that rolls with the camera         |
/// | counter zero    | 3 % of runs            | still counting from the push before, or zeroed further in      |
/// | restart         | 0.5 % of runs          | the counter jumped or was reset on the way                     |
/// | unlogged bend   | 0.05, 1.2, 2.5 /100 ft | by what the job says of its notes: `all`, `some`, `none`       |
namespace odds {

inline constexpr double wrong_locate = 0.04;
inline constexpr double wrong_locate_plan = 2.1;  ///< per axis: 7 ft
inline constexpr double wrong_locate_depth = 0.8;

inline constexpr double misread_counter = 0.015;
inline constexpr double misread_by = 3.5;  ///< mostly 5, 10 or 20 ft

inline constexpr double wrong_hand = 0.04;

inline constexpr double counter_zero = 0.03;
inline constexpr double counter_zero_by = 1.8;
inline constexpr double counter_restart = 0.005;
inline constexpr double counter_restart_by = 3.0;

inline constexpr double unlogged_all = 0.05 / (100 * metres_per_foot);  ///< per metre of pipe
inline constexpr double unlogged_some = 1.2 / (100 * metres_per_foot);
inline constexpr double unlogged_none = 2.5 / (100 * metres_per_foot);
/// Root mean square of the standard fittings as often as they are met.
inline constexpr double unlogged_angle = 50 * degree;
/// How far from where the search puts it a bend may settle.
inline constexpr double unlogged_place = 2.0;

}  // namespace odds
}  // namespace swingtie
