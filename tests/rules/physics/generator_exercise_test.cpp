#include "rules/physics/generator_exercise.h"

#include <gtest/gtest.h>

namespace overwinter {
namespace {

struct GeneratorExerciseRow {
  Generator type;
  double running, loaded, hot;
  ExerciseVerdict verdict;
};

ExerciseRun run(const GeneratorExerciseRow& row) {
  return {.running = Seconds(row.running * 60), .loaded = Seconds(row.loaded * 60), .hot = Seconds(row.hot * 60)};
}

// Worked cases: standby after NFPA 110 8.4.2, portable after common practice, no source.
constexpr GeneratorExerciseRow generator_exercise_rows[] = {
    {Generator::standby, 35, 31, 0, ExerciseVerdict::complete},
    {Generator::standby, 35, 10, 0, ExerciseVerdict::run_only},
    {Generator::standby, 40, 0, 12, ExerciseVerdict::complete},
    {Generator::standby, 22, 22, 15, ExerciseVerdict::short_run},
    {Generator::portable, 22, 16, 0, ExerciseVerdict::complete},
    {Generator::portable, 25, 3, 4, ExerciseVerdict::run_only},
    {Generator::portable, 12, 12, 12, ExerciseVerdict::short_run},
    {Generator::portable, 0, 0, 0, ExerciseVerdict::none},
};

TEST(GeneratorExercise, AsksForTimeAndForLoadOrHeat) {
  for (const auto& row : generator_exercise_rows)
    EXPECT_EQ(exercise_verdict(row.type, run(row)), row.verdict) << row.running << " min";
}

TEST(GeneratorExercise, CountsTheTimeAloneWhenNothingElseIsMeasured) {
  EXPECT_EQ(exercise_verdict(Generator::portable, {.running = Seconds(20 * 60)}), ExerciseVerdict::complete);
  EXPECT_EQ(exercise_verdict(Generator::portable, {.running = Seconds(19 * 60)}), ExerciseVerdict::short_run);
  EXPECT_EQ(exercise_verdict(Generator::standby, {.running = Seconds(20 * 60)}), ExerciseVerdict::short_run);
  EXPECT_EQ(exercise_verdict(Generator::standby, {.running = Seconds(30 * 60)}), ExerciseVerdict::complete);
}

TEST(GeneratorExercise, IsRunOnlyWhenTheOneThingMeasuredIsMissing) {
  EXPECT_EQ(exercise_verdict(Generator::portable, {.running = Seconds(1800), .loaded = Seconds(0)}),
            ExerciseVerdict::run_only);
  EXPECT_EQ(exercise_verdict(Generator::portable, {.running = Seconds(1800), .hot = Seconds(60)}),
            ExerciseVerdict::run_only);
}

TEST(GeneratorExercise, AsksStandbySetsForThirtyPercentForThirtyMinutes) {
  const auto profile = exercise_profile(Generator::standby);
  EXPECT_EQ(profile.running, Seconds(1800));
  EXPECT_EQ(profile.loaded, Seconds(1800));
  EXPECT_EQ(profile.load, Share(0.30));
}

}  // namespace
}  // namespace overwinter
