#include "findings/words.hpp"

#include <fmt/format.h>

#include <catch2/catch.hpp>
#include <cctype>
#include <cstdlib>
#include <fstream>
#include <sstream>

#include "findings/lot.hpp"
#include "findings/words/sentences.hpp"
#include "measure/bearing.hpp"

using namespace swingtie;
using namespace swingtie::test;

namespace {

/// The whole text as it was read and accepted. To accept it as it is now, run this binary with SWINGTIE_ACCEPT=1.
void check_text(const std::string& name, const std::string& shown) {
  const std::string path = std::string(SWINGTIE_SOURCE_DIR "/tests/findings/expected/") + name;
  if (std::getenv("SWINGTIE_ACCEPT") != nullptr) std::ofstream(path, std::ios::binary) << shown;
  std::ifstream in(path, std::ios::binary);
  std::stringstream text;
  text << in.rdbuf();
  CHECK(shown == text.str());
}

Placed lot_with_a_tree() {
  Placed lot = plain_lot();
  Feature tree = point_feature("linden", FeatureKind::tree, {4.5, -6});
  tree.trunk = 14 * metres_per_inch;
  lot.features.push_back(tree);
  Feature gas = line_feature("gas", FeatureKind::gas, {{-10, -10}, {10, -10}});
  gas.depth = 0.6;
  lot.features.push_back(gas);
  Locate locate;
  locate.at = {8};
  locate.position.at = {1, -8};
  locate.depth.along = 1.75;
  locate.marked = "white stake";
  lot.runs[0].locates = {locate};
  return lot;
}

const std::string& text_for(Audience audience) {
  static const Placed lot = lot_with_a_tree();
  static const Findings findings = find(lot, straight_posterior(lot));
  static std::string texts[3];
  std::string& text = texts[static_cast<int>(audience)];
  if (text.empty()) text = tell(lot, findings, audience);
  return text;
}

}  // namespace

TEST_CASE("the excavator's text in full") {
  check_text("excavator.txt", text_for(Audience::excavator));
}
TEST_CASE("the buyer's text in full") {
  check_text("buyer.txt", text_for(Audience::buyer));
}
TEST_CASE("the city's text in full") {
  check_text("city.txt", text_for(Audience::city));
}

TEST_CASE("the excavator's text alone leads to the spot: its own tapes, swung, meet at the dig point") {
  const std::string& text = text_for(Audience::excavator);
  // Read back what is printed, as a finder would.
  const auto at = text.find("swing ");
  REQUIRE(at != std::string::npos);
  const auto feet = [](const std::string& words) { return *parse_length(words, LengthUnit::foot).value; };
  const std::string first = text.substr(at + 6, text.find(" from", at) - at - 6);
  const auto and_at = text.find(" and ", at);
  const std::string second = text.substr(and_at + 5, text.find(" from", and_at) - and_at - 5);
  const auto fixed = [&](std::string_view words) -> PlanPoint {
    if (words.find("front left corner of the house") != std::string::npos) return {-6, 0};
    if (words.find("front right corner of the house") != std::string::npos) return {6, 0};
    if (words.find("hydrant") != std::string::npos) return {11, -13.5};
    FAIL("tied to " << words);
    return {};
  };
  const PlanPoint a = fixed(text.substr(at, and_at - at)),
                  b = fixed(text.substr(and_at, text.find(';', and_at) - and_at));
  // The item lies at about e = 1, n = -8; the inch of the print moves it by less than two.
  CHECK(distance(a, {1, -8}) == Approx(feet(first)).margin(0.06));
  CHECK(distance(b, {1, -8}) == Approx(feet(second)).margin(0.06));
}

TEST_CASE("every text ends with the cautions") {
  for (const Audience audience : {Audience::excavator, Audience::buyer, Audience::city}) {
    const std::string& text = text_for(audience);
    CHECK(text.find("CAUTIONS\n") != std::string::npos);
    CHECK(text.rfind("Local codes and licensed practice rule") > text.find("CAUTIONS\n"));
    CHECK(text.back() == '\n');
  }
}

TEST_CASE("words for probabilities never claim more than the number") {
  CHECK(words::likely(0.999) == "almost certainly (more than 99 %)");
  CHECK(words::likely(0.97) == "very probably (97 %)");
  CHECK(words::likely(0.86) == "probably (86 %)");
  CHECK(words::likely(0.5) == "about as likely as not (50 %)");
  CHECK(words::likely(0.1) == "probably not (10 %)");
  CHECK(words::likely(0.001) == "very probably not (less than 1 %)");
}

TEST_CASE("a doubtful side is said plainly to all three") {
  Placed lot = plain_lot();
  lot.features[5] = line_feature("row", FeatureKind::right_of_way, {{-25, -8.1}, {25, -8.1}});
  const Findings findings = find(lot, straight_posterior(lot));
  for (const Audience audience : {Audience::excavator, Audience::buyer, Audience::city})
    CHECK(tell(lot, findings, audience).find("hose side it lies on cannot be told: private with") !=
          std::string::npos);
  for (const Audience audience : {Audience::buyer, Audience::city})
    CHECK(
        tell(lot, findings, audience).find("WHOSE IT IS CANNOT BE TOLD from these readings for: joint offset 1 in") !=
        std::string::npos);
}

