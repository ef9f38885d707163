// What kind of thing a value is: a dimension, and whether it is a point, a difference, gauge or absolute,
// an instant, a boolean, a word or a code of digits. Values at run time are plain doubles in the canonical unit of
// their type: SI, except temperature points, which are in degC; instants in seconds since 1970; booleans 0 or 1; words
// are indexes into their word list; codes as in quantity/code.h.
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <string_view>

namespace overwinter {

// Exponents of the SI base dimensions that we need.
struct Dimension {
  std::int8_t length = 0, mass = 0, time = 0, current = 0, temperature = 0;

  constexpr bool operator==(const Dimension&) const = default;
  friend constexpr Dimension operator+(Dimension a, Dimension b) {  // of a product
    return {static_cast<std::int8_t>(a.length + b.length), static_cast<std::int8_t>(a.mass + b.mass),
            static_cast<std::int8_t>(a.time + b.time), static_cast<std::int8_t>(a.current + b.current),
            static_cast<std::int8_t>(a.temperature + b.temperature)};
  }
  friend constexpr Dimension operator-(Dimension a, Dimension b) {  // of a quotient
    return {static_cast<std::int8_t>(a.length - b.length), static_cast<std::int8_t>(a.mass - b.mass),
            static_cast<std::int8_t>(a.time - b.time), static_cast<std::int8_t>(a.current - b.current),
            static_cast<std::int8_t>(a.temperature - b.temperature)};
  }
};

namespace dimension {
inline constexpr Dimension none{};
inline constexpr Dimension length{1, 0, 0, 0, 0};
inline constexpr Dimension mass{0, 1, 0, 0, 0};
inline constexpr Dimension time{0, 0, 1, 0, 0};
inline constexpr Dimension current{0, 0, 0, 1, 0};
inline constexpr Dimension temperature{0, 0, 0, 0, 1};
inline constexpr Dimension volume{3, 0, 0, 0, 0};
inline constexpr Dimension pressure{-1, 1, -2, 0, 0};
inline constexpr Dimension energy{2, 1, -2, 0, 0};
inline constexpr Dimension power{2, 1, -3, 0, 0};
inline constexpr Dimension voltage{2, 1, -3, -1, 0};
inline constexpr Dimension charge{0, 0, 1, 1, 0};
inline constexpr Dimension rate{0, 0, -1, 0, 0};
inline constexpr Dimension density{-3, 1, 0, 0, 0};
inline constexpr Dimension specific_energy{2, 0, -2, 0, 0};
inline constexpr Dimension pressure_rate{-1, 1, -3, 0, 0};
inline constexpr Dimension mass_per_area{-2, 1, 0, 0, 0};
inline constexpr Dimension voltage_per_kelvin{2, 1, -3, -1, -1};
inline constexpr Dimension irradiance{0, 1, -3, 0, 0};
inline constexpr Dimension kelvin_time{0, 0, 1, 0, 1};  // freezing exposure
}  // namespace dimension

enum class Sort : std::uint8_t {
  number,       // any dimension; a difference where the dimension is temperature or pressure
  temperature,  // a point, degC
  gauge,        // gauge pressure, Pa
  absolute,     // absolute pressure, Pa
  instant,      // seconds since 1970-01-01T00:00:00Z
  boolean,
  word,
  code,
};

// The words that a quantity can have, in order; the run-time value is the index. The texts live as long as the program
// (kind tables, function tables).
using Words = std::span<const std::string_view>;

struct Type {
  Sort sort = Sort::number;
  Dimension dimension{};  // of numbers; kept equal to temperature or pressure for the points
  bool literal = false;   // a pressure without a sort of its own (LANGUAGE, Pressures)
  Words words{};          // of words

  static constexpr Type number(Dimension d) { return {Sort::number, d, false, {}}; }
  static constexpr Type temperature() { return {Sort::temperature, dimension::temperature, false, {}}; }
  static constexpr Type gauge() { return {Sort::gauge, dimension::pressure, false, {}}; }
  static constexpr Type absolute() { return {Sort::absolute, dimension::pressure, false, {}}; }
  static constexpr Type instant() { return {Sort::instant, dimension::time, false, {}}; }
  static constexpr Type duration() { return number(dimension::time); }
  static constexpr Type share() { return number(dimension::none); }
  static constexpr Type boolean() { return {Sort::boolean, {}, false, {}}; }
  static constexpr Type word(Words words) { return {Sort::word, {}, false, words}; }
  static constexpr Type code() { return {Sort::code, {}, false, {}}; }

  // Sampled numbers need a second reading before an alarm; booleans, words and codes hold between messages.
  constexpr bool is_numeric() const { return sort != Sort::boolean && sort != Sort::word && sort != Sort::code; }
  // The type of a difference of two values of this type.
  constexpr Type difference() const { return sort == Sort::instant ? duration() : number(dimension); }
  bool operator==(const Type& other) const {
    return sort == other.sort && dimension == other.dimension && literal == other.literal &&
           words.data() == other.words.data() && words.size() == other.words.size();
  }
};

// For messages: "a temperature", "a temperature difference", "a gauge pressure", "a pressure", "a duration",
// "a voltage", "a number without unit", "a mass per volume", "yes or no", "a word", "a code of digits", or the
// exponents when unnamed.
std::string describe(const Type& type);
std::string describe(Dimension d);

}  // namespace overwinter
