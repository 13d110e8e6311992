#include "simulate/truth.hpp"

#include <algorithm>

namespace swingtie::simulate {

namespace {

std::size_t piece_at(const TrueLine& line, double distance) {
  const auto above = std::upper_bound(line.distances.begin() + 1, line.distances.end() - 1, distance);
  return static_cast<std::size_t>(above - line.distances.begin()) - 1;
}

}  // namespace

Eigen::Vector3d TrueLine::direction(double distance) const {
  const std::size_t i = piece_at(*this, distance);
  return (vertices[i + 1] - vertices[i]).normalized();
}

Eigen::Vector3d TrueLine::at(double distance) const {
  return vertices[piece_at(*this, distance)] +
         (distance - distances[piece_at(*this, distance)]) * direction(distance);
}

double TrueLine::station(double distance) const {
  const std::size_t piece = piece_at(*this, distance);
  double sum = 0;
  for (std::size_t i = 0; i < piece; ++i) sum += (vertices[i + 1] - vertices[i]).head<2>().norm();
  return sum + (distance - distances[piece]) * direction(distance).head<2>().norm();
}

Eigen::Vector3d Truth::at(std::size_t run, CounterReading reading) const {
  return lines[runs[run].line].at(runs[run].distance(reading.metres));
}

}  // namespace swingtie::simulate
