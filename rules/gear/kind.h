// What a kind of gear is, as data: its quantities, parameters and acts, and the model that computes from them.
// One file a kind (rules/gear/tire.cpp, ...), one row each in rules/gear/kinds.cpp. The table drives the loader, its
// hints, the reference page and the JSON Schema.
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <span>
#include <string_view>
#include <vector>

#include "rules/quantity/print.h"
#include "rules/quantity/time.h"
#include "rules/quantity/type.h"

namespace overwinter {

class Model;

// Values that a sensor can plausibly tell; canonical.
struct Range {
  double minimum = 0, maximum = 0;

  bool holds(double value) const { return value >= minimum && value <= maximum; }
};

// A measured or computed quantity. Numbers are canonical (SI, points in degC).
struct QuantitySpec {
  std::string_view name;
  Type type;
  Shown shown = Shown::by_dimension;
  bool measured = false;
  std::string_view text;  // one sentence for the reference page
  // of measured numbers:
  double plus_minus = 0;                   // a usual sensor's own uncertainty, k = 2
  double minimum = 0, maximum = 0;         // outside is rejected, unless the binding says `valid`
  std::optional<Range> outdoors = {};      // of the place `outdoors`, instead
  std::string_view in_proportion_to = {};  // a parameter with a default: both bounds grow with it
  bool has_expected = false;               // the model computes what it ought to be
  // Its sensor lives off the engine and speaks only while that runs: its silence is told only where the site file
  // says a stale_after.
  bool while_running = false;
  // The computed quantity that conditions and texts mean by this name where nothing brings it: its place's, behind a
  // lag.
  std::string_view otherwise = {};
  // of computed quantities: names of the own measured quantities that a new value rests on (one packet rule), what it
  // cannot do without first; and those that it follows by medians of hours and days, where no single packet decides and
  // any one of them serves.
  std::vector<std::string_view> rests_on = {};
  std::vector<std::string_view> rests_on_medians_of = {};
  // Names of own measured quantities (or of its place's behind them), of own parameters, and `outdoors.X`, without
  // which a computed quantity is never known, or what a measured one ought to be; and those of which it needs any one.
  std::vector<std::string_view> needs = {};
  std::vector<std::string_view> needs_one_of = {};
  // of words: indexes of those that the model says only where several readings agree; they wait for no other one.
  std::vector<double> confirmed = {};
};

struct ParameterSpec {
  enum class Form : std::uint8_t { scalar, table };  // table: pairs (voltage_table)
  std::string_view name;                             // "minimum_pressure", or "filled.pressure" for a key inside a map
  Type type;
  Shown shown = Shown::by_dimension;
  std::string_view text;
  std::optional<double> otherwise = {};      // default, canonical; of words the index
  double minimum = -1e300, maximum = 1e300;  // outside is a fault
  Form form = Form::scalar;
  std::string_view not_below = {};                  // another parameter of the kind: a fault
  bool whole = false;                               // a number of things: 7.5 is a fault
  std::vector<std::string_view> needs_one_of = {};  // as of quantities: where it is given without, it says nothing
};

// Work that changes what to expect. Each value sets the parameter "<group>.<value>"; `dated` is set to the act's time.
struct ActValueSpec {
  std::string_view name;       // "pressure"
  std::string_view parameter;  // "filled.pressure"
  bool required = true;
};
struct ActSpec {
  std::string_view name;  // "filled"
  std::vector<ActValueSpec> values;
  std::string_view dated;  // parameter that holds when: "filled.date"; the newer of act and site file wins
  std::string_view done;   // for a person, its values follow: "filled" of "filled, pressure 50.0 psi"
  std::vector<std::string_view> forgets = {};  // parameters that told of the work before it and are no value of the act
};

// What a model reads besides its own gear; a change there updates it.
struct InputSpec {
  enum class Whose : std::uint8_t { place, outdoors };
  Whose whose = Whose::place;
  std::string_view quantity;  // of kind place
};

struct KindSpec {
  std::string_view name;
  std::string_view text;
  std::vector<QuantitySpec> quantities;  // measured first, then computed; models use the index
  std::vector<ParameterSpec> parameters;
  std::vector<ActSpec> acts;
  std::vector<InputSpec> inputs;
  std::unique_ptr<Model> (*make_model)() = nullptr;
  std::vector<std::string_view> sources = {};  // publications that its models rest on, for the reference page

  std::optional<std::uint8_t> quantity(std::string_view name) const;
  std::optional<std::uint8_t> parameter(std::string_view name) const;
};

// All kinds, `place` and `site` among them, in the order of the reference page.
std::span<const KindSpec* const> all_kinds();
const KindSpec* find_kind(std::string_view name);  // nullptr: none
const KindSpec& place_kind();
const KindSpec& site_kind();

// Engine-made quantities that stand in every kind (set by the engine, not by models): see rules/gear/watch.h.

}  // namespace overwinter
