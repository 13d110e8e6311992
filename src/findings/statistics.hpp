#pragma once

#include <span>
#include <vector>

#include "findings/findings.hpp"

namespace swingtie {

/// Plain statistics of equally weighted draws. Of nothing at all every one of them is 0.

double mean_of(std::span<const double> values);
SitePoint mean_of(std::span<const SitePoint> points);
PlanCovariance covariance_of(std::span<const SitePoint> points);

/// The value below which this share of the values lies, interpolated; `values` is reordered.
double quantile(std::vector<double>& values, double share);

/// From the 2.5 % to the 97.5 % quantile.
Interval interval95(std::vector<double> values);

/// Azimuths differ by a whole turn at most; the difference in (-pi, pi].
double turn_between(Azimuth from, Azimuth to);

}  // namespace swingtie
