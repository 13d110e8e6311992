#pragma once

#include <vector>

#include "measure/covariance.hpp"
#include "measure/plane.hpp"
#include "sheet/paper_geometry.hpp"

namespace swingtie {

/// How a piece of the site lies on the paper.
struct PlanView {
  PaperBox box;  ///< what shows
  double denominator = 240;
  Azimuth up;       ///< grid azimuth that points up the sheet
  PlanPoint focus;  ///< at the middle of the box

  double mm(double metres) const { return metres * 1000 / denominator; }
  PaperPoint to_paper(PlanPoint p) const;
  PlanPoint to_plan(PaperPoint p) const;
  Polyline to_paper(const std::vector<PlanPoint>& line) const;
  /// Direction on the paper of a grid azimuth, radians clockwise from the x axis.
  double paper_angle(Azimuth a) const;
};

/// Extent of some points in a frame turned so that `up` points up: width and height in metres and its middle.
struct TurnedExtent {
  double left = 0, right = 0, low = 0, high = 0;  ///< metres along the frame's axes
  Azimuth up;
  bool empty = true;

  explicit TurnedExtent(Azimuth up_azimuth) : up(up_azimuth) {}
  void add(PlanPoint p);
  void add(const std::vector<PlanPoint>& points);
  void grow(double by);
  double width() const { return empty ? 0 : right - left; }
  double height() const { return empty ? 0 : high - low; }
  PlanPoint middle() const;
};

/// Points of a circle.
std::vector<PlanPoint> ring_around(PlanPoint centre, double radius);
std::vector<PlanPoint> ellipse_outline(PlanPoint centre, const ErrorEllipse& ellipse);

}  // namespace swingtie
