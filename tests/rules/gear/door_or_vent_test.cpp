#include <gtest/gtest.h>

#include "rules/gear/kinds.h"
#include "tests/rules/gear/fake_surroundings.h"

namespace overwinter {
namespace {

constexpr double should_be_open = 0, should_be_closed = 1;

std::optional<double> verdict(std::optional<double> should_be, std::optional<double> open) {
  FakeSurroundings around(door_or_vent_kind());
  if (should_be) around.set_parameter("should_be", *should_be);
  if (open) around.read("open", *open);
  door_or_vent_kind().make_model()->update(around);
  return around.value("as_it_should_be");
}

TEST(DoorOrVent, IsAsItShouldBeWhenItsContactAgrees) {
  EXPECT_EQ(verdict(should_be_open, 1), 1);
  EXPECT_EQ(verdict(should_be_open, 0), 0);
  EXPECT_EQ(verdict(should_be_closed, 1), 0);
  EXPECT_EQ(verdict(should_be_closed, 0), 1);
}

TEST(DoorOrVent, WithoutAReadingOrAWishNothingIsSaid) {
  EXPECT_FALSE(verdict(should_be_open, {}));
  EXPECT_FALSE(verdict({}, 1));
}

TEST(DoorOrVent, AContactThatBecomesUncertainIsUnknown) {
  FakeSurroundings around(door_or_vent_kind());
  around.set_parameter("should_be", should_be_open);
  const auto model = door_or_vent_kind().make_model();
  around.read("open", 0);
  model->update(around);
  EXPECT_EQ(around.value("as_it_should_be"), 0);
  around.mark_uncertain("open");
  model->update(around);
  EXPECT_FALSE(around.value("as_it_should_be"));
}

TEST(DoorOrVent, ExplainSaysHowItIsAndShouldBe) {
  FakeSurroundings around(door_or_vent_kind());
  around.set_parameter("should_be", should_be_open);
  around.read("open", 0);
  Explanation out;
  door_or_vent_kind().make_model()->explain(around, *door_or_vent_kind().quantity("as_it_should_be"), around.time, out);
  EXPECT_EQ(out.calculation, std::vector<std::string>{"it is closed and should be open"});
}

}  // namespace
}  // namespace overwinter
