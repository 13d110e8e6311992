#include "cli/template.hpp"

namespace swingtie {

const std::string_view job_template =
    R"yaml(# One house sewer, as it was measured. Change it line by line into yours; it draws at every step:
#
#     swingtie check .                  do the readings hang together?
#     swingtie draw . -o plan.pdf       the plan
#
# Lengths without a unit are in the site's unit. Any length may carry its own: 5'6", 66 in, 1.7 m.
# `swingtie schema` gives your editor the full list of keys.

swingtie: 1

site:
  name: 5 Sparrow Lane, Millbrook     # printed in the title
  units: ft                           # ft, us-ft or m
  # The grid below is our own: north is up, and the lot's corner was called 100, 100. Two ways to tie it to the Earth:
  # crs: EPSG:3734                    # the coordinates below are those of a map grid
  # anchor: {grid: [100, 100], lat: 41.20000, lon: -81.40000, grid_north: 0}
  inspected: 2026-05-20
  by: Your name

# ---------------------------------------------------------------- what stands on the lot
# kinds: lot house curb right-of-way centerline driveway walk fence wall tree rock hydrant pole meter valve manhole
#        main water gas electric comms mark
features:
  - {id: lot, kind: lot, area: [[100, 100], [100, 210], [160, 210], [160, 100]], corners: [sw, nw, ne, se], street: sw-se}

  # The house by tape: where its first corner is, then wall by wall, R or L where one turns.
  - id: house
    kind: house
    walls:
      start: {along: lot.sw-se, from: lot.sw, go: 12, in: 30}
      heading: N 0 E
      legs: ["28", "R 36", "R 28", "R 36"]
      corners: [sw, nw, ne, se]

  - {id: curb, kind: curb, line: [[80, 89], [180, 89]]}
  - {id: row, kind: right-of-way, offset: {from: curb, by: 11, toward: house}}
  - {id: sewer, kind: main, label: city sewer, line: [[80, 75], [180, 75]]}

  # Two tapes from fixed corners place a point; `side` says on which side of them it lies.
  - {id: oak, kind: tree, label: oak, at: {ties: {house.sw: 20'3", house.se: 40'10"}, side: toward curb}, trunk: 18 in, spread: 26}
  - {id: hydrant, kind: hydrant, at: [150, 92]}

# ---------------------------------------------------------------- what the camera and the receiver said
runs:
  - id: R1
    from:
      at: {along: house.sw-se, from: house.sw, go: 20, out: 2}
      what: clean-out in the front bed
      drop: 4.2                       # ground to the bottom of the pipe
      within: 0.5                     # known within this much (95 %)
    counter: {zero: at pipe entry}    # or: at rim, or: 3.5 when it showed 3.5 there
    camera: {sonde_behind_lens: 12 in}
    bends: all                        # all, some or none of the bends were written down

    # at = what the counter showed. Left and right are as the camera travels.
    log:
      - {at: 0, pipe: 4 in cast iron}
      - {at: 10.1, bend: right 45}
      - {at: 13, pipe: 6 in clay}
      - {at: 19.5, see: "joint open half an inch, fine roots", act: dig}    # act: dig, watch or none
      - {at: 24.2, bend: left 45}
      - {at: 44, see: hairline crack at the crown, act: watch}
      - {at: 57.1, end: city main}

    # at = what the counter showed while the receiver stood over the camera.
    locates:
      - {at: 11, position: {ties: {house.sw: 23'5", house.se: 20'0"}, side: toward curb}, depth: 4.3}
      - {at: 18, position: {ties: {house.sw: 22'8", house.se: 26'11"}, side: toward curb}, depth: 4.4}
      - {at: 40, position: {ties: {house.sw: 38'3", house.se: 45'0"}, side: toward curb}, depth: {along: 4.9, across: 5.4}}
      - {at: 56, position: {off: curb, from: curb.1, go: 42.2, right: 11.8}, depth: 5.2}

# Up to where the house's owner owns the line, and who says so.
ownership: {private_until: right-of-way, source: ask the city}
)yaml";

}  // namespace swingtie
