// The digest of a week that was seen, and of one with a gap in it.
#include <gtest/gtest.h>

#include <fmt/format.h>

#include "tests/rules/engine/digest_site.h"
#include "tests/rules/engine/lived.h"

namespace overwinter {
namespace {

std::string second_digest(int hours_lost) {
  const auto texts = digests(live(plan_with(digest_site(""), digest_rules), week_with_gap(hours_lost)));
  return texts.size() == 2 ? texts[1] : fmt::format("{} digests", texts.size());
}

TEST(Digest, ComesOnSundaysAtSixInTheEvening) {
  EXPECT_EQ(
      told(live(plan_with(digest_site(""), digest_rules), week_with_gap(0)), {EventKind::digest}),
      (std::vector<std::string>{"2026-11-09T00:00:00Z digest alder_bend", "2026-11-16T00:00:00Z digest alder_bend"}));
}

TEST(Digest, SaysAllIsWellOfAWeekThatWasSeen) {
  EXPECT_EQ(second_digest(0), "All is well. 1 thing was watched all week.");
}

TEST(Digest, SaysAllIsWellDownToNineTenthsOfTheWeek) {
  // Silent from six hours after the last reading: 22 h lost are 16 h of 168 unseen, 9.5 %; 25 h are 19 h, 11.3 %.
  EXPECT_EQ(second_digest(22), "All is well. 1 thing was watched for at least 90 % of the week.");
  EXPECT_EQ(second_digest(25), "Camper was seen for only 88 % of the week.");
}

// A program that did not run saw no gear; that is no fault of the gear, nor was it watched.
TEST(Digest, SaysOfADayInWhichNothingCouldBeHeardThatItWasSo) {
  std::vector<Mail> mail;
  for (const Mail& m : week_with_gap(0)) {
    if (m.at < "2026-11-10T06:00:00Z" || m.at >= "2026-11-13T06:00:00Z") mail.push_back(m);
  }
  mail.push_back({"2026-11-10T05:30:00Z", std::string(broker_link), "down"});
  mail.push_back({"2026-11-13T05:30:00Z", std::string(broker_link), "up"});
  const auto plan = plan_with(digest_site(""), digest_rules);
  const std::string gap =
      "Nothing could be heard from Mon 9 Nov to Thu 12 Nov: the program, its computer or the broker was down. ";
  const auto texts = digests(live_through_restart(plan, mail, "2026-11-14T00:00:00Z", plan));
  ASSERT_EQ(texts.size(), 2U);
  EXPECT_EQ(texts[0].find("heard"), std::string::npos) << texts[0];
  EXPECT_EQ(texts[1], gap + "Camper was seen for only 57 % of the week.");
  // It lasts when the digest is due.
  mail.resize(mail.size() - 1);
  std::erase_if(mail, [](const Mail& m) { return m.at > "2026-11-10T06:00:00Z"; });
  mail.push_back({"2026-11-23T05:30:00Z", std::string(broker_link), "up"});
  EXPECT_EQ(digests(live(plan, mail)).back(),
            "Nothing could be heard since Mon 9 Nov: the program, its computer or the broker was down. "
            "Camper was not seen this week.");
}

// "Nothing could be heard since Tuesday. Watched since Tuesday." would say both.
TEST(Digest, SaysOfAPartWeekWithAGapOnlyTheGap) {
  const auto until_noon = [](const std::vector<Mail>& more) {
    return digests(live(plan_with(digest_site(""), digest_rules),
                        together({hourly("camper", "2026-11-04T06:00:00Z", 6, [](int) { return 5; }), more})))
        .front();
  };
  const std::string since = "Watched since";
  EXPECT_NE(until_noon({{"2026-11-09T06:00:00Z", "camper", "5"}}).find(since), std::string::npos);
  const std::string gap = until_noon({{"2026-11-04T18:00:00Z", std::string(broker_link), "down"},
                                      {"2026-11-09T06:00:00Z", std::string(broker_link), "up"}});
  EXPECT_TRUE(gap.starts_with("Nothing could be heard since Wed 4 Nov: ")) << gap;
  EXPECT_EQ(gap.find(since), std::string::npos) << gap;
}

// docs/decisions.md: "nothing was wrong" is said only of a week without an alarm. This one stood from the week before,
// and ended.
TEST(Digest, SaysOfNoWeekInWhichAnAlarmEndedThatNothingWasWrong) {
  const auto cold = [](int hour) { return hour > 24 && hour < 9 * 24 ? -25 : 5; };
  const auto plan = plan_with(digest_site("  shed: {temperature: by_hand}"), R"(
rules:
  cold: {applies_to: {kind: place}, raise_when: temperature < -20 degC, off_delay: 1 h, message: m}
)");
  const auto texts = digests(live(plan, hourly("camper", "2026-11-02T00:00:00Z", 24 * 21 + 2, cold)));
  ASSERT_EQ(texts.size(), 3U);
  EXPECT_NE(texts[0].find("Still standing"), std::string::npos) << texts[0];
  EXPECT_EQ(texts[1].find("nothing was wrong"), std::string::npos) << texts[1];
  EXPECT_NE(texts[2].find("1 other thing was watched all week and nothing was wrong."), std::string::npos) << texts[2];
}

}  // namespace
}  // namespace overwinter
