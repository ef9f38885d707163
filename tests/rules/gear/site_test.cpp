#include "rules/gear/site.h"

#include <gtest/gtest.h>

#include "tests/rules/gear/fake_surroundings.h"
#include "tests/rules/gear/saved_model.h"

namespace overwinter {
namespace {

TEST(Site, TellsTheStationPressureThatStands) {
  FakeSurroundings around(site_kind());
  const auto model = site_kind().make_model();
  EXPECT_LE(model->next_wake(), around.time);
  model->update(around);
  EXPECT_EQ(around.value("station_pressure"), 101325);  // ISO 2533 at sea level
  EXPECT_EQ(around.plus_minus("station_pressure"), 3000);
  around.outdoors_reads(PlaceQuantity::station_pressure, 98700, 200);
  model->update(around);
  EXPECT_EQ(around.value("station_pressure"), 98700);
  EXPECT_EQ(around.plus_minus("station_pressure"), 200);
  EXPECT_GT(model->next_wake(), around.time);
}

TEST(Site, SaysWhereItsPressureComesFrom) {
  FakeSurroundings around(site_kind());
  const auto model = site_kind().make_model();
  Explanation standard, read;
  model->explain(around, 0, around.time, standard);
  around.outdoors_reads(PlaceQuantity::station_pressure, 98700, 200);
  model->explain(around, 0, around.time, read);
  EXPECT_EQ(standard.assumed.size(), 1U);
  EXPECT_TRUE(read.assumed.empty());
  ASSERT_EQ(read.calculation.size(), 1U);
  EXPECT_NE(read.calculation[0].find("98.7 ± 0.2 kPa"), std::string::npos) << read.calculation[0];
}

TEST(Site, KeepsItsWakeOverARestart) {
  FakeSurroundings around(site_kind());
  const auto model = site_kind().make_model(), restarted = site_kind().make_model();
  model->update(around);
  ASSERT_NO_FATAL_FAILURE(load_into(*restarted, saved(*model)));
  EXPECT_EQ(restarted->next_wake(), model->next_wake());
}

}  // namespace
}  // namespace overwinter
