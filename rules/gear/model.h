// What a kind's model sees and answers. The engine implements Surroundings; models know nothing of boards or alarms.
// Indexes are those of the kind's tables (KindSpec::quantities, parameters).
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "rules/archive.h"
#include "rules/gear/kind.h"
#include "rules/quantity/strong.h"
#include "rules/quantity/time.h"

namespace overwinter {

// A value with its uncertainty (k = 2) and its origin.
struct Sample {
  double value = 0;       // canonical
  double plus_minus = 0;  // k = 2, canonical difference
  Instant at{};           // of the reading (of two, when interpolated: the asked instant)
  bool known = false;
  bool by_hand = false;
};

// What a quantity ought to be at one instant, or why that cannot be said (a static sentence).
struct Expectation {
  double value = 0;
  double plus_minus = 0;  // k = 2
  const char* unknown_because = nullptr;

  bool known() const { return unknown_because == nullptr; }
  // By the text of the reason: one that a snapshot brought back has another address.
  bool operator==(const Expectation& other) const {
    if (known() != other.known()) return false;
    if (!known() && std::string_view(unknown_because) != other.unknown_because) return false;
    return value == other.value && plus_minus == other.plus_minus;
  }
};

// The current reading of a measured quantity.
struct Measured : Sample {
  bool fresh = false;      // arrived in this step, or can be judged since this step
  bool uncertain = false;  // feeds no verdict, trend or rule; `known` is false then
  // What the model itself said in this step that a fresh reading ought to be; nullptr: it was not asked yet.
  const Expectation* expected = nullptr;
};

// A date of the site file that is a slip in its year: what is told by an act is at most minutes ahead.
constexpr bool lies_ahead(Instant told, Instant now) { return told - now > one_hour; }

// How far in time a hand reading, or one by a sensor that never goes stale, may stand beside another or the weather.
inline constexpr Span hand_reach = 6 * one_hour;

// A walk around reads the thermometer last as often as first: what was read by hand before is judged then.
inline constexpr Span thermometer_follows = 2 * one_hour;

class Surroundings {
 public:
  enum class Whose : std::uint8_t { own, place, outdoors };

  virtual ~Surroundings() = default;

  virtual Instant now() const = 0;
  virtual const TimeZone& zone() const = 0;
  virtual DisplayUnits display_units() const = 0;

  virtual Measured measured(std::uint8_t quantity) const = 0;
  // True when the site file binds the quantity or says by_hand; a hand reading of any quantity also makes it so.
  virtual bool has_source(std::uint8_t quantity) const = 0;
  // What its sensor subtracts where it is a sealed gauge (`reads: sealed`); nothing: it has no such sensor.
  virtual std::optional<AbsolutePressure> sealed_reference(std::uint8_t quantity) const = 0;
  // Value after defaults and acts; nothing when it has neither. assumed: it is the kind's default.
  virtual std::optional<double> parameter(std::uint8_t index) const = 0;
  virtual bool assumed(std::uint8_t index) const = 0;
  virtual std::vector<std::pair<double, double>> table_parameter(std::uint8_t index) const = 0;
  // Another number than before once a parameter or the lay-up may be told otherwise: what was worked out from them
  // stands as long as it is the same.
  virtual std::uint64_t times_told() const = 0;

  // A measured quantity (of the own gear, of the own place, of outdoors) as it was at an instant: the reading nearest
  // in time, at most its stale_after away; two neighbors up to 2 h apart are interpolated. Quantities of places are
  // indexes of place_kind(). Unknown when there is none.
  virtual Sample at(Whose whose, std::uint8_t quantity, Instant instant) const = 0;
  // The same behind a first-order lag of time constant tau (a tire's air, a battery's acid).
  virtual Sample lagged_at(Whose whose, std::uint8_t quantity, Span tau, Instant instant) const = 0;
  // A present value of the own place or of outdoors, measured or computed.
  virtual Sample present(Whose whose, std::uint8_t quantity) const = 0;
  virtual std::optional<double> place_parameter(std::uint8_t index) const = 0;
  // True if the own place is `outdoors` itself (a place: if it is that place).
  virtual bool is_outdoors() const = 0;
  // Absolute, Pa: measured outdoors (plus_minus 0.2 % per 100 m of altitude where it was reduced to sea level), or the
  // standard pressure at the site's altitude (plus_minus 3 kPa). Always known.
  virtual Sample station_pressure_at(Instant instant) const = 0;
  virtual double altitude() const = 0;  // m
  virtual Instant lay_up() const = 0;   // start of the season; Instant{} when the site has none
  // Since when sensors can be heard; never: the link to the broker is down.
  virtual Instant heard_since() const = 0;

