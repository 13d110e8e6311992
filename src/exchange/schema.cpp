#include <initializer_list>

#include "exchange/table.hpp"

namespace swingtie {
namespace {

using enum FieldType;

// Notions of published standards that columns follow; the names as samples/FORMATS.md lists them.
constexpr std::string_view horizontal_accuracy = "FGDC-STD-007.3 (NSSDA) horizontal accuracy at 95 %";
constexpr std::string_view vertical_accuracy = "FGDC-STD-007.3 (NSSDA) vertical accuracy at 95 %";
constexpr std::string_view date_notion = "ISO 8601 calendar date";
constexpr std::string_view dbh_notion = "diameter at breast height (DBH) of forestry";

const TableField job{"job", text, FieldUnit::none, "name of the job: its file without the extension", ""};
const TableField site{"site", text, FieldUnit::none, "what the job calls the site", ""};
const TableField inspected{"inspected", text, FieldUnit::none, "day of the inspection", date_notion};
const TableField units{"units", text, FieldUnit::none, "unit of every length in the row: ft, us-ft or m", ""};
const TableField line{"line", text, FieldUnit::none, "id of the line", ""};
const TableField run{"run", text, FieldUnit::none, "id of the camera run", ""};
const TableField at{"at", real, FieldUnit::site, "counter reading, as written", ""};
const TableField station{"station", real, FieldUnit::site, "distance along the line on the plan, from the house", ""};
const TableField station_low{"sta_lo95", real, FieldUnit::site, "lower end of the station's 95 % interval", ""};
const TableField station_high{"sta_hi95", real, FieldUnit::site, "upper end of the station's 95 % interval", ""};
const TableField depth{"depth", real, FieldUnit::site, "ground surface to the pipe's axis", ""};
const TableField depth_low{"dep_lo95", real, FieldUnit::site, "lower end of the depth's 95 % interval", ""};
const TableField depth_high{"dep_hi95", real, FieldUnit::site, "upper end of the depth's 95 % interval", ""};
const TableField probability{"prob", real, FieldUnit::probability, "probability that the row's claim is true", ""};
const TableField basis{
    "basis", text, FieldUnit::none,
    "what the position rests on: located (near a receiver locate), inferred (cable and bends only), "
    "stated (written in the job)",
    "the idea of ASCE 38 quality levels; no level is claimed"};
const TableField accuracy{
    "acc_h95", real, FieldUnit::site,
    "what the row's coordinates are worth where this file has them: half the long axis of the 95 % ellipse, how the "
    "lot lies on the grid and the way to longitude and latitude included",
    horizontal_accuracy};
const TableField relative{"rel_h95", real, FieldUnit::site,
                          "the same against what stands on the lot: for a tape from there, not for a coordinate",
                          "ISO 19157 relative positional accuracy"};
const TableField accuracy_depth{"acc_v95", real, FieldUnit::site, "half of the depth's 95 % interval",
                                vertical_accuracy};

/// Each layer's rows begin by saying which job they belong to and in which unit they speak.
std::vector<TableField> with_job(std::initializer_list<TableField> fields) {
  std::vector<TableField> all{job, site, inspected, units};
  all.insert(all.end(), fields);
  return all;
}

}  // namespace

const std::vector<TableSchema>& table_schemas() {
  static const std::vector<TableSchema> schemas{
      {"features", TableGeometryKind::any, "what stands on the lot, as the job states it",
       with_job({{"feature", text, FieldUnit::none, "id of the feature", ""},
                 {"kind", text, FieldUnit::none, "house, tree, right-of-way …: the job file's words", ""},
                 {"label", text, FieldUnit::none, "name to print", ""},
                 {"material", text, FieldUnit::none, "of a utility", ""},
                 {"trunk", real, FieldUnit::site, "diameter of a tree's trunk", dbh_notion},
                 {"spread", real, FieldUnit::site, "diameter of a tree's crown", ""},
                 {"width", real, FieldUnit::site, "of a driveway, walk, fence or wall", ""},
                 {"size", real, FieldUnit::site, "outside diameter of a utility", ""},
                 {"depth", real, FieldUnit::site, "of a utility, ground to its top", ""},
                 {"area", real, FieldUnit::square, "area on the plan", ""},
                 basis,
                 accuracy,
                 relative})},
      {"corridor", TableGeometryKind::area, "band that holds the line at each station with 95 %",
       with_job({line, probability, basis, accuracy, relative})},
      {"item_regions", TableGeometryKind::area, "smallest region that holds an item with 95 %",
       with_job({run,
                 at,
                 line,
                 {"what", text, FieldUnit::none, "what was seen", ""},
                 {"act", text, FieldUnit::none, "dig, watch or none", ""},
                 probability,
                 basis,
                 accuracy,
                 relative})},
      {"dig_outlines", TableGeometryKind::area, "outline of the hole at grade for one way of holding its sides",
       with_job({run,
                 at,
                 {"sides", text, FieldUnit::none, "how the sides are held", ""},
                 {"applies", truth, FieldUnit::none, "for the soil that the job states, or the one taken", ""},
                 {"length", real, FieldUnit::site, "along the pipe, at grade", ""},
                 {"width", real, FieldUnit::site, "across the pipe, at grade", ""},
                 {"volume", real, FieldUnit::cubic, "of the hole", ""},
                 {"setback", real, FieldUnit::site, "least distance of the spoil from the edge", ""},
                 basis,
                 accuracy,
                 relative})},
      {"dig_windows", TableGeometryKind::area, "rectangle along the pipe that contains the point to dig for",
       with_job({run,
                 at,
                 line,
                 {"what", text, FieldUnit::none, "what is to be found", ""},
                 {"length", real, FieldUnit::site, "along the pipe", ""},
                 {"width", real, FieldUnit::site, "across the pipe", ""},
                 {"azimuth", real, FieldUnit::degree, "of the pipe, toward the main", ""},
                 probability,
                 depth,
                 depth_low,
                 depth_high,
                 {"top", real, FieldUnit::site, "ground to the top of the pipe", ""},
                 {"top_lo95", real, FieldUnit::site, "lower end of its 95 % interval", ""},
                 {"top_hi95", real, FieldUnit::site, "upper end of its 95 % interval", ""},
                 {"invert", real, FieldUnit::site, "ground to the invert of the pipe", ""},
                 {"inv_lo95", real, FieldUnit::site, "lower end of its 95 % interval", ""},
                 {"inv_hi95", real, FieldUnit::site, "upper end of its 95 % interval", ""},
                 {"ties", text, FieldUnit::none, "the swing ties in words", ""},
                 {"offset", text, FieldUnit::none, "the spot by offsets from what one can see", ""},
                 basis,
                 accuracy,
                 relative,
                 accuracy_depth})},
      {"alternatives", TableGeometryKind::line, "courses the line may have, each with its probability",
       with_job({line,
                 probability,
                 {"because", text, FieldUnit::none, "which mistakes in the notes go with it", ""},
                 basis,
                 accuracy,
                 relative})},
      {"route", TableGeometryKind::line, "the line, cut where the pipe or what is known of it changes",
       with_job({line,
                 {"from_sta", real, FieldUnit::site, "station where the piece begins", ""},
                 {"to_sta", real, FieldUnit::site, "station where the piece ends", ""},
                 {"length", real, FieldUnit::site, "of the piece on the plan", ""},
                 {"pipe", text, FieldUnit::none, "size and material, as written", ""},
                 {"material", text, FieldUnit::none, "of the pipe", ""},
                 {"diam_mm", real, FieldUnit::millimetre, "nominal inside diameter", ""},
                 {"dep_min", real, FieldUnit::site, "least depth on the piece, ground to axis", ""},
                 {"dep_max", real, FieldUnit::site, "largest depth on the piece, ground to axis", ""},
                 basis,
                 accuracy,
                 relative,
                 accuracy_depth})},
      {"ties", TableGeometryKind::line, "tape distances from what stands still to what is buried",
       with_job({{"target", text, FieldUnit::none, "what is found with it", ""},
                 {"from_point", text, FieldUnit::none, "name of the fixed point", ""},
                 {"says", text, FieldUnit::none, "what one sees there", ""},
                 {"distance", real, FieldUnit::site, "held level", ""},
                 {"dis_lo95", real, FieldUnit::site, "lower end of its 95 % interval", ""},
                 {"dis_hi95", real, FieldUnit::site, "upper end of its 95 % interval", ""},
                 {"is_check", truth, FieldUnit::none, "a third tape, to notice a mistake", ""},
                 {"finder95", real, FieldUnit::site, "how far the tapes alone can put the finder off", ""},
                 basis,
                 accuracy,
                 relative})},
      {"stations", TableGeometryKind::point, "points along the line",
       with_job({line,
                 station,
                 depth,
                 depth_low,
                 depth_high,
                 {"elevation", real, FieldUnit::site, "of the pipe's axis, where the job knows elevations", ""},
                 basis,
                 accuracy,
                 relative,
                 accuracy_depth})},
      {"access", TableGeometryKind::point, "clean-outs and other points where the camera went in",
       with_job({run,
                 line,
                 {"what", text, FieldUnit::none, "what it is", ""},
                 {"drop", real, FieldUnit::site, "ground or floor to the pipe's invert", ""},
                 basis,
                 accuracy,
                 relative})},
      {"locates", TableGeometryKind::point, "where the receiver was read, as read",
       with_job({run,
                 at,
                 {"taken_by", text, FieldUnit::none, "peak, nulls or line", ""},
                 {"depth_read", real, FieldUnit::site, "depth as read", ""},
                 {"off_along", real, FieldUnit::site, "read minus adjusted, along the pipe toward the main", ""},
                 {"off_across", real, FieldUnit::site, "read minus adjusted, across the pipe, right positive", ""},
                 {"off_depth", real, FieldUnit::site, "read minus adjusted, depth", ""},
                 {"p_wrong", real, FieldUnit::probability, "that the locate or its counter is wrong", ""},
                 {"marked", text, FieldUnit::none, "what was left on the ground", ""},
                 {"note", text, FieldUnit::none, "as written", ""},
                 basis,
                 accuracy,
                 relative})},
      {"crossings", TableGeometryKind::point, "where the line crosses a limit",
       with_job({{"feature", text, FieldUnit::none, "id of the limit", ""},
                 {"kind", text, FieldUnit::none, "its kind", ""},
                 line,
                 probability,
                 station,
                 station_low,
                 station_high,
                 depth,
                 depth_low,
                 depth_high,
                 basis,
                 accuracy,
                 relative,
                 accuracy_depth})},
      {"items", TableGeometryKind::point, "what the camera saw",
       with_job({run,
                 at,
                 line,
                 station,
                 station_low,
                 station_high,
                 {"what", text, FieldUnit::none, "what was seen", ""},
                 {"act", text, FieldUnit::none, "dig, watch or none", ""},
                 depth,
                 depth_low,
                 depth_high,
                 {"p_private", real, FieldUnit::probability, "that it lies on the private side of the limit", ""},
                 {"says", text, FieldUnit::none, "what stands above it and what would settle its side", ""},
                 {"photo", text, FieldUnit::none, "file name", ""},
                 basis,
                 accuracy,
                 relative,
                 accuracy_depth})},
  };
  return schemas;
}

}  // namespace swingtie
