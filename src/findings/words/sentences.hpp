#pragma once

#include <string>
#include <vector>

#include "findings/findings.hpp"

namespace swingtie::words {

/// Text built up of headings, sentences and list lines.
class Text {
 public:
  void heading(const std::string& words);
  /// Starts a new paragraph, or goes on in the present one.
  void paragraph(const std::string& sentence);
  void sentence(const std::string& sentence);
  void bullet(const std::string& words);
  std::string str() const;

 private:
  void close();
  std::string out_, open_;
  bool in_list_ = false;
};

/// Site, date, who inspected.
std::string title(const Placed& placed);

/// How sure a probability is in words that cannot be taken for more: `almost certainly (more than 99 %)`,
/// `probably (86 %)`, `about as likely as not (52 %)`.
std::string likely(double probability);

/// First letter large.
std::string capital(std::string words);

/// What the viewer is to do so that left and right mean the same to him.
std::string stance(const Viewer& viewer);

/// Which way the line runs at a point, as the viewer sees it, and how a tape sets that direction out.
std::string pipe_direction(const Placed& placed, const Viewer& viewer, Azimuth along);

/// The swing ties of a point, as instructions for two tapes and a check.
std::string ties(const Placed& placed, const TieSet& set);

/// Whose side an item is on.
std::string side(const ItemFinding& item);

/// The items to repair or watch whose side is open, in one sentence; empty when there is none.
std::string open_sides(const Placed& placed, const Findings& findings);

/// Where a point lies in the viewer's frame, from the house's front wall or else the street's side.
std::string spot(const Placed& placed, const Viewer& viewer, PlanPoint at);

/// Radius of the circle about a point that holds the true one with 95 %, from its ellipse.
double radius95(const ErrorEllipse& ellipse);

/// What the readings say of themselves: whether they hang together, and on which mistakes the answer leans.
std::vector<std::string> trust(const Placed& placed, const Findings& findings);

/// What the sides and their probabilities rest on; empty where the job states no rule.
std::string rests_on_rule(const Findings& findings);

/// What a shored box at a dig point would meet: `the bur oak (root zone)`.
std::vector<std::string> met_by_box(const Placed& placed, const DigFinding& dig);

/// The line an item lies on, where there is more than one: `line studio, `.
std::string on_line(const Findings& findings, const ItemFinding& item);

/// `67 cu yd` or `51 m3`.
std::string volume(double cubic_metres, LengthUnit unit);

/// Cautions under their heading.
void add_cautions(Text& text, const Findings& findings);

}  // namespace swingtie::words
