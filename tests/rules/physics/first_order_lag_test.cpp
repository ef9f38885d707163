#include "rules/physics/first_order_lag.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <optional>

#include "tests/rules/physics/plain_units.h"

namespace overwinter {
namespace {

// Newton's law of cooling, evaluated independently (Python).
TEST(FirstOrderLag, TellsWhenTheExactExponentialIsThere) {
  struct Row {
    double start, outside, tau_h, hours, end;
  };
  constexpr Row table[] = {
      {15, -5, 6, 3, 7.1306}, {10, -10, 4, 8, -7.2933}, {18, -18, 12, 24, -13.1279}, {0, -12, 3, 1, -3.4016}};
  for (const Row& row : table) {
    const auto time = time_until_cooled(Temperature(row.start), Temperature(row.outside), Temperature(row.end),
                                        Seconds(row.tau_h * hour));
    EXPECT_NEAR(time->value / hour, row.hours, 2e-4) << row.start;
  }
}

TEST(FirstOrderLag, TellsTheTimeToALimitOrThatItIsNeverReached) {
  struct Row {
    double inside, outside, limit, tau_h;
    std::optional<double> hours;
  };
  const Row table[] = {{10, -10, 0, 12, 8.3178}, {8, -5, 0, 20, 19.1102}, {12, -18, 0, 8, 4.0866},
                       {10, -10, 4, 12, 4.2801}, {5, -2, 0, 16, 20.0442}, {6, 1, 0, 12, {}}};
  for (const Row& row : table) {
    const auto time = time_until_cooled(Temperature(row.inside), Temperature(row.outside), Temperature(row.limit),
                                        Seconds(row.tau_h * hour));
    ASSERT_EQ(time.has_value(), row.hours.has_value()) << row.inside;
    if (row.hours) {
      EXPECT_NEAR(time->value / hour, *row.hours, 6e-5) << row.inside;
    }
  }
}

// T_out + (T - T_out) exp(-t/tau): Newton's law of cooling, solved.
TEST(FirstOrderLag, TheTimeToALimitLeadsToTheLimit) {
  for (double limit = -9; limit < 10; limit += 1.5) {
    const Seconds tau(5 * hour);
    const auto time = time_until_cooled(Temperature(10), Temperature(-10), Temperature(limit), tau);
    EXPECT_NEAR(-10 + 20 * std::exp(-(*time / tau)), limit, 1e-9);
  }
}

TEST(FirstOrderLag, ALimitPassedAlreadyIsReachedNow) {
  EXPECT_EQ(time_until_cooled(Temperature(-1), Temperature(-5), Temperature(0), Seconds(hour))->value, 0);
}

TEST(FirstOrderLag, RefusesWhatHasNoMeaning) {
  EXPECT_FALSE(time_until_cooled(Temperature(1), Temperature(-2), Temperature(0), Seconds(-1)));
  EXPECT_FALSE(time_until_cooled(Temperature(1), Temperature(-2), Temperature(0), Seconds(0)));
  const Temperature unknown(std::numeric_limits<double>::quiet_NaN());
  EXPECT_FALSE(time_until_cooled(Temperature(1), unknown, Temperature(0), Seconds(1)));
  EXPECT_STREQ(time_until_cooled(Temperature(6), Temperature(1), Temperature(0), Seconds(1)).error().reason,
               "never: the surroundings are not colder than the limit");
}

}  // namespace
}  // namespace overwinter
