#include "rules/physics/room_model.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <vector>

namespace overwinter {
namespace {

// A simulated room: mean and swing of the outdoors, a slow wave, and sun by day.
struct Simulation {
  double tau_h, gain, mean, swing, quantum;
};

struct Hours {
  std::vector<RoomHour> starts;  // one more than there are steps
};

Hours simulate(const Simulation& room, int steps) {
  Hours hours;
  double inside = 0;
  for (int k = 0; k <= steps; ++k) {
    const double day = 2 * std::numbers::pi / 24;
    const double outside =
        room.mean + room.swing * std::sin(day * (k - 9)) + 3 * std::sin(2 * std::numbers::pi * k / 131);
    const double sun = std::max(0.0, 350 * std::sin(day * (k - 6)));
    const double seen = room.quantum > 0 ? std::floor(inside / room.quantum + 0.5) * room.quantum : inside;
    hours.starts.push_back({Temperature(seen), Temperature(outside), Irradiance(sun)});
    inside += (1 - std::exp(-1 / room.tau_h)) * (outside - inside) + room.gain * sun / 100;
  }
  return hours;
}

RoomModel learn(const Hours& hours, RoomLearning learning) {
  RoomModel room;
  for (std::size_t k = 0; k + 1 < hours.starts.size(); ++k) {
    learn_hour(room, hours.starts[k], hours.starts[k + 1].inside, learning);
  }
  return room;
}

// Independent Python implementation of recursive least squares with forgetting (Ljung 1999 ch. 11) on
// the same simulated rooms, without guards.
TEST(RoomModel, LearnsAsAnIndependentImplementationDoes) {
  struct Row {
    Simulation room;
    int steps;
    double forgetting, exchange, gain, tau_h, last_inside;
  };
  constexpr Row table[] = {
      {{6, 0.30, -5, 8, 0.0}, 48, 1.000, 0.153519, 0.299998, 6.0000, 0.5385},
      {{6, 0.30, -5, 8, 0.1}, 168, 1.000, 0.153417, 0.300071, 6.0043, 0.8000},
      {{6, 0.30, -5, 8, 0.1}, 168, 0.990, 0.153480, 0.300179, 6.0016, 0.8000},
      {{12, 0.15, -8, 6, 0.1}, 336, 0.998, 0.080001, 0.149974, 11.9929, -4.7000},
      {{3, 0.60, 0, 10, 0.5}, 168, 0.998, 0.285429, 0.597607, 2.9755, 3.5000},
      {{20, 0.05, -2, 5, 0.1}, 168, 0.998, 0.048681, 0.050271, 20.0376, 1.5000},
  };
  for (const Row& row : table) {
    SCOPED_TRACE(row.tau_h);
    const Hours hours = simulate(row.room, row.steps);
    EXPECT_NEAR(hours.starts.back().inside.celsius(), row.last_inside, 6e-5);
    const RoomModel room = learn(hours, {row.forgetting, false});
    EXPECT_NEAR(room.exchange, row.exchange, 1e-6);
    EXPECT_NEAR(room.solar_gain, row.gain, 1e-6);
    EXPECT_NEAR(time_constant(room)->value / 3600, row.tau_h, 6e-5);
  }
}

TEST(RoomModel, GuardsDoNotHinderLearning) {
  const RoomModel room = learn(simulate({6, 0.3, -5, 8, 0.1}, 336), {});
  EXPECT_NEAR(time_constant(room)->value / 3600, 6, 0.06);
  EXPECT_NEAR(room.solar_gain, 0.3, 0.003);
}

TEST(RoomModel, ARoomNotYetKnownHasNoTimeConstant) {
  RoomModel room;
  EXPECT_FALSE(time_constant(room));
  EXPECT_STREQ(time_constant(room).error().reason, "the room is not yet known: fewer than 24 hours were learned");
}

TEST(RoomModel, WithoutDriveNothingIsLearned) {
  RoomModel room;
  const RoomUpdate update = learn_hour(room, {Temperature(5), Temperature(4.2)}, Temperature(9));
  EXPECT_EQ(update.lesson, Lesson::too_little_drive);
  EXPECT_EQ(room, RoomModel{});
}

TEST(RoomModel, AnOpenDoorIsAnOutlierAndDoesNotChangeTheRoom) {
  RoomModel room = learn(simulate({6, 0.3, -5, 8, 0.1}, 336), {});
  const double exchange = room.exchange;
  const RoomUpdate update = learn_hour(room, {Temperature(10), Temperature(-5)}, Temperature(0));
  EXPECT_EQ(update.lesson, Lesson::outlier);
  EXPECT_LT(update.error.value, -7);
  EXPECT_EQ(room.exchange, exchange);
}

TEST(RoomModel, ALastingChangeOfTheRoomIsLearnedAtLast) {
  RoomModel room = learn(simulate({12, 0, -5, 8, 0.1}, 336), {});
  const Hours draughty = simulate({3, 0, -5, 8, 0.1}, 800);
  for (std::size_t k = 0; k + 1 < draughty.starts.size(); ++k) {
    learn_hour(room, draughty.starts[k], draughty.starts[k + 1].inside);
  }
  EXPECT_NEAR(time_constant(room)->value / 3600, 3, 1);
}

TEST(RoomModel, ADarkWinterDoesNotWindUpTheSpreads) {
  RoomModel room;
  for (int k = 0; k < 5000; ++k) {
    const double outside = -5 + 4 * std::sin(k / 4.0);
    learn_hour(room, {Temperature(0), Temperature(outside)}, Temperature(0.15 * outside));
  }
  EXPECT_LE(room.spread_exchange + room.spread_gain, 1e4);
  EXPECT_NEAR(room.exchange, 0.15, 1e-6);
  EXPECT_EQ(room.solar_gain, 0);
  EXPECT_GT(room.spread_exchange, 0);
}

TEST(RoomModel, SkipsReadingsThatAreNoNumbers) {
  RoomModel room;
  const Temperature unknown(std::numeric_limits<double>::quiet_NaN());
  EXPECT_EQ(learn_hour(room, {unknown, Temperature(0)}, Temperature(1)).lesson, Lesson::unusable);
  EXPECT_EQ(learn_hour(room, {Temperature(5), Temperature(0)}, unknown).lesson, Lesson::unusable);
  EXPECT_EQ(room, RoomModel{});
}

}  // namespace
}  // namespace overwinter
