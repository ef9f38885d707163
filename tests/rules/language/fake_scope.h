// A small world for tests of the language: quantities of a tire, its place and a battery; a table of their readings;
// and a few functions in the place of those of physics.
#pragma once

#include <array>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "rules/language/compile.h"
#include "rules/language/evaluator.h"
#include "rules/language/scope.h"

namespace overwinter {

using Role = NamedQuantity::Role;

inline constexpr std::string_view verdict_words[] = {"fine", "cold", "leaking", "sudden_loss", "low", "unknown"};
inline constexpr std::string_view chemistry_words[] = {"flooded", "flooded_calcium", "agm", "gel"};
inline constexpr std::string_view wet_words[] = {"flooded", "flooded_calcium"};
// The lists of functions are in an order of their own.
inline constexpr std::string_view any_chemistry_words[] = {"gel", "agm", "flooded_calcium", "flooded"};
inline constexpr std::string_view class_words[] = {"sensitive", "medium_resistant", "resistant"};

class FakeScope : public Scope {
 public:
  struct Row {
    std::string owner;  // empty: own
    std::string name;
    NamedQuantity quantity;
  };

  // Gives the quantity the next slot; own names are those of `place` too when the owner is "place".
  FakeScope& add(std::string owner, std::string name, Type type, Role role, bool has_expected = false,
                 Shown shown = Shown::by_dimension, double constant = 0) {
    NamedQuantity quantity;
    quantity.slot = static_cast<std::uint32_t>(rows_.size());
    quantity.type = type;
    quantity.role = role;
    quantity.has_expected = has_expected;
    quantity.shown = shown;
    quantity.constant = constant;
    rows_.push_back({std::move(owner), std::move(name), quantity});
    return *this;
  }

  std::optional<NamedQuantity> own(std::string_view name) const override { return of("", name); }
  std::optional<NamedQuantity> of(std::string_view owner, std::string_view name) const override {
    for (const Row& row : rows_) {
      if (row.owner == owner && row.name == name) return row.quantity;
    }
    return std::nullopt;
  }
  bool is_owner(std::string_view id) const override {
    for (const Row& row : rows_) {
      if (!row.owner.empty() && row.owner == id) return true;
    }
    return false;
  }
  std::vector<std::string_view> names(std::string_view owner) const override {
    std::vector<std::string_view> out;
    for (const Row& row : rows_) {
      if (row.owner == owner) out.push_back(row.name);
    }
    std::set<std::string_view> owners;
    for (const Row& row : rows_) {
      if (owner.empty() && !row.owner.empty() && owners.insert(row.owner).second) out.push_back(row.owner);
    }
    return out;
  }
  std::optional<std::uint32_t> station_pressure_slot() const override { return station_slot; }
  const TimeZone& zone() const override { return time_zone; }

  std::optional<std::uint32_t> station_slot;
  TimeZone time_zone;

 private:
  std::vector<Row> rows_;
};

// What the programs of a test read.
class FakeReadings : public Readings {
 public:
  Cell read(Reference reference) const override {
    const auto found = cells.find({reference.slot, static_cast<int>(reference.facet)});
    return found == cells.end() ? Cell::unknown() : found->second;
  }
  Instant arrived(std::uint32_t slot) const override {
    const auto found = taken.find(slot);
    return found == taken.end() ? never : found->second;
  }

  void set(Reference reference, Cell cell) {
    cells[{reference.slot, static_cast<int>(reference.facet)}] = cell;
    if (reference.facet == Facet::value) taken[reference.slot] = in_this_step;
  }

  std::map<std::pair<std::uint32_t, int>, Cell> cells;
  std::map<std::uint32_t, Instant> taken;  // what arrived in this step, and when it was taken

