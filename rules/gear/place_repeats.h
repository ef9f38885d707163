// A thermometer that repeats one number hour after hour: what a place was taught meanwhile is undone if the number
// should have moved. Long before a day is over, and the sensor found to be stuck, its hours would teach that the place
// is slow.
#pragma once

#include <array>
#include <cstdint>
#include <optional>

#include "rules/archive.h"
#include "rules/physics/room_model.h"
#include "rules/quantity/time.h"

namespace overwinter {

// One whole hour. Temperatures at its start and end, degC; nothing where no reading is near.
struct RoomHourReadings {
  Instant end{};
  std::optional<double> inside_start, inside_end, outside_start, outside_end;
  std::optional<double> sun;  // W/m2 at its start
  bool night = false;         // 20:00 to 06:00 local

  bool lit_by_unknown_sun() const { return !sun && !night; }
  bool dark() const { return sun ? *sun < 20 : night; }
};

// Learned hours from which on a closed place is known well enough to say that something is odd.
inline constexpr std::uint32_t hours_to_know_a_room = 48;

// What a closed place has taught of itself.
struct LearnedRoom {
  RoomModel model;
  // Of what readings differ from the course, K2: where the sun is known or down; where it shines unmeasured.
  std::array<double, 2> variance{};
  std::array<std::uint32_t, 2> compared{};

  template <class A>
  void archive(A& a) {
    a(model.exchange, model.solar_gain, model.spread_exchange, model.spread_both, model.spread_gain,
      model.error_variance, model.hours, variance, compared);
    if constexpr (A::reading) {
      if (!plausible(model)) a.fail();
    }
  }
};

// One of the two thermometers of a place, its own or the outdoors'. Its number is doubted when it has stood for 6 h and
// the inside reads 1.5 K (three steps of a coarse sensor) beyond both the outdoors and where the place, as it was known
// before, would be by now: one of the two did not move as it should. And when it has stood for most of a day and then
// is missing, for what a sensor read is taken back when it is found to be stuck. Doubt ends when the number moves.
class RepeatedReadings {
 public:
  enum class Of : std::uint8_t { inside, outside };

  void pass_hour(Of which, const RoomHourReadings& hour, const LearnedRoom& learned);
  bool doubted() const { return doubted_; }
  bool over() const { return over_; }  // the number moved in this hour
  Instant since() const { return since_; }
  const LearnedRoom& before() const { return before_; }

  template <class A>
  void archive(A& a) {
    a(value_, hours_, since_, room_, doubted_, over_, before_);
  }

 private:
  void run_on(const RoomHourReadings& hour);

  double value_ = 0;
  std::uint32_t hours_ = 0;  // none: it does not repeat
  Instant since_{};
  std::optional<double> room_;  // degC: the place as it was known before, left to itself since
  bool doubted_ = false, over_ = false;
  LearnedRoom before_;
};

}  // namespace overwinter
