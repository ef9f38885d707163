// Did a run of the generator count as its exercise.
// Never run it in a building or near openings: its exhaust kills. The maker's manual comes first.
#pragma once

#include <cstdint>
#include <optional>

#include "rules/quantity/strong.h"

namespace overwinter {

enum class Generator : std::uint8_t { portable, standby };
enum class ExerciseVerdict : std::uint8_t { complete, run_only, short_run, none };

// What a run must reach. Standby: NFPA 110 8.4.2, 30 min at 30 % of the rated power (emergency sets; the section as
// quoted by several pages). Portable: 20 min, 15 min of them at 25 % (common practice; makers' advice runs from 10 min
// to 1 h). Either kind may prove heat instead: 10 min with the oil at 70 degC or more, which drives off water and fuel
// (common practice, no source). Gaps of less than a minute do not end a run.
struct ExerciseProfile {
  Seconds running;
  Seconds loaded;
  Share load;  // of the rated power, from which a minute counts as loaded
  Seconds hot;
  Temperature hot_oil;
};

ExerciseProfile exercise_profile(Generator type);

// One run. Leave out what is not measured.
struct ExerciseRun {
  Seconds running{0};
  std::optional<Seconds> loaded{};  // time at the profile's load or more
  std::optional<Seconds> hot{};     // time with the oil at the profile's heat or more
};

// none       it has not run
// short_run  it ran less than the profile asks ("short" to the user)
// complete   long enough, and loaded or hot long enough; or neither is measured
// run_only   long enough without proof of load or heat: good for the fuel system, the water stays in the oil
ExerciseVerdict exercise_verdict(Generator type, const ExerciseRun& run);

}  // namespace overwinter
