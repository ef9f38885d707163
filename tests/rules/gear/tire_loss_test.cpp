// What ends a sudden loss, and what does not: no work, gauge or rise from before it, and no gauge that finds it too.
#include <gtest/gtest.h>

#include "tests/rules/gear/tire_rig.h"

namespace overwinter {
namespace {

// Ten readings an hour apart, and three that lost so much: the first of them is an hour after `sound_until`.
struct LostTire {
  TireRig rig;
  TrueTire tire;
  Instant sound_until{};

  explicit LostTire(double lost) {
    rig.around.set_parameter("cold_pressure", 52 * psi);
    for (int i = 0; i < 10; ++i) rig.sensor(filled_on + i * one_hour, tire.read(0), 0);
    sound_until = rig.around.time;
    reads(3, -lost);
  }
  void reads(int times, double more) {
    for (int i = 0; i < times; ++i) rig.sensor(rig.around.time + one_hour, tire.read(0) + more, 0);
  }
};

// A gauge of the morning, entered in the evening, says nothing of what the tire lost at noon.
TEST(TireLoss, IsNotEndedByAGaugeFromBeforeIt) {
  LostTire lost(25 * psi);
  ASSERT_EQ(lost.rig.verdict(), word(TireVerdict::sudden_loss));
  const auto gauged = [&](Instant at) {
    lost.rig.model.late_reading(lost.rig.around, pressure_index, {lost.tire.read(0), 2 * psi, at, true, true});
    lost.rig.step();
    return lost.rig.verdict();
  };
  EXPECT_EQ(gauged(lost.sound_until), word(TireVerdict::sudden_loss));
  EXPECT_NE(gauged(lost.rig.around.time), word(TireVerdict::sudden_loss)) << "its sensor is wrong";
}

// So says work of the morning: what it lost later nobody mended, and it is not to be inflated.
TEST(TireLoss, IsNotEndedByWorkFromBeforeIt) {
  for (const TireAct act : {TireAct::filled, TireAct::valve_checked}) {
    LostTire lost(15 * psi);
    ASSERT_EQ(lost.rig.verdict(), word(TireVerdict::sudden_loss));
    const auto works = [&](Instant at) {
      if (act == TireAct::filled) lost.rig.around.set_parameter("filled.date", to_seconds(at));
      lost.rig.model.act(lost.rig.around, static_cast<std::uint8_t>(act), at);
      lost.rig.step();
    };
    works(lost.sound_until);
    EXPECT_EQ(lost.rig.verdict(), word(TireVerdict::sudden_loss));
    lost.reads(6, -15 * psi);
    EXPECT_EQ(lost.rig.verdict(), word(TireVerdict::sudden_loss));
    EXPECT_FALSE(lost.rig.around.value("pressure_to_set"));
    works(lost.rig.around.time);
    EXPECT_NE(lost.rig.verdict(), word(TireVerdict::sudden_loss)) << "mended";
  }
}

// One reading alone found it, and work from before that is told: the next reading says whether it is so.
struct FallenTire {
  TireRig rig;
  TrueTire tire;
  Instant sound_until{};

