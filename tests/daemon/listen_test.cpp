// What was heard becomes bindings that a site file takes and that then read the values that were heard.
#include <gtest/gtest.h>

#include <algorithm>

#include "config/site_file.h"
#include "daemon/binding_guess.h"
#include "daemon/heard_topics.h"
#include "daemon/intake.h"
#include "daemon/listen_page.h"

namespace overwinter {
namespace {

const Instant listen_noon = *parse_rfc3339("2026-12-19T12:00:00Z");

constexpr const char* small_site = R"(
site: {id: bench, local_time: UTC, altitude: 0 m}
places:
  yard: {temperature: {topic: yard/weather, pointer: /temp_c, unit: degC}}
)";

std::shared_ptr<const Plan> plan_of(const std::string& heard_page = "") {
  FilesInMemory files;
  files.files["site.yaml"] = (heard_page.empty() ? "" : "include: [heard.yaml]\n") + std::string(small_site);
  files.files["heard.yaml"] = heard_page;
  LoadedSite site = load_site("site.yaml", files);
  EXPECT_TRUE(site.sound()) << render_faults(site) << heard_page;
  return site.plan ? std::make_shared<const Plan>(*std::move(site.plan)) : nullptr;
}

// A morning on a household's broker.
HeardTopics household() {
  HeardTopics heard;
  const auto hear = [&](const std::string& topic, const std::string& payload) {
    heard.take(listen_noon, topic, payload, false);
  };
  hear("yard/weather", R"({"temp_c":-10.5,"rh":78,"hpa":1013.2})");
  hear("garage/climate", R"({"temperature":7.5,"humidity":61.2,"battery":97,"rssi":-71,"dew_point":0.6})");
  hear("home/shed/tempF", "19.4");
  hear("camper/tire/lf", R"({"kpa":311.0,"c":-10.0})");
  hear("garage/battery", R"({"volts":12.61,"temp":7.1})");
  hear("garage/generator", R"({"running":false})");
  hear("camper/fridge", "open");
  hear("camper/radio", "online");
  hear("garage/socket", "ON");
  hear("shed/window", R"({"contact":true})");
  hear("attic/node", R"({"a/b":{"humidity~":"55.5"},"uptime":86000})");
  hear("bench/do/act", R"({"temperature":5})");
  hear("overwinter/bench/gear/x/pressure", R"({"value":311})");
  hear("junk", std::string("\xFF\xFE", 2));
  return heard;
}

TEST(Listen, ThePageStandsInASiteFileAndReadsWhatWasHeard) {
  const std::string page = listen_page(household(), *plan_of(), one_minute);
  const auto plan = plan_of(page);
  ASSERT_NE(plan, nullptr);
  Intake intake(plan);
  const auto reads = [&](const std::string& gear, const std::string& quantity, const std::string& topic,
                         const std::string& payload) {
    const std::uint32_t entity = plan->find_entity(gear);
    if (entity == no_index) return -1e9;
    const auto input = intake.decode(listen_noon, topic, payload, false);
    if (!input) return -1e9;
    for (const SensorValue& value : std::get<SensorMessage>(input->what).values) {
      const bool is_it = plan->sensors[value.sensor].slot == plan->find_slot(entity, quantity);
      if (is_it && value.rejected_because == nullptr) return value.value;
    }
    return -1e9;
  };
  EXPECT_DOUBLE_EQ(reads("garage_climate", "temperature", "garage/climate", R"({"temperature":7.5})"), 7.5);
  EXPECT_DOUBLE_EQ(reads("garage_climate", "humidity", "garage/climate", R"({"humidity":61.2})"), 0.612);
  EXPECT_NEAR(reads("shed_temp_f", "temperature", "home/shed/tempF", "19.4"), -7, 1e-9);
  EXPECT_DOUBLE_EQ(reads("tire_lf", "pressure", "camper/tire/lf", R"({"kpa":311.0})"), 311e3);
  EXPECT_DOUBLE_EQ(reads("tire_lf", "temperature", "camper/tire/lf", R"({"c":-10})"), -10);
  EXPECT_DOUBLE_EQ(reads("garage_battery", "voltage", "garage/battery", R"({"volts":12.61})"), 12.61);
  EXPECT_DOUBLE_EQ(reads("garage_battery", "temperature", "garage/battery", R"({"temp":7.1})"), 7.1);
  EXPECT_EQ(reads("garage_generator", "running", "garage/generator", R"({"running":true})"), 1);
  EXPECT_EQ(reads("camper_fridge", "open", "camper/fridge", "open"), 1);
  EXPECT_EQ(reads("camper_radio", "online", "camper/radio", "offline"), 0);
  EXPECT_EQ(reads("garage_socket", "shore_power", "garage/socket", "ON"), 1);
  EXPECT_EQ(reads("shed_window", "open", "shed/window", R"({"contact":true})"), 0) << "contact made: closed";
  EXPECT_DOUBLE_EQ(reads("attic_node", "humidity", "attic/node", R"({"a/b":{"humidity~":"55.5"}})"), 0.555);
  EXPECT_EQ(page.find("overwinter/bench"), std::string::npos) << "our own topics are no sensors";
}

TEST(Listen, WhatIsBoundIsLeftOut) {
  const HeardTopics heard = household();
  const auto plan = plan_of();
  const auto entities = guess_entities(heard, *plan);
  for (const GuessedEntity& entity : entities) {
    for (const GuessedEntity::Line& line : entity.lines) {
      EXPECT_FALSE(entity.topic == "yard/weather" && line.member->pointer == "/temp_c");
    }
  }
  const auto weather = std::ranges::find(entities, "yard/weather", &GuessedEntity::topic);
  ASSERT_NE(weather, entities.end());
  EXPECT_EQ(weather->lines.size(), 2U) << "humidity and pressure are not bound yet";
}

TEST(Listen, WhatTheSitesSelfDescriptionSaysIsNoSensor) {
  HeardTopics heard;
  heard.take(listen_noon, "found/bench_place_yard_temperature", R"({"temperature":4.5})", true);
  heard.take(listen_noon, "found/others", R"({"temperature":4.5})", true);
  const auto plan = plan_of(R"(
self_description: [{for: quantities, topic: "found/{unique}", message: "{}"}]
)");
  for (const std::string& text : {listen_page(heard, *plan, one_minute), listen_json(heard, *plan, one_minute)}) {
    EXPECT_EQ(text.find("yard_temperature"), std::string::npos) << text;
    EXPECT_NE(text.find("found/others"), std::string::npos) << text;
  }
  EXPECT_EQ(guess_entities(heard, *plan).size(), 1U);
}

TEST(Listen, WithAllOfItBoundThereIsNothingToPropose) {
  const HeardTopics heard = household();
  const auto plan = plan_of(listen_page(heard, *plan_of(), one_minute));
  EXPECT_TRUE(guess_entities(heard, *plan).empty());
}

TEST(Listen, HostileNamesStayInTheirQuotes) {
  HeardTopics heard;
  heard.take(listen_noon, "a: {b}\n- c #\"'/temp", "21.5", false);
  heard.take(listen_noon, "temperature", "21.5", false);
  heard.take(listen_noon, "dew/point/temp", "21.5", false);
  heard.take(listen_noon, "9/temp", "21.5", false);
  heard.take(listen_noon, "x/temp", R"({"we\"ird: #\n key":{"temp":4}})", false);
  heard.take(listen_noon, std::string(900, 'x') + "/temp", "21.5", false);
  EXPECT_NE(plan_of(listen_page(heard, *plan_of(), one_minute)), nullptr);
}

