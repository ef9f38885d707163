#include "rules/physics/generator_exercise.h"

namespace overwinter {
namespace {

constexpr Seconds minutes(double n) { return Seconds(60 * n); }

constexpr ExerciseProfile portable{minutes(20), minutes(15), Share(0.25), minutes(10), Temperature(70)};
constexpr ExerciseProfile standby{minutes(30), minutes(30), Share(0.30), minutes(10), Temperature(70)};

}  // namespace

ExerciseProfile exercise_profile(Generator type) {
  switch (type) {
    case Generator::portable:
      return portable;
    case Generator::standby:
      return standby;
  }
  return portable;
}

ExerciseVerdict exercise_verdict(Generator type, const ExerciseRun& run) {
  const ExerciseProfile profile = exercise_profile(type);
  if (!(run.running > Seconds(0))) return ExerciseVerdict::none;
  if (run.running < profile.running) return ExerciseVerdict::short_run;
  if (!run.loaded && !run.hot) return ExerciseVerdict::complete;
  const bool loaded = run.loaded && *run.loaded >= profile.loaded;
  const bool hot = run.hot && *run.hot >= profile.hot;
  return loaded || hot ? ExerciseVerdict::complete : ExerciseVerdict::run_only;
}

}  // namespace overwinter
