#include "place/survey.hpp"

#include <tuple>

namespace swingtie {
namespace {

class Survey {
 public:
  void see(const Position& position) {
    if (const auto* c = std::get_if<ByCoordinates>(&position.recipe)) {
      auto& sample = found_.sample;
      if (!sample || std::tie(c->n, c->e) < std::tie(sample->n, sample->e)) sample = PlanPoint{c->e, c->n};
    } else if (std::holds_alternative<ByLonLat>(position.recipe)) {
      if (!found_.first_lon_lat || position.at < *found_.first_lon_lat) found_.first_lon_lat = position.at;
    }
  }
  void see(const FeatureEntry& entry) {
    struct Visit {
      Survey& survey;
      void operator()(const PointGeometry& g) { survey.see(g.at); }
      void operator()(const LineGeometry& g) {
        for (const Position& p : g.vertices) survey.see(p);
      }
      void operator()(const AreaGeometry& g) {
        for (const Position& p : g.vertices) survey.see(p);
      }
      void operator()(const Deed& g) { survey.see(g.start); }
      void operator()(const Walls& g) { survey.see(g.start); }
      void operator()(const OffsetLine&) {}
      void operator()(const FileSource& g) {
        if (g.near) survey.see(*g.near);
      }
    };
    std::visit(Visit{*this}, entry.geometry);
  }
  PositionSurvey result() const { return found_; }

 private:
  PositionSurvey found_;
};

}  // namespace

PositionSurvey survey_positions(const Job& job) {
  Survey survey;
  for (const FeatureEntry& entry : job.features) survey.see(entry);
  if (job.ground) {
    if (const auto* by_spots = std::get_if<Ground::Spots>(&job.ground->surface)) {
      for (const GroundSpot& spot : by_spots->spots) survey.see(spot.at);
    }
  }
  for (const LineEntry& line : job.lines) {
    if (line.end.point) survey.see(*line.end.point);
  }
  for (const RunEntry& run : job.runs) {
    survey.see(run.from.at);
    for (const LocateEntry& locate : run.locates) survey.see(locate.position);
  }
  return survey.result();
}

}  // namespace swingtie
