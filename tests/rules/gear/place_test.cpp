#include <gtest/gtest.h>

#include <cmath>
#include <string_view>

#include "rules/gear/site.h"
#include "tests/rules/gear/place_bench.h"

namespace overwinter {
namespace {

// The indexes of place.h and the table are two lists; here they meet.
TEST(Place, HasItsQuantitiesWhereOthersLookForThem) {
  const auto& kind = place_kind();
  ASSERT_EQ(kind.quantities.size(), place_quantity_count);
  ASSERT_EQ(kind.parameters.size(), place_parameter_count);
  EXPECT_EQ(kind.quantity("temperature"), index_of(PlaceQuantity::temperature));
  EXPECT_EQ(kind.quantity("door_open"), index_of(PlaceQuantity::door_open));
  EXPECT_EQ(kind.quantity("dew_point"), index_of(PlaceQuantity::dew_point));
  EXPECT_EQ(kind.quantity("thaw_wetting"), index_of(PlaceQuantity::thaw_wetting));
  EXPECT_EQ(kind.quantity("vapor_excess"), index_of(PlaceQuantity::vapor_excess));
  EXPECT_EQ(kind.quantity("door_suspected_open"), index_of(PlaceQuantity::door_suspected_open));
  EXPECT_EQ(kind.parameter("surface"), index_of(PlaceParameter::surface));
  EXPECT_EQ(kind.parameter("volume"), index_of(PlaceParameter::volume));
  for (const QuantitySpec& q : kind.quantities) {
    EXPECT_FALSE(q.text.empty()) << q.name;
    EXPECT_EQ(q.rests_on.empty(), q.measured) << q.name;
    for (const auto name : q.rests_on) EXPECT_TRUE(kind.quantities[*kind.quantity(name)].measured);
    if (!q.measured || !q.type.is_numeric()) continue;
    EXPECT_LT(q.minimum, q.maximum) << q.name;
    EXPECT_GT(q.plus_minus, 0) << q.name;
  }
}

struct AirRow {
  double celsius, humidity, vapor, dew, frost, density;  // degC, 1, Pa, degC, degC (none: 99), kg/m3
};

// Vapor pressure: IAPWS-95 saturation 2339.3 Pa at 20 degC and 1228.2 Pa at 10 degC; Smithsonian Meteorological Tables
// (Goff-Gratch) 286.3 Pa over water at -10 degC, 259.9 Pa over ice there, 421.5 Pa over water at -5 degC. Dew points:
// DIN 4108-3 (2018) annex, 9.3 and 6.7 degC. Density: vapor of 17.3 and 9.4 g/m3 saturates air of 20 and 10 degC (the
// same annex). All from memory.
TEST(Place, TellsAirAsTheTablesHaveIt) {
  for (const AirRow& row : {AirRow{20, 0.5, 1169.6, 9.3, 99, 8.65e-3}, AirRow{10, 0.8, 982.6, 6.7, 99, 7.52e-3},
                            AirRow{-10, 259.9 / 286.3, 259.9, -11.17, -10, 2.14e-3}}) {
    PlaceBench bench;
    bench.inside(row.celsius, row.humidity);
    EXPECT_NEAR(bench.value("vapor_pressure"), row.vapor, 0.002 * row.vapor);
    EXPECT_NEAR(bench.value("dew_point"), row.dew, 0.06);
    EXPECT_NEAR(bench.value("absolute_humidity"), row.density, 0.03e-3);
    if (row.frost > 90) {
      EXPECT_NE(bench.around.because("frost_point").find("triple point"), std::string::npos);
    } else {
      EXPECT_NEAR(bench.value("frost_point"), row.frost, 0.02);
    }
  }
}

TEST(Place, DeficitIsWhatIsMissingToSaturation) {
  PlaceBench bench;
  bench.inside(20, 0.5);
  EXPECT_NEAR(bench.value("vapor_pressure_deficit"), 2339.3 * 0.5, 1);  // IAPWS-95
  EXPECT_GT(bench.around.plus_minus("vapor_pressure_deficit"), 0.06 * 2339);
}

// A hygrometer of 3 % and thermometer of 0.5 K (one sigma) give the dew point to 0.68 K at 5 degC and 90 %: computed
// apart by central differences on the equations of Murphy and Koop 2005.
TEST(Place, CarriesTheSensorsUncertaintyToTheDewPoint) {
  PlaceBench bench;
  bench.around.read("temperature", 5, 1.0);
  bench.around.read("humidity", 0.90, 0.06);
  bench.step();
  EXPECT_NEAR(bench.around.plus_minus("dew_point"), 2 * 0.683, 0.01);
  EXPECT_NEAR(bench.around.plus_minus("absolute_humidity"), 2 * 0.2873e-3, 0.005e-3);
}

TEST(Place, TakesHumidityOverIceWhereTheSiteFileSaysSo) {
  PlaceBench bench;
  bench.around.set_parameter("humidity_over", static_cast<double>(HumidityOver::ice));
  bench.inside(-10, 1.0);
  EXPECT_NEAR(bench.value("frost_point"), -10, 0.01);      // by definition: saturated over ice
  EXPECT_NEAR(bench.value("vapor_pressure"), 259.9, 0.3);  // Smithsonian tables, from memory
}

// 6 % over ice are 6 % of the 259.9 Pa of saturation over ice at -10 degC (Smithsonian tables, from memory), not of the
// 286.5 Pa over water.
TEST(Place, HumidityOverIceIsUnsureByAShareOfSaturationOverIce) {
  PlaceBench bench;
  bench.around.set_parameter("humidity_over", static_cast<double>(HumidityOver::ice));
  bench.around.read("temperature", -10, 0);
  bench.around.read("humidity", 0.5, 0.06);
  bench.step();
  EXPECT_NEAR(bench.around.plus_minus("vapor_pressure"), 15.6, 0.1);
}

TEST(Place, CountsHumidityAboveSaturationAsSaturation) {
  PlaceBench bench;
  bench.inside(4, 1.04);
  EXPECT_NEAR(bench.value("dew_point"), 4, 1e-5);
}

TEST(Place, SaysWhyTheAirIsUnknown) {
  PlaceBench bench;
  bench.around.read("temperature", 4);
  bench.step();
  EXPECT_EQ(bench.around.because("dew_point"), no_humidity);
  bench.around.read("humidity", 0.7);
  bench.step();
  EXPECT_TRUE(bench.around.value("dew_point"));
  bench.around.silence("temperature");
  bench.step();
  EXPECT_EQ(bench.around.because("dew_point"), no_temperature);
  EXPECT_EQ(bench.around.because("thaw_margin"), no_temperature);
}

TEST(Place, OutdoorsHasNothingButItsAir) {
  PlaceBench bench;
  bench.around.outdoors_itself = true;
  bench.inside(-3, 0.8);
  EXPECT_TRUE(bench.around.value("frost_point"));
  for (std::uint8_t q = index_of(PlaceQuantity::surface_temperature); q < place_quantity_count; ++q) {
    EXPECT_EQ(bench.around.because(place_kind().quantities[q].name), it_is_outdoors);
  }
  EXPECT_EQ(bench.model->next_wake(), never);
  EXPECT_FALSE(bench.model->expected(bench.around, 0, bench.around.time, false).known());
}

// ISO 13788:2012: t_si = t_e + f_Rsi (t_i - t_e). Single glass 0.25: 10 degC inside, 0 outdoors give 2.5 degC, and air
// of 60 % at 10 degC has its dew point there (2.6 degC, DIN 4108-3 annex, from memory): just wet.
TEST(Place, FindsTheDewOnSingleGlass) {
  PlaceBench bench;
  bench.outdoors(0, 0.8);
  bench.inside(10, 0.60);
  EXPECT_NEAR(bench.value("surface_temperature"), 2.53, 0.01);
  EXPECT_NEAR(bench.value("condensation_margin"), -0.07, 0.05);
  bench.around.set_parameter("temperature_factor", 0.85);
  bench.inside(10, 0.60);
  EXPECT_NEAR(bench.value("condensation_margin"), 8.5 - 2.6, 0.1);
  EXPECT_GT(bench.around.plus_minus("surface_temperature"), 0.1 * 10);
}

// Newton's law of cooling: after one time constant a step is made up by 1 - 1/e = 63.2 %.
TEST(Place, ColdMassLagsBehindTheAir) {
  PlaceBench bench;
  bench.inside(-6, 0.9);
  bench.advance(one_minute);
  bench.inside(6, 0.9);
  EXPECT_NEAR(bench.value("cold_mass_temperature"), -6, 0.1);
  EXPECT_GT(bench.around.plus_minus("cold_mass_temperature"), 4);  // just begun
  for (int i = 0; i < 12; ++i) {
    bench.advance(30 * one_minute);
    bench.inside(6, 0.9);
  }
  EXPECT_NEAR(bench.value("cold_mass_temperature"), -6 + 12 * (1 - std::exp(-1)), 0.1);
}

// A thaw: air of 8 degC and 90 % over a mass of -2 degC. Dew point 6.5 degC; deposit 31 g/(m2 h), by the analogy of
// Chilton and Colburn with a film of 3 W/(m2 K), computed apart.
TEST(Place, TellsTheThawThatWetsTheColdMass) {
  PlaceBench bench;
  bench.around.set_parameter("mass_lag", to_seconds(10 * one_day));
  bench.outdoors(-2, 0.8);
  bench.inside(-2, 0.8);
  EXPECT_GT(bench.value("thaw_margin"), 0);
  EXPECT_EQ(bench.value("thaw_wetting"), 0);
  bench.advance(one_minute);
  bench.outdoors(8, 0.9);
  bench.inside(-2, 0.8);
  EXPECT_NEAR(bench.value("thaw_margin"), -2 - 6.46, 0.05);
  bench.advance(one_hour);
  bench.outdoors(8, 0.9);
  bench.inside(-2, 0.8);
  EXPECT_NEAR(bench.value("thaw_wetting"), 31.4e-3, 1e-3);
  EXPECT_NEAR(bench.around.plus_minus("thaw_wetting"), 0.8 * bench.value("thaw_wetting"), 1e-9);

  // Air of 2 degC and 30 % holds 212 Pa / (461.5 J/(kg K) x 275.15 K) = 1.67 g/m3; over ice of -2 degC it is
  // 518 Pa / (461.5 J/(kg K) x 271.15 K) = 4.14 g/m3; through a film of 2.58 mm/s = 9.3 m/h some 23 g/(m2 h) dry off
  // (ASHRAE Fundamentals ch. 6, from memory; ice: Murphy & Koop 2005). What has dried up is gone, and no less than
  // that.
  const auto hour_of_dry_air = [&] {
    bench.advance(one_hour);
    bench.outdoors(2, 0.3);
    bench.inside(-2, 0.3);
    EXPECT_GT(bench.value("thaw_margin"), 2);
    return 1000 * bench.value("thaw_wetting");
  };
  EXPECT_NEAR(hour_of_dry_air(), 2 * 31.4, 2);  // until its first reading the thaw goes on
  EXPECT_NEAR(hour_of_dry_air(), 2 * 31.4 - 23, 2);
  EXPECT_NEAR(hour_of_dry_air(), 2 * 31.4 - 2 * 23, 2);
  EXPECT_EQ(hour_of_dry_air(), 0);
  EXPECT_EQ(hour_of_dry_air(), 0);
}

// The same film dries what it wet: air of 12 degC and 60 % over 6 degC takes 8.3 g/(m2 h) away, computed apart.
TEST(Place, TheFilmThatWetsDriesToo) {
  PlaceBench bench;
  bench.around.set_parameter("mass_lag", to_seconds(1000 * one_day));
  const auto hour_at = [&](double celsius, double humidity) {
    bench.outdoors(celsius, humidity);
    bench.inside(6, 0.5);
    bench.advance(one_hour);
    bench.outdoors(celsius, humidity);
    bench.inside(6, 0.5);
    return 1000 * bench.value("thaw_wetting");
  };
  const double wet = hour_at(15, 0.95);
  EXPECT_GT(wet, 30);
  bench.advance(one_minute);
  const double before = hour_at(12, 0.6);
  EXPECT_NEAR(hour_at(12, 0.6) - before, -8.33, 0.2);
}

TEST(Place, TheDamperAirDecidesTheThawMargin) {
  PlaceBench bench;
  bench.outdoors(0, 0.4);
  bench.inside(0, 0.95);
  const double inside_damper = bench.value("thaw_margin");
  bench.advance(one_minute);
  bench.outdoors(5, 0.95);
  bench.inside(0, 0.95);
  EXPECT_NEAR(inside_damper, 0.7, 0.1);                // dew point of 0 degC and 95 %: -0.7 degC
  EXPECT_NEAR(bench.value("thaw_margin"), -4.3, 0.1);  // of 5 degC and 95 %: 4.3 degC
}

// A cold place with much vapor beside cold dry outdoors: the classical case for airing. Against it: drier by less
// than the sensors' uncertainty; damp weather; rain; surfaces that the outdoor air would wet.
TEST(Place, AiringHelpsOnlyWhereItDriesAndWetsNothing) {
  PlaceBench bench;
  bench.outdoors(-5, 0.7);
  bench.inside(5, 0.85);
  EXPECT_NEAR(bench.value("vapor_excess"), 0.85 * 872.6 - 0.7 * 421.8, 2);  // IAPWS-95; Murphy & Koop below freezing
  EXPECT_TRUE(bench.around.is_true("airing_helps"));
  bench.around.outdoors_reads(PlaceQuantity::rainfall, 0.001);
  bench.step();
  EXPECT_FALSE(bench.around.is_true("airing_helps"));
  bench.around.silence_outdoors(PlaceQuantity::rainfall);
  bench.advance(one_minute);
  bench.outdoors(-5, 0.93);
  bench.step();
  EXPECT_FALSE(bench.around.is_true("airing_helps"));
  bench.advance(one_minute);
  bench.outdoors(5, 0.80);
  bench.step();
  EXPECT_LT(bench.value("vapor_excess"), bench.around.plus_minus("vapor_excess"));
  EXPECT_FALSE(bench.around.is_true("airing_helps"));
  bench.around.silence_outdoors(PlaceQuantity::vapor_pressure);
  bench.step();
  EXPECT_EQ(bench.around.because("airing_helps"), no_outdoor_humidity);
}

// VTT model (Hukka & Viitanen 1999, classes of Ojanen et al. 2010): class sensitive, decline 0.5, 960 h at 20 degC and
// 90 %, 1440 h at -5 degC and 85 %, 720 h at 15 degC and 88 %: 0.78402, 0.30802, 0.65948, by an independent program
// that agrees with a second public one.
TEST(Place, FollowsThePublishedMoldModelHourByHour) {
  PlaceBench bench;
  const auto hold = [&](int hours, double celsius, double humidity) {
    for (int h = 0; h < hours; ++h) {
      bench.inside(celsius, humidity);
      bench.advance(one_hour);  // at five past, the hour is worked off
    }
  };
  hold(960, 20, 0.90);
  EXPECT_NEAR(bench.value("mold_index"), 0.78402, 1e-4);
  hold(1440, -5, 0.85);
  EXPECT_NEAR(bench.value("mold_index"), 0.30802, 1e-4);
  hold(720, 15, 0.88);
  EXPECT_NEAR(bench.value("mold_index"), 0.65948, 1e-4);
  EXPECT_GT(bench.value("mold_index_ahead"), 0.9);
}

TEST(Place, MoldHoldsAcrossALongGap) {
  PlaceBench bench;
  for (int h = 0; h < 48; ++h) {
    bench.inside(20, 0.95);
    bench.advance(one_hour);
  }
  const double before = bench.value("mold_index");
  bench.advance(3 * one_hour);
  const double held = bench.value("mold_index");
  bench.advance(40 * one_hour);
  EXPECT_GT(held, before);  // the last reading stands in for 3 h
  EXPECT_NEAR(bench.value("mold_index"), held, 1.1e-2);
  EXPECT_LT(bench.value("mold_index") - held, 2 * (held - before));
}

// A hand reading stands until the next; but what is reckoned from it and from the weather outdoors is of the visit.
TEST(Place, AHandReadingIsNotHeldAgainstLaterWeather) {
  PlaceBench bench;
  bench.outdoors(0, 0.8);
  bench.around.read("temperature", 10, {}, true);
  bench.around.read("humidity", 0.6, {}, true);
  bench.step();
  EXPECT_NEAR(bench.value("condensation_margin"), -0.07, 0.05);
  EXPECT_TRUE(bench.around.value("vapor_excess"));
  EXPECT_TRUE(bench.around.value("airing_helps"));
  for (int hour = 0; hour < 6; ++hour) {
    bench.advance(one_hour);
    bench.outdoors(-1 - hour, 0.8);
    bench.step();
  }
  EXPECT_NEAR(bench.value("surface_temperature"), -6 + 0.253 * 16, 0.05);
  bench.advance(one_hour);
  bench.outdoors(-15, 0.8);
  bench.step();
  for (const auto* q : {"surface_temperature", "condensation_margin", "cold_mass_temperature", "thaw_margin",
                        "vapor_excess", "airing_helps"}) {
    EXPECT_FALSE(bench.around.value(q)) << q;
    EXPECT_EQ(bench.around.because(q), read_by_hand_long_ago) << q;
  }
  EXPECT_NEAR(bench.value("dew_point"), 2.6, 0.1);  // of the air as it was read
  bench.around.read("temperature", -14);            // a sensor's reading now is no match for the old humidity
  bench.step();
  EXPECT_TRUE(bench.around.value("surface_temperature"));
  EXPECT_EQ(bench.around.because("dew_point"), not_read_together);
  EXPECT_EQ(bench.around.because("condensation_margin"), not_read_together);
}

TEST(Place, ExplainsItsFiguresInNumbers) {
  PlaceBench bench;
  bench.outdoors(8, 0.9);
  bench.inside(-2, 0.8);
  const auto all_of = [&](PlaceQuantity q) {
    Explanation e;
    bench.model->explain(bench.around, index_of(q), bench.around.time, e);
    std::string text;
    for (const auto* lines : {&e.calculation, &e.assumed, &e.missing}) {
      for (const auto& line : *lines) text += line + "\n";
    }
    return text;
  };
  EXPECT_NE(all_of(PlaceQuantity::dew_point).find("80.0 % x 527."), std::string::npos)
      << all_of(PlaceQuantity::dew_point);
  EXPECT_NE(all_of(PlaceQuantity::thaw_margin).find("outdoors"), std::string::npos);
  EXPECT_NE(all_of(PlaceQuantity::thaw_margin).find("mass_lag"), std::string::npos);
  EXPECT_NE(all_of(PlaceQuantity::temperature).find("24 hours"), std::string::npos);
  for (std::uint8_t q = index_of(PlaceQuantity::dew_point); q < place_quantity_count; ++q) {
    EXPECT_FALSE(all_of(static_cast<PlaceQuantity>(q)).empty()) << place_kind().quantities[q].name;
  }
}

}  // namespace
}  // namespace overwinter