TEST_CASE("where a side is doubtful nobody is to dig before it is agreed, and the city is asked") {
  Placed lot = plain_lot();
  const std::string sure = tell(lot, find(lot, straight_posterior(lot)), Audience::excavator);
  CHECK(sure.find("DO NOT DIG before the owner and the city have agreed") == std::string::npos);
  lot.features[5] = line_feature("row", FeatureKind::right_of_way, {{-25, -8.1}, {25, -8.1}});
  const Findings findings = find(lot, straight_posterior(lot));
  CHECK(tell(lot, findings, Audience::excavator).find("DO NOT DIG before the owner and the city have agreed") !=
        std::string::npos);
  const std::string city = tell(lot, findings, Audience::city);
  CHECK(city.find("Settle with the owner whose these are, which these readings cannot tell: joint offset 1 in") !=
        std::string::npos);
  CHECK(city.find("Name the street permit for a hole that may reach into the right-of-way: joint offset 1 in") !=
        std::string::npos);
  CHECK(tell(lot, findings, Audience::buyer).find("have a licensed plumber judge it now") != std::string::npos);
}

TEST_CASE("a trunk, a wall or a house in the sloped hole is said, and that so wide a hole does not fit") {
  const auto told = [](const std::vector<Feature>& more) {
    Placed lot = plain_lot();
    lot.features.insert(lot.features.end(), more.begin(), more.end());
    return tell(lot, find(lot, straight_posterior(lot)), Audience::excavator);
  };
  const auto says = [](const std::string& text, const char* words) { return text.find(words) != std::string::npos; };
  const std::string bare = told({});
  CHECK_FALSE(says(bare, "does not fit here"));
  Feature linden = point_feature("linden", FeatureKind::tree, {4, -8});
  linden.trunk = 0.3;
  const std::string tree = told({linden});
  CHECK(says(tree, "The trunk of the linden stands inside the hole at grade: so wide a hole means felling it."));
  CHECK(says(tree, "The sloped hole does not fit here: it would take in the linden."));
  const std::string shed = told({area_feature("shed", FeatureKind::house, {{3, -10}, {6, -10}, {6, -7}, {3, -7}})});
  CHECK(says(shed, "The sloped hole does not fit here: it would take in a part of the shed"));
  // A wall that cuts a corner off, too small a share of the area to count, is still brought down.
  const std::string wall = told({line_feature("garden", FeatureKind::wall, {{2, -12.9}, {6, -8}})});
  CHECK(says(wall, "garden (wall) stands in the hole at grade."));
  CHECK_FALSE(says(told({line_feature("garden", FeatureKind::wall, {{9, -12.9}, {13, -8}})}), "stands in the hole"));
}

TEST_CASE("who digs is told of what no plan shows: services behind a meter, the other sewer, lost ground") {
  Placed lot = plain_lot();
  const std::string text = tell(lot, find(lot, straight_posterior(lot)), Audience::excavator);
  CHECK(text.find("A buried service runs to the hydrant") != std::string::npos);
  CHECK(text.find("What is not listed may be there all the same") != std::string::npos);
  CHECK(text.find("The camera saw signs that ground is lost here") != std::string::npos);
  lot.runs[0].log[1].what = "fine roots at the joint";
  CHECK(tell(lot, find(lot, straight_posterior(lot)), Audience::excavator).find("ground is lost") ==
        std::string::npos);
}

TEST_CASE("a bend under the hole is told with its interval, one beyond it is not") {
  const auto told = [](double at) {
    Placed lot = plain_lot();
    LogItem bend;
    bend.at = {at};
    bend.bend = Bend{Hand::left, 45 * degree};
    lot.runs[0].log.insert(lot.runs[0].log.begin() + 2, bend);
    return tell(lot, find(lot, straight_posterior(lot)), Audience::excavator);
  };
  CHECK(told(8.5).find("The pipe bends 1.6 ft (") != std::string::npos);
  CHECK(told(8.5).find("from this point along the pipe, toward the main.") != std::string::npos);
  CHECK(told(11).find("The pipe bends") == std::string::npos);
}

TEST_CASE("the machine stops a foot above the shallow end of the depth's range") {
  const Placed lot = plain_lot();
  const Findings findings = find(lot, straight_posterior(lot));
  const double low = findings.digs.at(0).depth_to_top95.low / metres_per_foot;
  CHECK(tell(lot, findings, Audience::excavator).find(fmt::format("stop the machine at {:.1f} ft", low - 1)) !=
        std::string::npos);
}

TEST_CASE("a branch on the right of the water is on the left of who faces the house, pushed up or down") {
  Placed lot = plain_lot();
  LogItem wye;
  wye.at = {5};
  wye.wye = Hand::right;
  lot.runs[0].log.insert(lot.runs[0].log.begin() + 1, wye);
  const auto told = [&](Travel toward) {
    lot.runs[0].toward = toward;
    return tell(lot, find(lot, straight_posterior(lot)), Audience::buyer);
  };
  CHECK(told(Travel::toward_main).find("another line joins from the left.") != std::string::npos);
  CHECK(told(Travel::toward_house).find("another line joins from the right.") != std::string::npos);
}

