// What a tire ought to read: from its fill, by the gas law, less what seeped through the rubber since.
#pragma once

#include <cstdint>
#include <optional>

#include "rules/gear/model.h"

namespace overwinter {

// In the order of tire_kind().quantities.
enum class TireQuantity : std::uint8_t {
  pressure,
  temperature,
  normalized_pressure,
  leak_rate,
  time_until_minimum,
  verdict,
  age,
  standing_time,
  pressure_to_set,
  temperature_at_reading,
  assumed_temperature,
  gauge_pressure,
};

// In the order of tire_kind().parameters.
enum class TireParameter : std::uint8_t {
  filled_pressure,
  filled_temperature,
  filled_date,
  filled_station_pressure,
  filled_reads,
  cold_pressure,
  minimum_pressure,
  maximum_pressure,
  date_code,
  moved_date,
  fill_gas,
};

enum class TireAct : std::uint8_t { filled, moved, valve_checked };
enum class GaugeReads : std::uint8_t { vented, sealed, absolute };
enum class FillGas : std::uint8_t { dry_nitrogen, dry_air, moist_air };

constexpr std::uint8_t index_of(TireQuantity q) { return static_cast<std::uint8_t>(q); }
constexpr std::uint8_t index_of(TireParameter p) { return static_cast<std::uint8_t>(p); }

// The temperature of the air in the tire, with its one-sigma error.
struct TireAir {
  double celsius = 0;
  double sigma = 0;  // K
  bool own = false;  // by the tire's own sensor; else its place's air, lagged by 1.5 h
  Instant at{};      // of the reading that it rests on
};

// Own sensor: one sigma 1 K, 3 K from 09:00 to 17:00 local; the place's: 2 K, 5 K (sun; common practice, no source);
// what the sensor itself is unsure of, where that is more. Where the own sensor says nothing at that instant, the
// place's is taken. The lag of 1.5 h is that of tire air behind the air around it (estimate).
std::optional<TireAir> tire_air(const Surroundings& around, Instant instant);

inline constexpr const char* fill_lies_ahead = "the date of its fill lies in the future (filled: {date})";

// The fill, with what was so at that time; kept, because histories end.
struct TireFill {
  Instant date{};
  double pressure = 0;               // true gauge, Pa
  std::optional<double> celsius;     // of the air inside
  double celsius_sigma = 0;          // K, one sigma
  double station_pressure = 101325;  // Pa
  double station_plus_minus = 0;     // k = 2
  bool known = false;                // there is a filled.pressure
  bool dated = false;                // false: taken as filled at lay-up
  bool temperature_given = false, station_given = false;
  // as the parameters said, to see a new fill
  double said_pressure = 0, said_celsius = 0, said_station = 0, said_reads = 0;

  bool same_as(const TireFill& other) const;
  bool lies_ahead_of(Instant now) const { return known && dated && lies_ahead(date, now); }
  // Whether a reading is one of the fill before. None is, of a fill that has not been.
  bool was_after(Instant reading, Instant now) const { return known && reading < date && !lies_ahead_of(now); }

  template <class A>
  void archive(A& a) {
    a(date, pressure, celsius, celsius_sigma, station_pressure, station_plus_minus, known, dated, temperature_given,
      station_given, said_pressure, said_celsius, said_station, said_reads);
  }
};

// What the parameters say of the fill. Without a date: lay-up.
TireFill told_fill(const Surroundings& around);
// The same, with the weather at that time where the parameters leave it out.
TireFill tire_fill(const Surroundings& around);

// The pressure that the gauge of a reading at `instant` has outside: a sealed sensor's reference, else the station's.
Sample tire_ambient(const Surroundings& around, bool by_hand, Instant instant);

// The steps of the calculation, for `explain`.
struct TireExpectation {
  Expectation answer;
  TireAir air;
  Sample ambient;
  double dry = 0;    // by the gas law alone, gauge, Pa
  double kept = 1;   // share left by seepage
  double moist = 0;  // Pa, not above zero: what condensed, if the fill was moist
};

// air and ambient: at the instant. seeped: integral of the seepage rate since the fill. plus_minus, k = 2: both
// temperatures, both station pressures, a gauge of 1 psi at the fill (common practice, no source), a factor of two in
// the seepage, and for moist fill air what may have condensed (one-sided, low).
TireExpectation expect_tire(const Surroundings& around, const TireFill& fill, double seeped,
                            const std::optional<TireAir>& air, const Sample& ambient, Instant instant);

}  // namespace overwinter
