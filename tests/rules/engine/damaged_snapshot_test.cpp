// A snapshot of an age in which no camper was laid up is refused: calendars and sums of instants end somewhere.
#include <gtest/gtest.h>

#include <string>

#include "rules/archive.h"
#include "rules/engine/engine.h"
#include "tests/rules/engine/story.h"

namespace overwinter {
namespace {

std::string bytes_of_instant(Instant t) {
  ArchiveWriter out;
  out(t);
  return out.take();
}

std::string with_each(std::string bytes, const std::string& what, const std::string& by) {
  std::size_t at = 0;
  while ((at = bytes.find(what, at)) != std::string::npos) bytes.replace(at, what.size(), by);
  return bytes;
}

class SnapshotOfAnotherAge : public testing::TestWithParam<Instant> {};

TEST_P(SnapshotOfAnotherAge, IsRefused) {
  const auto plan = plan_of(camper_with_hatch, camper_cold());
  const Instant now = *parse_rfc3339("2026-12-01T08:00:00Z");
  const Engine engine(plan, now);
  const std::string sound = engine.snapshot();
  ASSERT_TRUE(Engine::restore(plan, sound).has_value());
  const std::string damaged = with_each(sound, bytes_of_instant(now), bytes_of_instant(GetParam()));
  ASSERT_NE(damaged, sound);
  const auto restored = Engine::restore(plan, damaged);
  ASSERT_FALSE(restored.has_value());
  EXPECT_EQ(restored.error().text, "the snapshot is damaged");
}

INSTANTIATE_TEST_SUITE_P(Ages, SnapshotOfAnotherAge,
                         testing::Values(Instant(Span(-1)), *parse_rfc3339("2026-12-01T08:00:00Z") - 400'000 * one_day,
                                         *parse_rfc3339("2026-12-01T08:00:00Z") + 400'000 * one_day,
                                         Instant(Span(1LL << 61)), Instant::min(), never));

}  // namespace
}  // namespace overwinter
