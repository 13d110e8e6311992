#include "findings/window.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <vector>

namespace swingtie {
namespace {

struct Offset {
  double along = 0, across = 0;
};

/// A stretch of one axis.
struct Reach {
  double middle = 0, length = 0;
};

/// The shortest stretch in steps that holds `needed` of the sorted values: about zero, or wherever it is shortest.
Reach shortest(const std::vector<double>& sorted, std::size_t needed, double step, bool free) {
  Reach best;
  if (free) {
    best.length = std::numeric_limits<double>::infinity();
    for (std::size_t i = 0; i + needed <= sorted.size(); ++i) {
      const double length = sorted[i + needed - 1] - sorted[i];
      if (length < best.length) best = {(sorted[i + needed - 1] + sorted[i]) / 2, length};
    }
  } else {
    std::vector<double> magnitudes;
    magnitudes.reserve(sorted.size());
    for (const double value : sorted) magnitudes.push_back(std::abs(value));
    const auto last = magnitudes.begin() + static_cast<std::ptrdiff_t>(needed - 1);
    std::nth_element(magnitudes.begin(), last, magnitudes.end());
    best.length = 2 * *last;
  }
  best.length = std::max(1.0, std::ceil(best.length / step - 1e-9)) * step;
  return best;
}

/// Where a strip of this width holds most of the sorted values: its middle.
double densest(const std::vector<double>& sorted, double width) {
  std::size_t most = 0, first = 0;
  for (std::size_t i = 0, j = 0; i < sorted.size(); ++i) {
    while (j < sorted.size() && sorted[j] - sorted[i] <= width) ++j;
    if (j - i > most) {
      most = j - i;
      first = i;
    }
  }
  return (sorted[first] + sorted[first + most - 1]) / 2;
}

/// Sides and middle of a window in the pipe's own axes.
struct Sides {
  Reach along, across;
  double area() const { return along.length * across.length; }
  double skew() const { return std::abs(along.length - across.length); }
};

/// @param by_along  sorted along the pipe;  @param across  sorted offsets across it
Sides smallest(const std::vector<Offset>& by_along, const std::vector<double>& across, std::size_t needed,
               double step, bool free) {
  Sides best;
  best.along.length = best.across.length = std::numeric_limits<double>::infinity();
  const double widest = 2 * std::max(std::abs(across.front()), std::abs(across.back())) + step;
  std::vector<double> inside;
  for (double width = shortest(across, needed, step, free).length; width <= widest && width * step < best.area();
       width += step) {
    const double middle = free ? densest(across, width) : 0;
    inside.clear();
    for (const Offset& o : by_along)
      if (std::abs(o.across - middle) <= width / 2 + 1e-12) inside.push_back(o.along);
    if (inside.size() < needed) continue;
    const Sides here{shortest(inside, needed, step, free), {middle, width}};
    if (here.area() < best.area() - 1e-9 || (here.area() < best.area() + 1e-9 && here.skew() < best.skew() - 1e-9))
      best = here;
  }
  return best;
}

}  // namespace

Window fit_window(std::span<const SitePoint> draws, PlanPoint estimate, Azimuth along, double step, double wanted) {
  const PlanVector ahead = direction(along), right = right_of(ahead);
  const double n = static_cast<double>(draws.size());
  std::vector<Offset> by_along;
  std::vector<double> across;
  for (const SitePoint& p : draws) {
    by_along.push_back({dot(plan(p) - estimate, ahead), dot(plan(p) - estimate, right)});
    across.push_back(by_along.back().across);
  }
  std::sort(by_along.begin(), by_along.end(), [](const Offset& a, const Offset& b) { return a.along < b.along; });
  std::sort(across.begin(), across.end());
  // The best of many rectangles is the one that these draws flatter: it holds less of what they were drawn from, by
  // about one standard error of a share. So one standard error more is asked of the draws, and not counted.
  const double luck = std::sqrt(wanted * (1 - wanted) / n);
  const auto needed =
      std::clamp<std::size_t>(static_cast<std::size_t>(std::ceil((wanted + luck) * n - 1e-9)), 1, draws.size());

  Sides sides = smallest(by_along, across, needed, step, false);
  const Sides moved = smallest(by_along, across, needed, step, true);
  if (moved.area() < 0.75 * sides.area()) sides = moved;

  Window out{estimate + sides.along.middle * ahead + sides.across.middle * right, sides.along.length,
             sides.across.length, 0};
  const auto held = std::count_if(by_along.begin(), by_along.end(), [&](const Offset& o) {
    return std::abs(o.along - sides.along.middle) <= out.length / 2 + 1e-9 &&
           std::abs(o.across - sides.across.middle) <= out.width / 2 + 1e-9;
  });
  out.contains = static_cast<double>(held) / n;
  if (out.contains < 1) out.contains -= luck;
  return out;
}

double pit_volume(double length, double width, double depth, double slope) {
  const double middle = slope * depth, top = 2 * slope * depth;
  return depth / 6 * (length * width + 4 * (length + middle) * (width + middle) + (length + top) * (width + top));
}

}  // namespace swingtie