TEST(Listen, ManyTopicsAndMembersAreBounded) {
  HeardTopics heard;
  std::string wide = "{\"k0\":0";
  for (int i = 1; i < 500; ++i) wide += ",\"k" + std::to_string(i) + "\":1";
  heard.take(listen_noon, "wide", wide + "}", false);
  EXPECT_EQ(heard.topics().at("wide").members.size(), 64U);
  EXPECT_NE(listen_page(heard, *plan_of(), one_minute).find("#     and more than these 64, left out\n"),
            std::string::npos);
  for (int i = 0; i < 3000; ++i) heard.take(listen_noon, "t/" + std::to_string(i), "1", false);
  EXPECT_EQ(heard.topics().size(), 2000U);
  EXPECT_EQ(heard.left_out(), 1001U);
}

TEST(Listen, NamesAreTakenApart) {
  using Words = std::vector<std::string>;
  EXPECT_EQ(words_of_name("tempC"), (Words{"temp", "c"}));
  EXPECT_EQ(words_of_name("/battery_voltage-mV"), (Words{"battery", "voltage", "mv"}));
  EXPECT_EQ(words_of_name("RHTemp2"), (Words{"rh", "temp2"}));
  EXPECT_EQ(words_of_name(""), Words{});
}

GuessedBinding guess(const std::string& topic, const std::string& payload) {
  HeardTopics heard;
  heard.take(listen_noon, topic, payload, false);
  const auto& members = heard.topics().at(topic).members;
  return guess_binding(topic, members.front(), members);
}

