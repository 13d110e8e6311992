#pragma once

#include <stdexcept>
#include <string>
#include <vector>

#include "place/placed.hpp"

namespace swingtie {

/// Why no job can be begun, in words for the user.
class CannotBegin : public std::runtime_error {
  using std::runtime_error::runtime_error;
};

struct NewJobRequest {
  std::string lot_file;              ///< a file of lots, as the current folder sees it
  std::string layer;                 ///< of it; empty: the one with an area that holds the point
  std::string folder;                ///< where the job file will stand; the job names its files relative to it
  LonLat at;                         ///< somewhere on the lot
  std::string log_csv, locates_csv;  ///< texts, not paths, of a camera log and of locates; may be empty
};

struct NewJob {
  std::string text;                ///< a job that reads and places, with comments that say what to change
  std::vector<std::string> found;  ///< what was found, and what was not, a line each
};

/// Begins a job with the lot that holds a point, and with what else lies about it in the same file and in files
/// beside it whose names say what they hold: buildings, trees, hydrants, manholes, poles, curbs, streets, sewers,
/// water, gas. The site is put on the grid of the file where that is fit for measuring, else on a grid of its own
/// anchored at the lot. Everything stays in its file; the job only names it.
/// @throws CannotBegin when the file cannot be read or no area of it holds the point; std::runtime_error when a
/// module is missing
NewJob new_job_from_parcel(const NewJobRequest& request);

}  // namespace swingtie