TEST_CASE("a bend that a run pushed upstream wrote as left turns right as the water runs") {
  Placed lot = plain_lot();
  LogItem bend;
  bend.at = {5};
  bend.bend = Bend{Hand::left, 45 * degree};
  lot.runs[0].log.insert(lot.runs[0].log.begin() + 1, bend);
  const auto told = [&](Travel toward) {
    lot.runs[0].toward = toward;
    return tell(lot, find(lot, straight_posterior(lot)), Audience::buyer);
  };
  CHECK(told(Travel::toward_main)
            .find("it bends 45° to the left as the water runs, and still heads toward the street") !=
        std::string::npos);
  CHECK(told(Travel::toward_house).find("it bends 45° to the right as the water runs") != std::string::npos);
}

TEST_CASE("mistakes that are possible and do not carry the answer take one line, not one each") {
  const Placed lot = plain_lot();
  Posterior posterior = straight_posterior(lot);
  for (const double at : {5.0, 9.0}) {
    Explanation e;
    e.what = MistakeKind::unlogged_bend;
    e.at = {at};
    e.probability = 0.1;
    e.says = "run `R1`: a bend that nobody wrote down";
    posterior.explanations.push_back(e);
  }
  const std::string text = tell(lot, find(lot, posterior), Audience::excavator);
  CHECK(text.find("a bend that nobody wrote down near 16.4 ft and 29.5 ft on the cable (10 % each at most)") !=
        std::string::npos);
  CHECK(text.find("run `R1`: a bend") == std::string::npos);
}

TEST_CASE("a clean-out out of doors is told with its tapes to who digs") {
  Placed lot = plain_lot();
  lot.runs[0].access.at = {1, -2};
  const std::string text = tell(lot, find(lot, straight_posterior(lot)), Audience::excavator);
  CHECK(text.find("CLEAN-OUTS") != std::string::npos);
  CHECK(text.find("6'7\" out from the front wall of the house") < text.find("CAUTIONS"));
}

TEST_CASE("two runs from one clean-out share its ties") {
  Placed lot = plain_lot();
  lot.runs[0].access.at = {1, -2};
  Run again = lot.runs[0];
  again.id = "R2";
  lot.runs.push_back(again);
  Posterior posterior = straight_posterior(lot);
  for (RouteDraw& draw : posterior.draws) draw.runs.push_back(draw.runs.front());
  const Findings findings = find(lot, posterior);
  std::vector<std::string> of;
  for (const TieSet& set : findings.tie_sets)
    if (set.of.rfind("clean-out", 0) == 0) of.push_back(set.of);
  CHECK(of == std::vector<std::string>{"clean-out of R1 and R2"});
}

TEST_CASE("a contradiction warns every reader before anything else") {
  const Placed lot = plain_lot();
  Posterior posterior = straight_posterior(lot);
  posterior.verdict.kind = Verdict::Kind::contradiction;
  const Findings findings = find(lot, posterior);
  for (const Audience audience : {Audience::excavator, Audience::buyer, Audience::city}) {
    const std::string text = tell(lot, findings, audience);
    CHECK(text.find("do not dig by these figures") < text.find("CAUTIONS"));
    CHECK(text.find("do not dig by these figures") < 600);
  }
}

TEST_CASE("two courses that fit are told with the best one's probability") {
  const Placed lot = plain_lot();
  Spread spread;
  spread.bow = 0.6;
  spread.bow_share = 0.4;
  CHECK(tell(lot, find(lot, straight_posterior(lot, spread)), Audience::buyer)
            .find("2 courses of the line fit the readings; the best one has 60 %") != std::string::npos);
}

TEST_CASE("a job without anything to dig says so and still tells where the line runs") {
  Placed lot = plain_lot();
  lot.runs[0].log[1].act = Act::none;
  const Findings findings = find(lot, straight_posterior(lot));
  CHECK(tell(lot, findings, Audience::excavator).find("No spot of this line is marked to be dug") !=
        std::string::npos);
  CHECK(tell(lot, findings, Audience::buyer).find("Nothing that asks for repair or watching") != std::string::npos);
}

TEST_CASE("a metric lot is told in metres throughout") {
  const Placed lot = plain_lot(LengthUnit::metre);
  const Findings findings = find(lot, straight_posterior(lot));
  for (const Audience audience : {Audience::excavator, Audience::buyer, Audience::city}) {
    const std::string text = tell(lot, findings, audience);
    CHECK(text.find(" ft") == std::string::npos);
    for (std::size_t i = 1; i < text.size(); ++i)
      CHECK_FALSE((text[i] == '\'' && std::isdigit(static_cast<unsigned char>(text[i - 1])) != 0));
    CHECK(text.find("cu yd") == std::string::npos);
  }
}

TEST_CASE("audiences are named as the command spells them") {
  CHECK(audience_of("buyer") == Audience::buyer);
  CHECK_FALSE(audience_of("seller").has_value());
}
