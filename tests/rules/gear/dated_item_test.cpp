#include <gtest/gtest.h>

#include "rules/gear/kinds.h"
#include "tests/rules/gear/fake_surroundings.h"
#include "tests/rules/gear/saved_model.h"

namespace overwinter {
namespace {

constexpr double year = 365.2425 * 86400;  // s

double on(std::string_view date) { return to_seconds(std::chrono::sys_days(*parse_date(date)).time_since_epoch()); }

struct Detector {
  FakeSurroundings around{dated_item_kind()};
  std::unique_ptr<Model> model = dated_item_kind().make_model();

  Detector() { around.time = *parse_rfc3339("2026-11-01T00:00:00Z"); }
  std::optional<double> days(std::string_view quantity) {
    model->update(around);
    const auto value = around.value(quantity);
    return value ? std::optional(*value / 86400) : std::nullopt;
  }
};

TEST(DatedItem, AgesFromWhenItWasMadeElseFromWhenItWasInstalled) {
  Detector detector;
  EXPECT_FALSE(detector.days("age"));
  detector.around.set_parameter("installed.date", on("2026-10-31"));
  EXPECT_EQ(detector.days("age"), 1);
  detector.around.set_parameter("made.date", on("2025-11-01"));
  EXPECT_EQ(detector.days("age"), 365);
}

TEST(DatedItem, IsDueWhenItsMakersSpanHasPassed) {
  Detector detector;
  detector.around.set_parameter("made.date", on("2021-11-01"));
  EXPECT_FALSE(detector.days("time_until_replacement"));
  detector.around.set_parameter("replace_after", 5 * year);
  EXPECT_NEAR(*detector.days("time_until_replacement"), 0, 0.5);
  detector.around.time += 10 * one_day;
  EXPECT_NEAR(*detector.days("time_until_replacement"), -10, 0.5);
}

// A slip in the year: a detector of the year 2030 would have been fine for ten years, and never tested.
TEST(DatedItem, IsNotCountedFromADateThatIsStillToCome) {
  Detector detector;
  detector.around.set_parameter("made.date", on("2030-05-01"));
  detector.around.set_parameter("replace_after", 7 * year);
  detector.around.set_parameter("test_every", 30 * 86400);
  for (const char* quantity : {"age", "time_until_replacement", "time_until_test"}) {
    EXPECT_FALSE(detector.days(quantity)) << quantity;
    EXPECT_EQ(detector.around.because(quantity), "the date when it was made or installed lies in the future");
  }
  detector.around.set_parameter("made.date", on("2026-05-01"));
  detector.around.set_parameter("tested.date", on("2027-10-25"));
  EXPECT_EQ(detector.days("time_until_test"), 30 - 184);  // 184 days from 1 May to 1 November
}

// By its label, and the civil calendar: seven years after 20 December 2019 is 20 December 2026, leap days or not.
TEST(DatedItem, IsDueOnTheDateOfItsLabel) {
  Detector detector;
  detector.around.time_zone.changes = {{Instant{}, std::chrono::hours(-6)}};
  const double midnight = on("2019-12-20") + 6 * 3600;
  detector.around.set_parameter("made.date", midnight);
  detector.around.set_parameter("replace_after", 7 * 365.25 * 86400);
  EXPECT_EQ(detector.days("time_until_replacement"),
            (on("2026-12-20") + 6 * 3600 - to_seconds(detector.around.time)) / 86400);
}

TEST(DatedItem, AReplacementLeavesTheOldLabelBehind) {
  Detector detector;
  detector.around.set_parameter("made.date", on("2019-05-01"));
  detector.around.set_parameter("replace_after", 5 * year);
  EXPECT_LT(*detector.days("time_until_replacement"), 0);
  detector.around.set_parameter("installed.date", to_seconds(detector.around.time));
  detector.model->act(detector.around, 0, detector.around.time);
  EXPECT_EQ(detector.days("age"), 0);

  const std::string bytes = saved(*detector.model);
  detector.model = dated_item_kind().make_model();
  ASSERT_NO_FATAL_FAILURE(load_into(*detector.model, bytes));
  EXPECT_EQ(detector.days("age"), 0);
}

TEST(DatedItem, ATestIsDueAgainAfterItsInterval) {
  Detector detector;
  detector.around.set_parameter("made.date", on("2026-09-01"));
  detector.around.set_parameter("test_every", 30 * 86400);
  EXPECT_LT(*detector.days("time_until_test"), 0);
  detector.around.set_parameter("tested.date", to_seconds(detector.around.time));
  EXPECT_EQ(detector.days("time_until_test"), 30);
}

// What was tested went; the new one wants its first test when its interval has passed.
TEST(DatedItem, AReplacementLeavesTheOldTestBehind) {
  Detector detector;
  detector.around.set_parameter("installed.date", on("2019-05-01"));
  detector.around.set_parameter("tested.date", on("2026-06-01"));
  detector.around.set_parameter("test_every", 30 * 86400);
  EXPECT_LT(*detector.days("time_until_test"), 0);
  detector.around.set_parameter("installed.date", to_seconds(detector.around.time));
  detector.model->act(detector.around, 0, detector.around.time);
  EXPECT_EQ(detector.days("time_until_test"), 30);
}

TEST(DatedItem, ADateAheadGivesNoAge) {
  Detector detector;
  detector.around.set_parameter("made.date", on("2027-01-01"));
  EXPECT_FALSE(detector.days("age"));
}

TEST(DatedItem, WakesAtEachLocalMidnight) {
  Detector detector;
  detector.around.time_zone.changes = {{Instant{}, std::chrono::hours(-6)}};
  detector.days("age");
  EXPECT_EQ(format_rfc3339(detector.model->next_wake()), "2026-11-01T06:00:00Z");
}

}  // namespace
}  // namespace overwinter
