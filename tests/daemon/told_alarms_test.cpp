// What people were told of alarms, beside a state that was made anew.
#include "daemon/told_alarms.h"

#include <gtest/gtest.h>

#include <string>

#include "tests/daemon/notices_site.h"

namespace overwinter {
namespace {

// The journal tells of it by the rule's former name, of which each door has a part now: nothing ended, nothing began.
TEST(ToldAlarms, OfARuleThatWasSplitGoOnByTheNameOfTheirPart) {
  const auto site = [](const std::string& rules) { return hatch_and_vent("rules:\n" + rules); };
  const std::string more = "raise_when: open, message: m}\n";
  Household house(site("  ajar: {applies_to: {kind: door_or_vent}, " + more), "12-08 16:00");
  house.hear("12-09 16:00", "hatch", "open");
  house.hear("12-09 16:00", "vent", "open");
  const ToldAlarms told(house.caretaker().world());
  house.restart(site("  hatch_ajar: {was: ajar, applies_to: {gear: hatch}, " + more +
                     "  vent_ajar: {was: ajar, applies_to: {gear: vent}, " + more));
  EXPECT_TRUE(told.to_tell(house.caretaker().world()).empty());
  house.hear("12-09 17:00", "vent", "shut");
  EXPECT_EQ(told.to_tell(house.caretaker().world()).size(), 1U);
}

}  // namespace
}  // namespace overwinter
