// Why a reading is judged as it is, in plain words and numbers that a person can check with a calculator. An object
// built on request; the engine itself keeps nothing for it.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "rules/engine/asked_inputs.h"
#include "rules/engine/world.h"

namespace overwinter {

// The numbers behind the texts, canonical; of words and booleans the value alone.
struct ExplainedNumbers {
  Type type;
  bool measured = false;
  std::optional<double> value;
  double plus_minus = 0;  // k = 2; 0: none is told
  Instant at{};           // of the reading, or of the computation
  std::string source;     // "sensor camper/tire/lf", "by hand", "computed"
  bool has_expected = false;
  Expectation expected, expected_now;
  std::vector<AskedInput> inputs;    // what the expected value, or the calculation of a computed one, rests on
  std::vector<std::string> missing;  // inputs that were looked for, where the answer could not be worked out
};

// One quantity of a piece of gear, a place or the site; every text is ready to print, empty where it does not apply.
struct ExplainedQuantity {
  std::string name;
  std::string value;          // "42.6 psi", or "unknown"
  std::string source;         // "sensor camper/tire/lf, 09:15 (20 min ago)", "by hand, ...", "computed"
  std::string sensor_itself;  // "battery 2.91 V, link -71 dBm, 09:15 (20 min ago)": its sensor's own cell and signal
  std::string because;        // why unknown or uncertain
  std::string expected;       // "45.7 ± 1.5 psi"
  std::string deviation;      // "-3.1 psi"
  std::string expected_now;
  std::string verdict;  // "within what is expected", "below what is expected"
  std::vector<std::string> calculation, assumed, missing;
  ExplainedNumbers numbers;
};

struct ExplainedAlarm {
  std::string rule, state, title, condition, where;  // title: while it stands; where: "standard/tires.yaml:12"
  std::string undecided;                             // why its condition is unknown; empty: it is known
  std::string why;                                   // the rule's own reason for its numbers
};

struct ExplainedEntity {
  std::string id, name, kind;
  Instant at{};                               // as it stands at this instant
  std::vector<ExplainedQuantity> quantities;  // measured ones, and computed ones that are known or have a reason
  std::vector<ExplainedAlarm> alarms;
  std::vector<std::string> acts;     // "filled Sat Oct 24 (site file)", "filled Mon Jan 4 (told by Ann)"
  std::vector<std::string> assumed;  // parameters left at their defaults
};

ExplainedEntity explain(const World& world, std::uint32_t entity);

// Of an alarm, as its topic says it.
std::string_view state_name(const World& world, std::uint32_t alarm, Instant now);

}  // namespace overwinter