  explicit FallenTire(bool is_fill_told = true) {
    if (!is_fill_told) {
      for (const auto* name : {"filled.pressure", "filled.temperature", "filled.date", "minimum_pressure"})
        rig.around.clear_parameter(name);
    }
    for (int i = 0; i < 10; ++i) reads(0);
    sound_until = rig.around.time;
    reads(-15 * psi);
  }
  void reads(double more) { rig.sensor(rig.around.time + one_hour, tire.read(0) + more, 0); }
  void works(TireAct act, Instant at, double pressure = 52 * psi) {
    if (act == TireAct::filled) {
      rig.around.set_parameter("filled.pressure", pressure);
      rig.around.set_parameter("filled.date", to_seconds(at));
    }
    rig.model.act(rig.around, static_cast<std::uint8_t>(act), at);
    rig.step();
  }
};

TEST(TireLoss, IsConfirmedAlsoWhereWorkFromBeforeItIsToldMeanwhile) {
  for (const TireAct act : {TireAct::filled, TireAct::valve_checked, TireAct::moved}) {
    for (const bool is_fill_told : {true, false}) {
      FallenTire fallen(is_fill_told), back(is_fill_told), mended(is_fill_told);
      if (act == TireAct::filled && !is_fill_told) continue;
      fallen.works(act, fallen.sound_until);
      fallen.reads(-15 * psi);
      EXPECT_EQ(fallen.rig.verdict(), word(TireVerdict::sudden_loss)) << static_cast<int>(act) << is_fill_told;
      back.works(act, back.sound_until);
      back.reads(0);
      back.reads(-15 * psi);
      EXPECT_NE(back.rig.verdict(), word(TireVerdict::sudden_loss)) << "one packet, twice";
      mended.works(act, mended.rig.around.time);
      mended.reads(-15 * psi);
      EXPECT_NE(mended.rig.verdict(), word(TireVerdict::sudden_loss)) << "from before the work";
    }
  }
}

// Who lets air out tells it when the sensor has seen it.
TEST(TireLoss, IsNoneWhereTheFillExplainsTheFall) {
  FallenTire lowered;
  lowered.works(TireAct::filled, lowered.sound_until, 36 * psi);
  for (int i = 0; i < 6; ++i) lowered.reads(-15 * psi);
  EXPECT_NE(lowered.rig.verdict(), word(TireVerdict::sudden_loss));
}

// Nor where its sensor is silent since: nobody saw the tire after the loss.
TEST(TireLoss, IsNotEndedByAFillFromBeforeItWhileItsSensorIsSilent) {
  LostTire lost(25 * psi);
  lost.rig.around.silence("pressure");
  lost.rig.step();
  lost.rig.around.set_parameter("filled.date", to_seconds(lost.sound_until));
  lost.rig.model.act(lost.rig.around, static_cast<std::uint8_t>(TireAct::filled), lost.sound_until);
  lost.rig.step();
  EXPECT_FALSE(lost.rig.around.value("verdict"));
}

// Work that is told by its date alone is kept as of that midnight, and may be of any time of the day.
TEST(TireLoss, IsEndedByWorkOfItsDay) {
  for (const TireAct act : {TireAct::filled, TireAct::valve_checked}) {
    LostTire lost(15 * psi);
    lost.rig.around.silence_place(PlaceQuantity::temperature);
    ASSERT_EQ(lost.rig.verdict(), word(TireVerdict::sudden_loss));
    const Instant day = filled_on + Span(1);  // 00:00 local, after a gauge that is told by the same date
    if (act == TireAct::filled) lost.rig.around.set_parameter("filled.date", to_seconds(day));
    lost.rig.model.act(lost.rig.around, static_cast<std::uint8_t>(act), day);
    lost.rig.step();
    EXPECT_NE(lost.rig.verdict(), word(TireVerdict::sudden_loss));
    lost.reads(3, -15 * psi);
    EXPECT_NE(lost.rig.verdict(), word(TireVerdict::sudden_loss)) << "it stays as it was found";
  }
  LostTire lost(15 * psi);  // and in the site file
  lost.rig.around.silence_place(PlaceQuantity::temperature);
  lost.rig.around.set_parameter("filled.pressure", 51 * psi);
  lost.rig.step();
  EXPECT_NE(lost.rig.verdict(), word(TireVerdict::sudden_loss));
}

// Nor does its day begin at 00:00 where clocks are set forward at midnight, as in Havana.
TEST(TireLoss, IsEndedByWorkOfItsDayAlsoWhereThatBeginsAtOneInTheMorning) {
  LostTire lost(15 * psi);
  lost.rig.around.time_zone.changes = {{Instant{}, std::chrono::hours(-6)}, {filled_on, std::chrono::hours(-5)}};
  lost.rig.around.silence_place(PlaceQuantity::temperature);
  ASSERT_EQ(lost.rig.verdict(), word(TireVerdict::sudden_loss));
  lost.rig.model.act(lost.rig.around, static_cast<std::uint8_t>(TireAct::valve_checked), filled_on);
  lost.rig.step();
  EXPECT_NE(lost.rig.verdict(), word(TireVerdict::sudden_loss));
}

// Pumped up in the sun, which hides it until the second dawn at 05:00 local; the tire bursts before that is looked at,
// at 07:00. Where nobody told a fill its loss is the only sign.
TEST(TireLoss, IsNotEndedByARiseFromBeforeIt) {
  TireRig rig;
  for (const auto* name : {"filled.pressure", "filled.temperature", "filled.date", "minimum_pressure"}) {
    rig.around.clear_parameter(name);
  }
  const TrueTire tire;
  const auto reads = [&](const char* until, double more) {
    while (rig.around.time < utc(until)) {
      rig.go(rig.around.time + 20 * one_minute);
      rig.around.place_reads(PlaceQuantity::temperature, 0);
      rig.around.read("pressure", tire.read(0) + more);
      rig.step();
    }
  };
  reads("2026-11-07T18:00:00Z", 0);
  reads("2026-11-09T11:00:00Z", 5 * psi);
  reads("2026-11-09T12:40:00Z", -20 * psi);
  EXPECT_EQ(rig.verdict(), word(TireVerdict::sudden_loss));
  EXPECT_TRUE(rig.around.questions.empty());
  reads("2026-11-10T00:00:00Z", -20 * psi);
  EXPECT_EQ(rig.around.questions.size(), 1U);
  EXPECT_EQ(rig.verdict(), word(TireVerdict::sudden_loss));
}

// The sensor of a flat tire fell silent, and a person reads that it is flat.
TEST(TireLoss, IsNotEndedByAGaugeThatFindsIt) {
  LostTire lost(25 * psi);
  lost.rig.around.silence("pressure");
  lost.rig.step();
  lost.rig.by_hand(lost.rig.around.time + 10 * one_hour, lost.tire.read(0) - 25 * psi, 0);
  EXPECT_EQ(lost.rig.verdict(), word(TireVerdict::sudden_loss));
  lost.rig.by_hand(lost.rig.around.time + one_hour, lost.tire.read(0), 0);
  EXPECT_EQ(lost.rig.verdict(), word(TireVerdict::fine));
}

// A leak that was told goes on after its valve was looked at, also while the radio is gone for some days; how fast it
// loses is not known again for nine days. Where nobody told a fill any other fall is told.
TEST(TireLoss, IsNoneWhereALeakThatWasToldGoesOnUnseen) {
  TireRig rig;
  for (const auto* name : {"filled.pressure", "filled.temperature", "filled.date", "minimum_pressure"}) {
    rig.around.clear_parameter(name);
  }
  TrueTire tire;
  const auto passes = [&](Span span) {
    rig.go(rig.around.time + span);
    tire.pass(0, to_seconds(span), 7);
  };
  const auto reads = [&](int days, double more) {
    for (int i = 0; i < 4 * days; ++i) {
      passes(6 * one_hour);
      rig.sensor(rig.around.time, tire.read(0) + more, 0);
    }
  };
  reads(21, 0);
  ASSERT_EQ(rig.verdict(), word(TireVerdict::leaking));
  rig.model.act(rig.around, static_cast<std::uint8_t>(TireAct::valve_checked), rig.around.time);
  rig.step();
  reads(2, 0);
  passes(7 * one_day);
  reads(1, 0);
  EXPECT_NE(rig.verdict(), word(TireVerdict::sudden_loss));
  passes(one_day);
  reads(1, -10 * psi);
  EXPECT_EQ(rig.verdict(), word(TireVerdict::sudden_loss)) << "no leak takes so much in a day";
}

}  // namespace
}  // namespace overwinter
