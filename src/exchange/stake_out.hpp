#pragma once

#include <span>
#include <string>

#include "exchange/table.hpp"

namespace swingtie {

/// The points that somebody will set out on the ground, as CSV (RFC 4180, UTF-8, CRLF): dig points and the corners of
/// their windows, crossings, clean-outs, items and stations, each with coordinates of the job's grid, latitude and
/// longitude where the job knows them, depth, and how well it is known.
std::string write_stake_out(std::span<const JobFindings> jobs);

}  // namespace swingtie