 private:
  static constexpr Instant in_this_step = never - Span(1);
};

namespace fake {

inline CallAnswer spread(const double* a) { return {a[0] - 10 * (1 - a[1]), nullptr}; }
inline CallAnswer ratio(const double* a) {
  return a[0] > 0 ? CallAnswer{1 / a[0], nullptr} : CallAnswer{0, "only above 0"};
}
inline CallAnswer same(const double* a) { return {a[0], nullptr}; }
inline CallAnswer index(const double* a) { return {a[0], nullptr}; }

// dew(t, rh): t - 10 K * (1 - rh). reciprocal(x): 1/x above 0. air_load(p): an absolute pressure as it is.
// gauge_load(p): a gauge pressure as it is. stretch(p): a difference of pressure as it is.
// wet_number(chemistry), any_number(chemistry), class_number(class): the place of the word in the function's list.
// code_number(code): a code of digits as its parameter takes it.
inline const std::array<Function, 9>& functions() {
  static const std::array<Function, 9> table = [] {
    const auto make = [](std::string_view name, std::vector<FunctionParameter> parameters, Type result,
                         CallAnswer (*call)(const double*)) {
      Function function;
      function.name = name;
      function.parameter_count = static_cast<std::uint8_t>(parameters.size());
      for (std::size_t i = 0; i < parameters.size(); ++i) function.parameters[i] = parameters[i];
      function.result = result;
      function.call = call;
      return function;
    };
    return std::array<Function, 9>{
        make("dew", {{"t", Type::temperature()}, {"rh", Type::share(), Shown::percent}}, Type::temperature(), spread),
        make("reciprocal", {{"x", Type::share()}}, Type::share(), ratio),
        make("air_load", {{"p", Type::absolute()}}, Type::absolute(), same),
        make("gauge_load", {{"p", Type::gauge()}}, Type::gauge(), same),
        make("stretch", {{"p", Type::number(dimension::pressure)}}, Type::number(dimension::pressure), same),
        make("wet_number", {{"chemistry", Type::word(wet_words)}}, Type::share(), index),
        make("any_number", {{"chemistry", Type::word(any_chemistry_words)}}, Type::share(), index),
        make("class_number", {{"class", Type::word(class_words)}}, Type::share(), index),
        make("code_number", {{"code", Type::code()}}, Type::share(), index)};
  }();
  return table;
}

// The world of the conformance cases; the head of tests/conformance/conditions.txt tells it in words.
inline FakeScope world() {
  FakeScope scope;
  const Type gauge = Type::gauge();
  Type literal = Type::number(dimension::pressure);
  literal.literal = true;
  scope.add("", "pressure", gauge, Role::measured, true, Shown::tire_pressure)
      .add("", "temperature", Type::temperature(), Role::measured)
      .add("", "humidity", Type::share(), Role::measured, false, Shown::percent)
      .add("", "voltage", Type::number(dimension::voltage), Role::measured, true)
      .add("", "door_open", Type::boolean(), Role::measured)
      .add("", "shore_power", Type::boolean(), Role::measured)
      .add("", "dew_point", Type::temperature(), Role::computed)
      .add("", "leak_rate", Type::number(dimension::pressure_rate), Role::computed)
      .add("", "age", Type::duration(), Role::computed)
      .add("", "verdict", Type::word(verdict_words), Role::computed)
      .add("", "silent_sensors", Type::share(), Role::computed, false, Shown::plain)
      .add("", "charge_fraction", Type::share(), Role::computed, false, Shown::percent)
      .add("", "minimum_pressure", gauge, Role::parameter)
      .add("", "chemistry", Type::word(chemistry_words), Role::parameter)
      .add("", "capacity", Type::number(dimension::charge), Role::parameter)
      .add("", "date_code", Type::code(), Role::parameter)
      .add("", "filled.pressure", gauge, Role::parameter)
      .add("", "filled.date", Type::instant(), Role::parameter)
      .add("", "heated", Type::boolean(), Role::parameter)
      .add("", "margin", literal, Role::constant, false, Shown::by_dimension, 3 * 6894.757293168361)
      .add("", "limit", Type::share(), Role::constant, false, Shown::by_dimension, 60)
      .add("", "wanted", Type::share(), Role::constant, false, Shown::by_dimension, 0.6)
      .add("place", "temperature", Type::temperature(), Role::measured)
      .add("outdoors", "temperature", Type::temperature(), Role::measured)
      .add("outdoors", "station_pressure", Type::absolute(), Role::measured)
      .add("camper", "temperature", Type::temperature(), Role::measured, true)
      .add("camper", "humidity", Type::share(), Role::measured, false, Shown::percent)
      .add("house_battery", "voltage", Type::number(dimension::voltage), Role::measured, true)
      .add("house_battery", "verdict", Type::word(class_words), Role::computed);
  return scope;
}

inline Result<Program> compile_any(std::string_view text, const Scope& scope) {
  return compile(text, scope, functions(), Wanted::any);
}

}  // namespace fake
}  // namespace overwinter