  // Answers. A computed quantity keeps its value until set or unset again.
  virtual void set(std::uint8_t quantity, double value, double plus_minus = 0) = 0;
  virtual void unset(std::uint8_t quantity, const char* because) = 0;
  // A question for the person, told in the next digest ("Left front tire rose 2 psi and no act says why").
  virtual void ask(std::string question) = 0;
  // The same of what rose after `since`, unless work that explains it is told by then: `dated` is the parameter that
  // says when.
  virtual void ask_of_rise(std::string question, Instant since, std::uint8_t dated) = 0;

  // True where a model should ask again what it remembers the answer to, so that an explanation names all it rests on.
  virtual bool wants_every_question() const { return false; }
};

// How `explain` shows one quantity; every line in plain words with numbers that a calculator can check.
struct Explanation {
  std::vector<std::string> calculation;  // "(52.0 psi + 14.3 psi) x 266.5 K / 289.3 K - 14.3 psi = 46.8 psi"
  std::vector<std::string> assumed;      // "air in the tire: moist (default)"
  std::vector<std::string> missing;      // "temperature of garage: no source"
};

class Model {
 public:
  virtual ~Model() = default;

  // What measured `quantity` ought to be at `instant`, from inputs at that instant, as a person's instrument shows it
  // (by_hand) or as its sensor does: a sealed gauge reads otherwise than a true one. Asked for quantities with
  // has_expected only; must not change any state.
  virtual Expectation expected(const Surroundings& around, std::uint8_t quantity, Instant instant, bool by_hand) const;

  // After the readings of a step (own, place, outdoors) or at a wake: compute what follows. Deterministic.
  virtual void update(Surroundings& around) = 0;

  // A back-dated reading older than the newest: for trends only.
  virtual void late_reading(Surroundings& around, std::uint8_t quantity, const Sample& reading);

  // An act was recorded; its parameters are already set. Restart trends.
  virtual void act(Surroundings& around, std::uint8_t act, Instant at);

  // Whether the parameters tell of other work (a fill, a full charge) than the last update knew, as an edited site file
  // does: what was read is compared anew.
  virtual bool is_told_of_other_work(const Surroundings& around) const;

  // From `at` on another sensor tells measured `quantity`, or the temperature of the place that stands for it; or the
  // site tells another altitude, and so another air around it: restart the trends of what was told before.
  virtual void new_sensor(std::uint8_t quantity, Instant at);

  // What the thermometer of its place said until now was taken in a wrong unit.
  virtual void place_temperature_was_misread();

  // The verdict on a hand reading in words, a sentence part: "fine", "low: 2.1 psi below what it should read".
  // Empty: the engine says whether it lies within plus_minus.
  virtual std::string verdict_in_words(const Surroundings& around, std::uint8_t quantity, const Sample& reading,
                                       const Expectation& expected) const;

  // Why nothing can be said of gear that is heard or was read by hand, a sentence part; nullptr: it is judged.
  virtual const char* unjudged_because(const Surroundings& around) const;

  // What its messages add by {detail} where it is known, as sentences; empty: nothing.
  virtual std::string detail_in_words(const Surroundings& around) const;

  // What a person shall mind after an act that is recorded, as sentences; empty: nothing.
  virtual std::string caution_in_words(const Surroundings& around, std::uint8_t act) const;

  virtual void explain(const Surroundings& around, std::uint8_t quantity, Instant instant, Explanation& out) const;

  // The next instant at which update() is wanted without a reading; never: none.
  virtual Instant next_wake() const { return never; }
  // Whether update() is wanted when the link to the broker comes or goes.
  virtual bool follows_the_link() const { return false; }

  virtual void save(ArchiveWriter& out) const = 0;
  virtual void load(ArchiveReader& in) = 0;
};

}  // namespace overwinter
