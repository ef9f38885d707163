// What a tire ought to read: the gas law from its fill, less seepage, and how sure that is.
#include <gtest/gtest.h>

#include <cmath>
#include <string>

#include "tests/rules/gear/tire_rig.h"

namespace overwinter {
namespace {

// Ideal gas law by hand: (52 psi + 14.696) x 262.04 K / 289.26 K - 14.696 = 45.72 psi.
TEST(Tire, ExpectsWhatTheGasLawSaysAtTheReadingsTemperature) {
  TireRig rig;
  rig.sensor(filled_on + 12 * one_hour, 46 * psi, (12 - 32) / 1.8);
  const Expectation e = rig.model.expected(rig.around, pressure_index, rig.around.time, false);
  ASSERT_TRUE(e.known());
  EXPECT_NEAR(e.value / psi, 45.72, 0.05);  // half a day of seepage is in it
  EXPECT_GT(e.plus_minus / psi, 1.0);
  EXPECT_LT(e.plus_minus / psi, 2.2);
  Explanation text;
  rig.model.explain(rig.around, pressure_index, rig.around.time, text);
  ASSERT_GE(text.calculation.size(), 2U);
  EXPECT_EQ(text.calculation[0], "filled to 52.0 psi at 61 °F (289.3 K) on Sat Oct 24; now it is 12 °F (262.0 K)");
  EXPECT_EQ(text.calculation[1], "(52.0 psi + 14.7 psi) x 262.0 K / 289.3 K - 14.7 psi = 45.7 psi");
}

TEST(Tire, ExpectationIsWiderInTheSunAndFromThePlacesAir) {
  TireRig night;
  night.sensor(utc("2026-11-10T11:00:00Z"), 46 * psi, -5);
  const double own = night.model.expected(night.around, pressure_index, night.around.time, false).plus_minus;
  TireRig noon;
  noon.sensor(utc("2026-11-10T18:00:00Z"), 46 * psi, -5);
  const double sun = noon.model.expected(noon.around, pressure_index, noon.around.time, false).plus_minus;
  TireRig place;
  place.by_hand(utc("2026-11-10T11:00:00Z"), 46 * psi, -5);
  const double air = place.model.expected(place.around, pressure_index, place.around.time, false).plus_minus;
  EXPECT_GT(sun, own);
  EXPECT_GT(air, own);
}

// A fill that was told ahead has the temperature of its own time, not of the cold morning before it.
TEST(Tire, AFillToldAheadHasTheTemperatureOfItsOwnTime) {
  TireRig rig;
  const Instant fill = utc("2026-11-10T18:00:00Z");
  rig.around.clear_parameter("filled.temperature");
  rig.around.set_parameter("filled.date", to_seconds(fill));
  for (int hour = -8; hour <= 6; ++hour) {
    rig.go(fill + hour * one_hour);
    rig.around.place_reads(PlaceQuantity::temperature, hour < -3 ? 0 : 12);
    rig.step();
  }
  const Instant at = rig.around.time;
  EXPECT_NEAR(rig.model.expected(rig.around, pressure_index, at, true).value / psi, 52, 1);  // 12 K: 2.9 psi (gas law)
}

// Of a sound tire as cold as the air around it. A spot in the sun, or a slip of the pen, makes no loss of it: the air
// lies within what is expected by hand. Gas law: (52 psi + 14.696) x 263.15 K / 289.26 K - 14.696 = 45.98 psi.
TEST(Tire, ATemperatureByHandIsAsUnsureAsItIsFarFromTheAirAroundIt) {
  for (const double warmer : {0.0, 5.0, 10.0, 15.0, 25.0, 35.0}) {
    for (const char* at : {"2026-11-10T11:00:00Z", "2026-11-10T18:00:00Z"}) {
      TireRig rig;
      rig.go(utc(at));
      rig.around.place_reads(PlaceQuantity::temperature, -10);
      rig.around.read("temperature", -10 + warmer, {}, true);
      rig.around.read("pressure", 45.9 * psi);
      rig.step();
      const Expectation e = rig.model.expected(rig.around, pressure_index, rig.around.time, false);
      EXPECT_LT(e.value - e.plus_minus, 45.9 * psi) << warmer;
      EXPECT_LT(e.plus_minus, (2.5 + warmer * 0.25) * psi) << "no less sure than its own sensor where they agree";
    }
  }
  TireRig sensor;  // which sits in the tire
  sensor.go(utc("2026-11-10T11:00:00Z"));
  sensor.around.place_reads(PlaceQuantity::temperature, -10);
  sensor.sensor(utc("2026-11-10T11:00:00Z"), 49 * psi, 15);
  EXPECT_EQ(sensor.around.plus_minus("assumed_temperature"), 2);
}

// A tire at 52 psi, 289.26 K: a kelvin is (46 psi + 14.696) / 268.15 K = 0.23 psi (gas law), so a thermometer that is
// unsure by 10 K, k = 2, leaves 2.3 psi at least.
TEST(Tire, AThermometerThatIsLessSureWidensWhatIsExpected) {
  const auto widths = [](const char* at, double thermometer) {
    TireRig rig;
    rig.go(utc(at));
    rig.around.read("temperature", -5, thermometer);
    rig.around.read("pressure", 46 * psi);
    rig.step();
    const Expectation e = rig.model.expected(rig.around, pressure_index, rig.around.time, false);
    return std::pair(e.plus_minus / psi, rig.around.plus_minus("assumed_temperature"));
  };
  const char* night = "2026-11-10T11:00:00Z";
  const char* noon = "2026-11-10T18:00:00Z";
  EXPECT_GT(widths(night, 10).first, 2.3);
  EXPECT_EQ(widths(night, 10).second, 10);
  EXPECT_GT(widths(noon, 10).first, 2.3);
  EXPECT_EQ(widths(noon, 10).second, 10);
  // The model's own: 1 K and 3 K, one sigma.
  EXPECT_EQ(widths(night, 0.5).second, 2);
  EXPECT_EQ(widths(night, 2), widths(night, 0.5));
  EXPECT_EQ(widths(noon, 0.5).second, 6);
}

// Seepage at 1.5 % a month at 70 degF (the default's source is in tire_seepage.h): 30.4375 days at 21.1 degC leave
// exp(-0.015) of the gauge pressure.
TEST(Tire, TakesTheSeepageSinceTheFillOff) {
  TireRig rig;
  rig.around.set_parameter("filled.temperature", 21.1);
  for (int day = 0; day <= 30; ++day) rig.sensor(filled_on + day * one_day, 52 * psi, 21.1);
  const Expectation e = rig.model.expected(rig.around, pressure_index, rig.around.time, false);
  EXPECT_NEAR(e.value / psi, 52 * std::exp(-0.015 * 30 / 30.4375), 0.02);
  rig.around.read_at("temperature", filled_on + 10 * one_day + one_hour, 21.1);
  const Expectation then = rig.model.expected(rig.around, pressure_index, filled_on + 10 * one_day + one_hour, false);
  EXPECT_NEAR(then.value / psi, 52 * std::exp(-0.015 * 10.04 / 30.4375), 0.02) << "of a back-dated instant";
}

// A service looks at the tire when it starts, a moment before its thermometer speaks; a replay begins with that.
TEST(Tire, SeepsTheSameWhetherOrNotItWasLookedAtBeforeItsThermometerSpoke) {
  const Instant start = filled_on + 33 * one_day;
  const auto expected = [start](bool looked_at) {
    TireRig rig;
    if (looked_at) {
      rig.go(start);
      rig.step();
    }
    for (int hour = 0; hour < 30; ++hour) rig.sensor(start + std::chrono::seconds(1) + hour * one_hour, 46 * psi, -15);
    return rig.model.expected(rig.around, pressure_index, rig.around.time, false);
  };
  EXPECT_TRUE(expected(false).known());
  EXPECT_EQ(expected(true), expected(false));
}

TEST(Tire, WithoutAFillTemperatureItsPlacesAtThatTimeIsTakenElseItIsUnknown) {
  TireRig rig;
  rig.around.clear_parameter("filled.temperature");
  rig.sensor(filled_on + 20 * one_day, 46 * psi, 0);
  const Expectation e = rig.model.expected(rig.around, pressure_index, rig.around.time, false);
  ASSERT_FALSE(e.known());
  EXPECT_NE(std::string(e.unknown_because).find("temperature at the fill"), std::string::npos);

  TireRig told;
  told.around.clear_parameter("filled.temperature");
  told.around.place_reads(PlaceQuantity::temperature, fill_celsius);
  told.step();
  told.around.silence_place(PlaceQuantity::temperature);  // histories end; the model keeps what it saw
  told.sensor(filled_on + 20 * one_day, 46 * psi, 0);
  EXPECT_TRUE(told.model.expected(told.around, pressure_index, told.around.time, false).known());
}

// Also while the sensor is fresh: what a person reads beside it is a true gauge's.
TEST(Tire, ASealedSensorReadsAgainstItsReferenceAndAGaugeAgainstTheAirOutside) {
  TireRig rig;
  rig.around.pressure = {84556, 0, {}, true, false};  // ISO 2533 at 1500 m
  rig.around.set_parameter("filled.station_pressure", 84556);
  rig.around.seal("pressure", 101325);
  rig.sensor(filled_on + 6 * one_hour, 50 * psi, fill_celsius);
  const double sealed = rig.model.expected(rig.around, pressure_index, rig.around.time, false).value;
  const double gauge = rig.model.expected(rig.around, pressure_index, rig.around.time, true).value;
  EXPECT_NEAR((gauge - sealed) / psi, 2.43, 0.02);  // the difference of the two ambient pressures
  EXPECT_EQ(rig.words(gauge), "fine");
}

}  // namespace
}  // namespace overwinter
