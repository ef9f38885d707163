// What names mean where an expression stands. The plan's builder implements it; the checker asks.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "rules/quantity/print.h"
#include "rules/quantity/time.h"
#include "rules/quantity/type.h"

namespace overwinter {

// Which side of a quantity an expression names: pressure, pressure.expected, pressure.expected.plus_minus, ...
enum class Facet : std::uint8_t {
  value,
  expected,
  expected_plus_minus,
  expected_now,
  expected_now_plus_minus,
  deviation,
  plus_minus,
  at,          // instant of the reading
  since_read,  // duration since .at; depends on now
  quality,     // word: good, uncertain, bad
};

// What a gauge would show at this moment.
constexpr bool is_of_now(Facet facet) {
  return facet == Facet::expected_now || facet == Facet::expected_now_plus_minus;
}

// What a model says of a quantity that is read.
constexpr bool needs_expected(Facet facet) {
  return is_of_now(facet) || facet == Facet::expected || facet == Facet::expected_plus_minus ||
         facet == Facet::deviation;
}

// A quantity's side at run time: slot is a row of the engine's board.
struct Reference {
  std::uint32_t slot = 0;
  Facet facet = Facet::value;

  bool operator==(const Reference&) const = default;
};

struct NamedQuantity {
  enum class Role : std::uint8_t {
    measured,   // has every facet (expected and deviation only if has_expected)
    computed,   // has value, plus_minus, at
    parameter,  // value only; may be unknown
    constant,   // a `with:` number: `constant` is its value, folded
    table,      // a parameter that is no value: an error
  };
  std::uint32_t slot = 0;
  std::optional<std::uint32_t> stand_in;  // a computed one, whose value is meant where nothing brings this one
  Type type;
  Role role = Role::computed;
  bool has_expected = false;
  Shown shown = Shown::by_dimension;
  double constant = 0;
};

inline constexpr std::string_view quality_words[] = {"good", "uncertain", "bad"};

class Scope {
 public:
  virtual ~Scope() = default;

  // The quantities, parameters and with-numbers of what the rule applies to. Compound parameters are asked for with
  // their dots: "filled.pressure".
  virtual std::optional<NamedQuantity> own(std::string_view name) const = 0;
  // A quantity or parameter of a place or gear by id, or of the own place: owner == "place".
  virtual std::optional<NamedQuantity> of(std::string_view owner, std::string_view name) const = 0;
  virtual bool is_owner(std::string_view id) const = 0;
  // For suggestions. owner empty: own names and ids.
  virtual std::vector<std::string_view> names(std::string_view owner) const = 0;
  // The board row with the station pressure in Pa absolute, for absolute(x) and gauge(x); none: 101325 Pa.
  virtual std::optional<std::uint32_t> station_pressure_slot() const = 0;
  // The zone in which a date literal starts its day.
  virtual const TimeZone& zone() const = 0;
};

}  // namespace overwinter
