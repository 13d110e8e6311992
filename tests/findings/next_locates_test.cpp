#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>

#include "findings/lot.hpp"

using namespace swingtie;
using namespace swingtie::test;

namespace {

const NextLocate& first_for(const Findings& findings, std::string_view question) {
  for (const NextLocate& next : findings.next_locates)
    if (next.question == question) return next;
  FAIL("no next locate for " << question);
  return findings.next_locates.front();
}

Spread loose() {
  Spread spread;
  spread.start = 0.02;
  spread.heading = 0.15;
  return spread;
}

}  // namespace

TEST_CASE("a sure job has enough for every question and says so") {
  Spread sure;
  sure.start = 0.02;
  sure.heading = 0.005;
  const Placed lot = plain_lot();
  for (const NextLocate& next : find(lot, straight_posterior(lot, sure)).next_locates) {
    CHECK(next.enough);
    CHECK(next.says.find("You have enough") == 0);
  }
}

TEST_CASE("the best locate for a dig point lies at it or beyond, and shrinks it") {
  const Placed lot = plain_lot();
  const Findings findings = find(lot, straight_posterior(lot, loose()));
  const NextLocate& next = first_for(findings, "dig at 26.2 ft");
  CHECK_FALSE(next.enough);
  CHECK(next.at.metres > 7);  // a heading is fixed best from far out
  CHECK(next.then95 < 0.5 * next.now95);
  CHECK(next.says.find("midway between the nulls") != std::string::npos);
}

TEST_CASE("where the camera stopped at a spot is a place to take a locate, be it at no round reading") {
  Placed lot = plain_lot();
  lot.runs[0].log[1].at = {8.037};
  // Known well but for the zero of the counter, which nothing shows better than the spot itself.
  Spread spread;
  spread.start = spread.heading = 0.001;
  spread.scale = 0.02;
  spread.zero = 1;
  const Findings findings = find(lot, straight_posterior(lot, spread));
  const bool there = std::any_of(findings.next_locates.begin(), findings.next_locates.end(), [](const NextLocate& n) {
    return n.question.rfind("dig at", 0) == 0 && std::abs(n.at.metres - 8.037) < 1e-9;
  });
  CHECK(there);
}

TEST_CASE("candidates are ranked by what they promise") {
  const Placed lot = plain_lot();
  const Findings findings = find(lot, straight_posterior(lot, loose()));
  double last = 0;
  int count = 0;
  for (const NextLocate& next : findings.next_locates) {
    if (next.question != "dig at 26.2 ft") continue;
    CHECK(next.then95 >= last);
    last = next.then95;
    ++count;
  }
  CHECK(count == 3);
}

TEST_CASE("the promised shrinkage is what conditioning the draws on such a locate gives") {
  // Plainly: take each of some draws for true, weigh all draws by a locate of that truth, and look at what is left.
  const Placed lot = plain_lot();
  Spread spread;
  spread.heading = 0.08;
  const Posterior posterior = straight_posterior(lot, spread, 800);
  const Posterior many = straight_posterior(lot, spread, 20000, 99);
  const Findings findings = find(lot, posterior);
  const NextLocate& next = first_for(findings, "whole route");
  REQUIRE_FALSE(next.enough);
  const auto at = [&](const RouteDraw& draw, double counter) {
    return point_at(draw, lot, 0, {counter}, Sight::sonde);
  };
  const double sigma =
      std::hypot(0.10, 0.08);  // position 0.15 m within 95 %: 0.06; receiver; and the counter's reading
  double sum = 0;
  constexpr int truths = 20;
  Normal normal(1);
  for (int t = 0; t < truths; ++t) {
    const SitePoint truth = at(many.draws[static_cast<std::size_t>(t)], next.at.metres);
    const double e = truth.e + normal(sigma), n = truth.n + normal(sigma);
    double weight = 0, mean_e = 0, mean_n = 0, square = 0;
    for (const RouteDraw& draw : many.draws) {
      const SitePoint p = at(draw, next.at.metres), end = point_at(draw, 0, {19});
      const double w = std::exp(-(std::pow(p.e - e, 2) + std::pow(p.n - n, 2)) / (2 * sigma * sigma));
      weight += w;
      mean_e += w * end.e;
      mean_n += w * end.n;
      square += w * (end.e * end.e + end.n * end.n);
    }
    mean_e /= weight;
    mean_n /= weight;
    sum += square / weight - mean_e * mean_e - mean_n * mean_n;
  }
  // Trace of what is left at the far end, as a 95 % radius of a circle of that trace: between a line's and a
  // circle's.
  const double left = std::sqrt(sum / truths);
  CHECK(next.then95 > 0.8 * 1.73 * left);
  CHECK(next.then95 < 1.3 * 1.96 * left);
}

TEST_CASE("two courses: the locate that tells them apart is where they part widely") {
  const Placed lot = plain_lot();
  Spread spread;
  spread.bow = 0.6;
  spread.bow_share = 0.4;
  const Findings findings = find(lot, straight_posterior(lot, spread));
  const NextLocate& next = first_for(findings, "which alternative");
  CHECK(next.now95 == Approx(0.6).margin(0.02));
  CHECK(next.then95 > 0.97);
  CHECK(next.at.metres > 12);
  CHECK(next.says.find("tell the routes apart") != std::string::npos);
}

TEST_CASE("the between-course spread counts in what is not known now") {
  const Placed lot = plain_lot();
  Spread spread, bowed;
  bowed.bow = 0.6;
  bowed.bow_share = 0.4;
  CHECK(first_for(find(lot, straight_posterior(lot, bowed)), "whole route").now95 >
        2 * first_for(find(lot, straight_posterior(lot, spread)), "whole route").now95);
}

TEST_CASE("an item whose side is open keeps the crossing from being enough") {
  Placed lot = plain_lot();
  lot.features[5] = line_feature("row", FeatureKind::right_of_way, {{-25, -8}, {25, -8}});
  const Findings findings = find(lot, straight_posterior(lot));
  CHECK_FALSE(first_for(findings, "crossing row").enough);
}

TEST_CASE(
    "what a locate would tell of a doubtful side is asked as a question of its own, between now and certainty") {
  Placed lot = plain_lot();
  lot.features[5] = line_feature("row", FeatureKind::right_of_way, {{-25, -8.4}, {25, -8.4}});
  Spread spread;
  spread.zero = 0.4;
  const Findings findings = find(lot, straight_posterior(lot, spread));
  const NextLocate& next = first_for(findings, "side of 26.2 ft");
  CHECK(next.by_probability);
  const auto item = std::find_if(findings.items.begin(), findings.items.end(),
                                 [](const ItemFinding& i) { return i.act == Act::dig; });
  REQUIRE(item != findings.items.end());
  CHECK(next.now95 == Approx(std::max(*item->private_probability, 1 - *item->private_probability)));
  // A zero known to 0.4 m is the whole doubt; a locate good to a tenth takes most of it.
  CHECK(next.then95 > 0.85);
  CHECK(next.then95 < 1);
  CHECK(next.helps);
}

TEST_CASE("a locate beyond the first is only named when it helps") {
  for (const double heading : {0.005, 0.03, 0.15}) {
    Spread spread;
    spread.heading = heading;
    const Placed lot = plain_lot();
    std::string last;
    for (const NextLocate& next : find(lot, straight_posterior(lot, spread)).next_locates) {
      if (next.question == last) CHECK(next.helps);
      if (next.helps) CHECK(next.says.find("hardly") == std::string::npos);
      CHECK_FALSE((next.helps && next.enough));
      last = next.question;
    }
  }
}
