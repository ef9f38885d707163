// What every kind's table must hold, whoever wrote it.
#include "rules/gear/kinds.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <set>
#include <string>
#include <vector>

#include "rules/gear/model.h"
#include "rules/gear/watch.h"
#include "tests/rules/gear/saved_model.h"

namespace overwinter {
namespace {

bool is_a_name(std::string_view name) {
  return !name.empty() && name.size() <= 40 && name[0] >= 'a' && name[0] <= 'z' && name.back() != '_' &&
         std::all_of(name.begin(), name.end(),
                     [](char c) { return (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '_'; });
}

// "filled.pressure": a map and its key.
bool is_a_parameter_name(std::string_view name) {
  const std::size_t dot = name.find('.');
  return dot == std::string_view::npos ? is_a_name(name)
                                       : is_a_name(name.substr(0, dot)) && is_a_name(name.substr(dot + 1));
}

bool is_a_sentence(std::string_view text) {
  return text.size() > 10 && text.back() == '.' && text.find("  ") == std::string_view::npos;
}

TEST(Kinds, StandInTheOrderOfTheReferencePage) {
  std::vector<std::string_view> names;
  for (const KindSpec* kind : all_kinds()) names.push_back(kind->name);
  const std::vector<std::string_view> expected = {"site",      "place",        "tire",    "lead_acid_battery",
                                                  "generator", "door_or_vent", "gateway", "dated_item"};
  EXPECT_EQ(names, expected);
}

TEST(Kinds, AreFoundByName) {
  for (const KindSpec* kind : all_kinds()) EXPECT_EQ(find_kind(kind->name), kind);
  EXPECT_EQ(find_kind("tires"), nullptr);
}

TEST(Kinds, NamesAreLowerCaseAndStandOnce) {
  for (const KindSpec* kind : all_kinds()) {
    std::set<std::string_view> names;
    const auto once = [&](std::string_view name) {
      EXPECT_TRUE(names.insert(name).second) << kind->name << "." << name << " stands twice";
    };
    for (const QuantitySpec& q : kind->quantities) {
      EXPECT_TRUE(is_a_name(q.name)) << kind->name << "." << q.name;
      once(q.name);
    }
    for (const QuantitySpec& q : watch_quantities()) {
      EXPECT_TRUE(is_a_name(q.name)) << q.name;
      once(q.name);
    }
    for (const ParameterSpec& p : kind->parameters) {
      EXPECT_TRUE(is_a_parameter_name(p.name)) << kind->name << "." << p.name;
      once(p.name);
    }
    for (const char* word : {"kind", "name", "place", "was"}) once(word);
  }
}

TEST(Kinds, NoParameterIsBothAValueAndAMap) {
  for (const KindSpec* kind : all_kinds()) {
    for (const ParameterSpec& p : kind->parameters) {
      const std::string_view map = p.name.substr(0, p.name.find('.'));
      if (map != p.name) {
        EXPECT_FALSE(kind->parameter(map)) << kind->name << "." << p.name;
      }
      EXPECT_FALSE(kind->quantity(map)) << kind->name << "." << p.name;
    }
  }
}

TEST(Kinds, EverythingIsDescribedInASentence) {
  for (const KindSpec* kind : all_kinds()) {
    EXPECT_TRUE(is_a_sentence(kind->text)) << kind->name << ": " << kind->text;
    for (const QuantitySpec& q : kind->quantities) {
      EXPECT_TRUE(is_a_sentence(q.text)) << kind->name << "." << q.name << ": " << q.text;
    }
    for (const ParameterSpec& p : kind->parameters) {
      EXPECT_TRUE(is_a_sentence(p.text)) << kind->name << "." << p.name << ": " << p.text;
    }
    for (const ActSpec& act : kind->acts) EXPECT_FALSE(act.done.empty()) << kind->name << "." << act.name;
  }
}

TEST(Kinds, MeasuredQuantitiesComeFirstAndHaveAPlausibleRange) {
  for (const KindSpec* kind : all_kinds()) {
    bool computed = false;
    for (const QuantitySpec& q : kind->quantities) {
      EXPECT_FALSE(q.measured && computed) << kind->name << "." << q.name;
      computed = computed || !q.measured;
      if (!q.measured || !q.type.is_numeric()) continue;
      EXPECT_LT(q.minimum, q.maximum) << kind->name << "." << q.name;
      EXPECT_GT(q.plus_minus, 0) << kind->name << "." << q.name;
    }
  }
}

TEST(Kinds, WhatAComputedQuantityRestsOnIsMeasuredByTheSameKind) {
  for (const KindSpec* kind : all_kinds()) {
    for (const QuantitySpec& q : kind->quantities) {
      EXPECT_FALSE(q.measured && !q.rests_on.empty()) << kind->name << "." << q.name;
      for (const std::string_view name : q.rests_on) {
        const auto index = kind->quantity(name);
        ASSERT_TRUE(index) << kind->name << "." << q.name << " rests on " << name;
        EXPECT_TRUE(kind->quantities[*index].measured) << kind->name << "." << name;
      }
    }
  }
}

TEST(Kinds, DefaultsLieInTheirRange) {
  for (const KindSpec* kind : all_kinds()) {
    for (const ParameterSpec& p : kind->parameters) {
      EXPECT_LT(p.minimum, p.maximum) << kind->name << "." << p.name;
      if (p.type.sort == Sort::word) {
        EXPECT_GE(p.type.words.size(), 2U) << kind->name << "." << p.name;
      }
      if (!p.otherwise) continue;
      EXPECT_GE(*p.otherwise, p.minimum) << kind->name << "." << p.name;
      EXPECT_LE(*p.otherwise, p.maximum) << kind->name << "." << p.name;
      if (p.type.sort == Sort::word) {
        EXPECT_LT(*p.otherwise, static_cast<double>(p.type.words.size())) << kind->name << "." << p.name;
        EXPECT_EQ(*p.otherwise, std::floor(*p.otherwise)) << kind->name << "." << p.name;
      }
    }
  }
}

TEST(Kinds, ActsSetParametersThatExist) {
  for (const KindSpec* kind : all_kinds()) {
    for (const ActSpec& act : kind->acts) {
      EXPECT_TRUE(is_a_name(act.name)) << kind->name << "." << act.name;
      if (!act.dated.empty()) {
        const auto dated = kind->parameter(act.dated);
        ASSERT_TRUE(dated) << kind->name << "." << act.name << ": " << act.dated;
        EXPECT_EQ(kind->parameters[*dated].type.sort, Sort::instant) << act.dated;
      }
      for (const ActValueSpec& value : act.values) {
        EXPECT_TRUE(kind->parameter(value.parameter)) << kind->name << "." << act.name << ": " << value.parameter;
      }
    }
  }
}

TEST(Kinds, InputsAreQuantitiesOfPlaces) {
  for (const KindSpec* kind : all_kinds()) {
    for (const InputSpec& input : kind->inputs) {
      EXPECT_TRUE(place_kind().quantity(input.quantity)) << kind->name << ": " << input.quantity;
    }
  }
}

TEST(Kinds, EveryModelSavesAndLoadsItsState) {
  for (const KindSpec* kind : all_kinds()) {
    ASSERT_NE(kind->make_model, nullptr) << kind->name;
    const auto model = kind->make_model();
    if (model == nullptr) continue;
    SCOPED_TRACE(kind->name);
    load_into(*kind->make_model(), saved(*model));
  }
}

TEST(Watch, QuantitiesAreComputedBooleansInTheirOrder) {
  const auto& specs = watch_quantities();
  const std::vector<std::string_view> expected = {"sensor_is_silent", "sensor_is_stuck", "readings_jumped",
                                                  "gateway_is_silent", "journal_is_unwritable"};
  for (std::size_t i = 0; i < specs.size(); ++i) {
    EXPECT_EQ(specs[i].name, expected[i]);
    EXPECT_EQ(specs[i].type, Type::boolean());
    EXPECT_FALSE(specs[i].measured);
    EXPECT_TRUE(is_a_sentence(specs[i].text)) << specs[i].text;
  }
}

}  // namespace
}  // namespace overwinter
