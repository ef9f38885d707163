// Compile-time types of the physics signatures. Points and differences of temperature, gauge and
// absolute pressure are different types; adding two temperatures, or a gauge to an absolute
// pressure, does not compile (tests/refuse holds the cases).
//
// Every type wraps one double in its canonical unit: SI, except temperature points, which are in
// degC (a reading of 5.0 degC then prints as 5.0), and shares, which are 0..1.
#pragma once

#include <compare>

namespace overwinter {

// An amount that can be added, scaled and compared. Tag only makes the types distinct.
template <class Tag>
struct Amount {
  double value = 0;

  constexpr Amount() = default;
  constexpr explicit Amount(double v) : value(v) {}

  constexpr auto operator<=>(const Amount&) const = default;
  constexpr Amount operator-() const { return Amount(-value); }
  friend constexpr Amount operator+(Amount a, Amount b) { return Amount(a.value + b.value); }
  friend constexpr Amount operator-(Amount a, Amount b) { return Amount(a.value - b.value); }
  friend constexpr Amount operator*(Amount a, double k) { return Amount(a.value * k); }
  friend constexpr Amount operator*(double k, Amount a) { return Amount(k * a.value); }
  friend constexpr Amount operator/(Amount a, double k) { return Amount(a.value / k); }
  friend constexpr double operator/(Amount a, Amount b) { return a.value / b.value; }
};

// A point on a scale whose differences are Step: point - point = step, point + step = point.
template <class Tag, class Step>
struct Point {
  double value = 0;

  constexpr Point() = default;
  constexpr explicit Point(double v) : value(v) {}

  constexpr auto operator<=>(const Point&) const = default;
  friend constexpr Step operator-(Point a, Point b) { return Step(a.value - b.value); }
  friend constexpr Point operator+(Point a, Step b) { return Point(a.value + b.value); }
  friend constexpr Point operator-(Point a, Step b) { return Point(a.value - b.value); }
};

using TemperatureStep = Amount<struct TemperatureStepTag>;        // K
using PressureDifference = Amount<struct PressureDifferenceTag>;  // Pa

// A temperature point in degC.
struct Temperature : Point<struct TemperatureTag, TemperatureStep> {
  using Point::Point;
  constexpr Temperature(Point p) : Point(p) {}  // NOLINT(google-explicit-constructor): the same type by name
  static constexpr Temperature from_kelvin(double kelvin) { return Temperature(kelvin - 273.15); }
  constexpr double celsius() const { return value; }
  constexpr double kelvin() const { return value + 273.15; }
};

struct AbsolutePressure : Point<struct AbsolutePressureTag, PressureDifference> {  // Pa
  using Point::Point;
  constexpr AbsolutePressure(Point p) : Point(p) {}  // NOLINT(google-explicit-constructor)
};

struct GaugePressure : Point<struct GaugePressureTag, PressureDifference> {  // Pa above the ambient
  using Point::Point;
  constexpr GaugePressure(Point p) : Point(p) {}  // NOLINT(google-explicit-constructor)
};

// The only bridges between gauge and absolute: both name the ambient pressure.
constexpr AbsolutePressure absolute(GaugePressure p, AbsolutePressure ambient) {
  return AbsolutePressure(p.value + ambient.value);
}
constexpr GaugePressure gauge(AbsolutePressure p, AbsolutePressure ambient) {
  return GaugePressure(p.value - ambient.value);
}

inline constexpr AbsolutePressure standard_atmosphere{101325.0};  // ISO 2533

using Share = Amount<struct ShareTag>;                        // 1, usually 0..1: humidity, charge, fraction
using Voltage = Amount<struct VoltageTag>;                    // V
using Current = Amount<struct CurrentTag>;                    // A
using Charge = Amount<struct ChargeTag>;                      // C (1 Ah = 3600 C)
using Power = Amount<struct PowerTag>;                        // W
using Seconds = Amount<struct SecondsTag>;                    // s, for durations computed by physics
using RatePerSecond = Amount<struct RateTag>;                 // 1/s
using Length = Amount<struct LengthTag>;                      // m
using Mass = Amount<struct MassTag>;                          // kg
using Volume = Amount<struct VolumeTag>;                      // m3
using Density = Amount<struct DensityTag>;                    // kg/m3
using SpecificEnthalpy = Amount<struct EnthalpyTag>;          // J/kg
using SpecificGravity = Amount<struct SpecificGravityTag>;    // 1, of electrolyte at 25 degC
using VoltagePerKelvin = Amount<struct VoltagePerKelvinTag>;  // V/K

}  // namespace overwinter