TEST(Listen, UnitsComeFromNamesThenFromSizes) {
  EXPECT_EQ(guess("a/b", R"({"temp_f":21})").unit, "degF");
  EXPECT_EQ(guess("a/b", R"({"temperature":21})").unit, "degC");
  EXPECT_FALSE(guess("a/b", R"({"temperature":21})").unit_by_name);
  EXPECT_EQ(guess("a/b", R"({"temperature":61})").unit, "degF");
  EXPECT_EQ(guess("a/tire", R"({"pressure":48.5})").unit, "psi");
  EXPECT_EQ(guess("a/tire", R"({"pressure":3.3})").unit, "bar");
  EXPECT_EQ(guess("a/b", R"({"pressure":1013})").quantity, "station_pressure");
  EXPECT_EQ(guess("a/b", R"({"pressure_msl":1013})").quantity, "sea_level_pressure");
  EXPECT_EQ(guess("a/b", R"({"humidity":0.61})").unit, "1");
  EXPECT_EQ(guess("a/b", R"({"voltage":12610})").unit, "mV");
  EXPECT_EQ(guess("a/b", R"({"voltage":2.91})").kind, "sensor") << "a cell of the sensor's own";
  EXPECT_EQ(guess("a/b", R"({"uptime":86000})").kind, "");
  EXPECT_EQ(guess("a/b", R"({"dew_point":3})").kind, "");
}

TEST(Listen, AUnitThatStandsBesideAValueIsItsUnit) {
  EXPECT_EQ(guess("a/tire", R"({"value":3.3,"unit":"kPa"})").unit, "kPa");
  EXPECT_EQ(guess("a/temperature", R"({"value":21,"unit":"°F"})").unit, "degF");
  EXPECT_EQ(guess("a/temperature", R"({"value":21,"unit":"parsec"})").unit, "degC");
}

// No air on earth is at 11 kPa, and none is at 200 degC: the number means something else.
TEST(Listen, WhatNoSuchSensorCanReadIsNotProposed) {
  EXPECT_EQ(guess("a/b", R"({"pressure":3.37})").kind, "");
  EXPECT_EQ(guess("a/b", R"({"temp_c":200})").kind, "");
  EXPECT_EQ(guess("a/b", R"({"temp_c":20})").kind, "place");
}

TEST(Listen, WhatAnotherSiteOfThisBrokerSaysIsNoSensor) {
  HeardTopics heard;
  heard.take(listen_noon, "overwinter/cedar_lot/camper/temperature", R"({"value":4.5,"unit":"°C"})", true);
  EXPECT_TRUE(guess_entities(heard, *plan_of()).empty());
}

// Common practice, no source: a cell has 1.2 to 4.3 V, and a percentage hardly such a broken number.
TEST(Listen, ASensorsOwnCellIsInVoltsWhereItsNumberIsNoPercentage) {
  HeardTopics heard;
  heard.take(listen_noon, "shed/climate", R"({"temperature": 7.5, "battery": 2.9})", false);
  heard.take(listen_noon, "yard/climate", R"({"temperature": 7.5, "battery": 97})", false);
  const std::string page = listen_page(heard, *plan_of(), one_minute);
  EXPECT_NE(page.find("battery: {pointer: /battery, unit: V}"), std::string::npos) << page;
  EXPECT_NE(page.find("battery: {pointer: /battery, unit: \"%\"}"), std::string::npos) << page;
}

// The examples of MQTT 5.0 (OASIS Standard, 7 March 2019), 4.7.1.2 and 4.7.1.3.
TEST(ATopicToListenTo, IsAFilterAsTheStandardShowsThem) {
  for (const char* filter : {"sport/tennis/player1/#", "sport/#", "#", "sport/tennis/#", "+", "+/tennis/#",
                             "sport/+/player1", "/finance", "/+", "+/+"}) {
    EXPECT_TRUE(is_topic_filter(filter)) << filter;
  }
  for (const char* filter : {"sport/tennis#", "sport/tennis/#/ranking", "sport+", ""}) {
    EXPECT_FALSE(is_topic_filter(filter)) << filter;
  }
}

}  // namespace
}  // namespace overwinter
