// What becomes of old readings: hours with their least, mean and greatest value, and how many there were.
#include "daemon/retention.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <charconv>
#include <map>

#include "config/site_file.h"
#include "tests/journal/journal_contents.h"
#include "tests/journal/temporary_folder.h"

namespace overwinter {
namespace {

std::shared_ptr<const Plan> small_site() {
  static const std::shared_ptr<const Plan> plan = [] {
    FilesInMemory files;
    files.files["site.yaml"] =
        "site: {id: yard, local_time: UTC}\n"
        "season: {lay_up: 2026-10-31}\n"
        "places:\n"
        "  outdoors:\n    temperature: {topic: yard/temperature, unit: degC}\n"
        "  camper:\n    temperature: {topic: camper/temperature, unit: degF}\n"
        "gear:\n"
        "  door: {kind: door_or_vent, place: camper, should_be: open, open: {topic: camper/door}}\n";
    LoadedSite site = load_site("site.yaml", files);
    if (!site.sound()) ADD_FAILURE() << render_faults(site);
    return std::make_shared<const Plan>(std::move(*site.plan));
  }();
  return plan;
}

std::string text_of(double value) {
  char text[40];
  return {text, std::to_chars(text, text + sizeof text, value).ptr};
}

// Readings at times that never go back, here and there something that is no number or that nothing binds.
std::vector<JournaledInput> random_messages(std::size_t most) {
  const auto count = *rc::gen::inRange<std::size_t>(0, most);
  std::vector<JournaledInput> messages;
  Instant at = test_start();
  for (std::size_t i = 0; i < count; ++i) {
    at += Span(*rc::gen::weightedOneOf<int>({{8, rc::gen::inRange(0, 900'000)}, {1, rc::gen::inRange(0, 90'000'000)}}));
    const int what = *rc::gen::inRange(0, 12);
    JournaledInput m = message(i + 1, what % 2 == 0 ? "yard/temperature" : "camper/temperature",
                               text_of(*rc::gen::inRange(-4000, 5000) / 100.0));
    m.at = at;
    if (what == 9) m.payload = "unplugged";
    if (what == 10) m.topic = "neighbor/temperature";
    if (what == 11) m = {i + 1, at, JournaledInput::Kind::message, "camper/door", "open", false};
    messages.push_back(std::move(m));
  }
  return messages;
}

void expect_same(const HourlyValue& got, const HourlyValue& wanted) {
  RC_ASSERT(got.series == wanted.series);
  RC_ASSERT(got.hour == wanted.hour);
  RC_ASSERT(got.count == wanted.count);
  RC_ASSERT(std::abs(got.minimum - wanted.minimum) < 1e-9);
  RC_ASSERT(std::abs(got.maximum - wanted.maximum) < 1e-9);
  RC_ASSERT(std::abs(got.mean - wanted.mean) < 1e-9);
}

RC_GTEST_PROP(HourlyValues, AreTheLeastMeanAndGreatestOfEachHour, ()) {
  const auto messages = random_messages(200);
  // Written down apart: numbers by series and hour, in degC.
  std::map<std::pair<std::string, std::int64_t>, std::vector<double>> hours;
  for (const JournaledInput& m : messages) {
    if (m.payload == "unplugged" || (m.topic != "yard/temperature" && m.topic != "camper/temperature")) continue;
    const bool is_outdoors = m.topic == "yard/temperature";
    const std::string series = is_outdoors ? "outdoors/temperature" : "camper/temperature";
    const double number = std::stod(m.payload);
    hours[{series, m.at.time_since_epoch().count() / 3'600'000}].push_back(is_outdoors ? number
                                                                                       : (number - 32) * 5 / 9);
  }
  std::vector<HourlyValue> wanted;
  for (const auto& [key, values] : hours) {
    double sum = 0;
    for (const double v : values) sum += v;
    wanted.push_back({key.first, Instant(key.second * one_hour), *std::min_element(values.begin(), values.end()),
                      sum / static_cast<double>(values.size()), *std::max_element(values.begin(), values.end()),
                      values.size()});
  }
  auto got = hourly_values(*small_site(), messages);
  const auto by_name = [](const HourlyValue& a, const HourlyValue& b) {
    return std::tie(a.series, a.hour) < std::tie(b.series, b.hour);
  };
  std::sort(got.begin(), got.end(), by_name);
  RC_ASSERT(got.size() == wanted.size());
  for (std::size_t i = 0; i < got.size(); ++i) expect_same(got[i], wanted[i]);
}

// Whatever the portions in which the readings leave, the file says the same of each hour.
RC_GTEST_PROP(HourlyValues, AreTheSameInPortions, ()) {
  const auto messages = random_messages(60);
  const auto portion = *rc::gen::inRange<std::size_t>(1, 20);
  const auto whole = hourly_values(*small_site(), messages);
  TemporaryFolder folder;
  const std::string file = folder / "a.sqlite";
  const auto journal = open_sound(file);
  for (std::size_t i = 0; i < messages.size(); i += portion) {
    const auto from = messages.begin() + static_cast<std::ptrdiff_t>(i);
    const std::vector<JournaledInput> some(from,
                                           from + static_cast<std::ptrdiff_t>(std::min(portion, messages.size() - i)));
    RC_ASSERT(journal->replace_by_hourly(some, hourly_values(*small_site(), some)).has_value());
  }
  RC_ASSERT(asked_with_sqlite(file, "SELECT count(*) FROM hourly") == std::to_string(whole.size()));
  for (const HourlyValue& v : whole) {
    const std::string where = " FROM hourly WHERE series = '" + v.series +
                              "' AND hour = " + std::to_string(v.hour.time_since_epoch().count());
    const auto number = [&](const char* column) {
      return std::stod(asked_with_sqlite(file, std::string("SELECT printf('%.12g', ") + column + ")" + where));
    };
    expect_same({v.series, v.hour, number("minimum"), number("mean"), number("maximum"),
                 static_cast<std::uint64_t>(number("count"))},
                v);
  }
}

class KeptSmall : public testing::Test {
 protected:
  // A reading every 10 min for 100 d, a snapshot at the end of day `snapshot_day`.
  void fill(int snapshot_day) {
    journal_ = open_sound(file_);
    std::uint64_t number = 0;
    for (Instant at = test_start(); at < test_start() + 100 * one_day; at += 10 * one_minute) {
      ++number;
      JournaledInput m = message(number, "yard/temperature", std::to_string(static_cast<int>(number % 37) - 20));
      m.at = at;
      journal_->add(m);
      if (at == test_start() + snapshot_day * one_day) {
        snapshot_number_ = number;
        ASSERT_TRUE(journal_->save_snapshot(number, "state"));
      }
    }
    Event event;
    event.at = test_start();
    std::vector<OutboxEntry> none;
    ASSERT_TRUE(journal_->commit({event}, none, true));
    now_ = test_start() + 100 * one_day;
  }
  std::string ask(const std::string& sql) { return asked_with_sqlite(file_, sql); }
  // All portions, as the service does in the course of a day.
  void keep_small(const Plan& plan, Instant now) {
    for (;;) {
      const auto more = thin_by_age(*journal_, plan, now);
      ASSERT_TRUE(more);
      if (!*more) break;
    }
    ASSERT_TRUE(forget_old(*journal_, plan, now));
  }

  TemporaryFolder folder_;
  std::string file_ = folder_ / "a.sqlite";
  std::unique_ptr<Journal> journal_;
  std::uint64_t snapshot_number_ = 0;
  Instant now_{};
};

TEST_F(KeptSmall, ReadingsOlderThanKeepRawAreHours) {
  fill(99);
  // SQLite's own sums of the same readings, before they leave.
  const std::string before =
      ask("SELECT printf('%.6f %.6f %.6f %d', min(v), avg(v), max(v),"
          " count(*)) FROM (SELECT CAST(CAST(payload AS TEXT) AS REAL) AS v, at / 3600000 AS h "
          "FROM inputs) GROUP BY h ORDER BY h LIMIT 1 OFFSET 100");
  keep_small(*small_site(), now_);
  const std::string cut = std::to_string((now_ - 30 * one_day).time_since_epoch().count());
  EXPECT_EQ(ask("SELECT min(at) >= " + cut + " FROM inputs"), "1");
  EXPECT_EQ(ask("SELECT count(*) FROM inputs"), std::to_string(30 * 144));
  EXPECT_EQ(ask("SELECT count(*) FROM hourly"), std::to_string(70 * 24));
  EXPECT_EQ(ask("SELECT sum(count) FROM hourly"), std::to_string(70 * 144));
  EXPECT_EQ(ask("SELECT printf('%.6f %.6f %.6f %d', minimum, mean, maximum, count) FROM hourly ORDER BY hour LIMIT 1 "
                "OFFSET 100"),
            before);
  EXPECT_EQ(ask("SELECT count(*) FROM events"), "1") << "events are kept as long as the hours";
  keep_small(*small_site(), now_);
  EXPECT_EQ(ask("SELECT sum(count) FROM hourly"), std::to_string(70 * 144)) << "twice changes nothing";
}

TEST_F(KeptSmall, NothingLeavesThatTheOldestSnapshotDoesNotHold) {
  fill(10);
  ASSERT_TRUE(journal_->save_snapshot(journal_->last_number(), "newer state"));
  keep_small(*small_site(), now_);
  EXPECT_EQ(ask("SELECT min(number) FROM inputs"), std::to_string(snapshot_number_ + 1));
  EXPECT_EQ(inputs_after(*journal_, snapshot_number_).size(), journal_->last_number() - snapshot_number_);
}

TEST_F(KeptSmall, NothingLeavesWithoutASnapshot) {
  fill(1000);
  keep_small(*small_site(), now_);
  EXPECT_EQ(ask("SELECT count(*) FROM inputs"), std::to_string(100 * 144));
}

TEST_F(KeptSmall, HoursEventsAndUnusedTopicsLeaveInTheEnd) {
  fill(99);
  Plan plan = *small_site();
  plan.keep_raw = one_day;
  plan.keep_hourly = 50 * one_day;
  journal_->add({journal_->last_number() + 1, now_, JournaledInput::Kind::link_down, {}, {}, false});
  ASSERT_TRUE(commit(*journal_));
  keep_small(plan, now_);
  EXPECT_EQ(ask("SELECT count(*) FROM hourly"), std::to_string(49 * 24));
  EXPECT_EQ(ask("SELECT count(*) FROM events"), "0");
  EXPECT_EQ(ask("SELECT group_concat(name) FROM topics"), "yard/temperature");
  const std::uint64_t last = journal_->last_number();
  ASSERT_TRUE(journal_->save_snapshot(last, "state"));
  ASSERT_TRUE(journal_->save_snapshot(last + 1, "state"));
  keep_small(plan, now_ + 40 * one_day);
  EXPECT_EQ(ask("SELECT count(*) FROM topics"), "0") << "no input names it any more";
  journal_->add(message(last + 2, "yard/temperature", "-5"));
  ASSERT_TRUE(commit(*journal_));
  EXPECT_EQ(inputs_after(*journal_, last + 1).at(0).topic, "yard/temperature");
}

// What a site says within hours, a hand reading at its begin among it.
class TooLarge : public KeptSmall {
 protected:
  static constexpr std::uint64_t messages = 30'000;
  void SetUp() override {
    journal_ = open_sound(file_);
    journal_->add(message(1, "overwinter/yard/do/record", "told by hand"));
    for (std::uint64_t n = 2; n <= messages; ++n) {
      journal_->add(message(n, "yard/temperature", std::to_string(static_cast<int>(n % 37) - 20)));
    }
    Event event;
    event.at = test_start();
    std::vector<OutboxEntry> told{{0, "overwinter/yard/notice", "told", {}, {}}};
    ASSERT_TRUE(journal_->commit({event}, told, true));
  }
  // The time of the newest reading that left; nothing: none did.
  std::optional<Instant> make_room(std::uint64_t most_bytes) {
    std::optional<Instant> newest;
    for (;;) {
      const auto left = thin_by_size(*journal_, *small_site(), most_bytes);
      if (!left) ADD_FAILURE() << left.error().text;
      if (!left || !*left) return newest;
      newest = *left;
    }
  }
};

TEST_F(TooLarge, ItsOldestReadingsBecomeHoursUntilThereIsRoom) {
  ASSERT_TRUE(journal_->save_snapshot(messages - 10, "state"));
  const std::uint64_t before = journal_->bytes_used();
  const auto newest = make_room(before / 2);
  ASSERT_TRUE(newest);
  EXPECT_LE(journal_->bytes_used(), before / 2);
  const auto left = inputs_after(*journal_, 0);
  EXPECT_EQ(left.front().payload, "told by hand");
  ASSERT_GT(left.size(), messages / 4) << "no more than must";
  EXPECT_EQ(left[1].at, *newest + Span(1000)) << "the oldest";
  EXPECT_EQ(left.back().number, messages);
  EXPECT_EQ(ask("SELECT (SELECT sum(count) FROM hourly) + (SELECT count(*) FROM inputs)"), std::to_string(messages));
  EXPECT_EQ(ask("SELECT (SELECT count(*) FROM events) + (SELECT count(*) FROM outbox)"), "2") << "what was told";
  EXPECT_EQ(journal_->loudest_topic().topic, "yard/temperature");
  EXPECT_EQ(journal_->loudest_topic().inputs, 5000U);
  EXPECT_FALSE(make_room(before / 2)) << "there is room";
}

// A hub that repeats a command which no site takes: neither what was asked nor that it was refused stays for years.
TEST_F(TooLarge, RefusedCommandsLeaveBeforeAnyReading) {
  std::vector<OutboxEntry> none;
  const auto say = [&](std::uint64_t number, EventKind kind) {
    journal_->add(message(number, "overwinter/yard/do/act", "{\"gear\": \"nothing of ours\"}"));
    Event event;
    event.at = test_start();
    event.kind = kind;
    event.reason = std::string(200, 'x');
    ASSERT_TRUE(journal_->commit({event}, none, false));
  };
  say(messages + 1, EventKind::act);
  for (std::uint64_t n = 2; n <= 12'000; ++n) say(messages + n, EventKind::command_refused);
  ASSERT_TRUE(journal_->save_snapshot(messages + 11'990, "state"));
  const auto make_little_room = [&] { return thin_by_size(*journal_, *small_site(), 1).value(); };
  EXPECT_FALSE(make_little_room());
  EXPECT_FALSE(make_little_room());
  EXPECT_EQ(ask("SELECT count(*) FROM hourly"), "0") << "no reading left yet";
  EXPECT_TRUE(make_little_room());
  const std::string refused = "instr(event, 'command_refused')";
  EXPECT_EQ(ask("SELECT count(*) FROM events WHERE " + refused), "10") << "what the older snapshot does not hold";
  EXPECT_EQ(ask("SELECT count(*) FROM events WHERE NOT " + refused), "2");
  EXPECT_EQ(ask("SELECT count(*) FROM inputs WHERE number > " + std::to_string(messages)), "11") << "the act too";
}

TEST_F(TooLarge, WhatNoSnapshotHoldsAndWhatPeopleSaidStays) {
  EXPECT_FALSE(make_room(1));
  EXPECT_EQ(inputs_after(*journal_, 0).size(), messages);
  ASSERT_TRUE(journal_->save_snapshot(messages / 2, "state"));
  EXPECT_TRUE(make_room(1));
  const auto left = inputs_after(*journal_, 0);
  ASSERT_EQ(left.size(), messages / 2 + 1);
  EXPECT_EQ(left[0].number, 1U) << "the command";
  EXPECT_EQ(left[1].number, messages / 2 + 1);
}

}  // namespace
}  // namespace overwinter
