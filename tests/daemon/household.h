// A site under the caretaker's eyes, as the service runs it: messages and commands in, ticks where something falls due,
// notices out as lines that a test can read.
#pragma once

#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <memory>
#include <stdexcept>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "config/site_file.h"
#include "daemon/caretaker.h"
#include "rules/engine/world.h"

namespace overwinter {

inline std::shared_ptr<const Plan> plan_of_files(std::string_view site, std::string_view rules) {
  FilesInMemory files;
  files.files["site.yaml"] = site;
  files.files["rules.yaml"] = rules;
  LoadedSite loaded = load_site("site.yaml", files);
  if (!loaded.plan) throw std::runtime_error(render_faults(loaded));
  return std::make_shared<const Plan>(*std::move(loaded.plan));
}

// "12-01 14:00" or "12-01 14:00:30", UTC, of the winter 2026/27; or RFC 3339.
inline Instant utc(std::string_view text) {
  if (const auto whole = parse_rfc3339(text)) return *whole;
  const char* year = text < "07" ? "2027-" : "2026-";
  const auto at =
      parse_rfc3339(fmt::format("{}{}T{}{}Z", year, text.substr(0, 5), text.substr(6), text.size() > 11 ? "" : ":00"));
  if (!at) throw std::runtime_error("no time: " + std::string(text));
  return *at;
}

class Household {
 public:
  Household(std::shared_ptr<const Plan> plan, std::string_view start)
      : plan_(std::move(plan)), caretaker_(plan_, utc(start)) {
    wait_until(start);  // the first pass; as the service does, before it hears anything
  }

  void hear(std::string_view at, const std::string& topic, const std::string& payload) {
    wait_until(at);
    step(JournaledInput::Kind::message, utc(at), topic, payload);
  }
  void say(std::string_view at, const std::string& command, const std::string& payload) {
    hear(at, plan_->topic_root + "/do/" + command, payload);
  }
  // Ticks at each deadline up to then, as the service's timer makes them.
  void wait_until(std::string_view at) {
    while (caretaker_.next_deadline() <= utc(at)) {
      step(JournaledInput::Kind::tick, std::max(caretaker_.next_deadline(), caretaker_.world().now), {}, {});
    }
  }
  void step(JournaledInput::Kind kind, Instant at, const std::string& topic, const std::string& payload) {
    inputs.push_back({inputs.size() + 1, at, kind, topic, payload, false});
    take(caretaker_.step(inputs.back()));
  }
  // Stopped and started again from its snapshot, by the same plan or another.
  void restart(std::shared_ptr<const Plan> plan = nullptr) {
    if (plan) plan_ = std::move(plan);
    Result<Caretaker> restored = Caretaker::restore(plan_, caretaker_.snapshot());
    if (!restored) throw std::runtime_error(restored.error().text);
    caretaker_ = *std::move(restored);
  }

  // "12-01 14:00 reminder due": of every notice, in the order in which they left; empties the list.
  std::string told() {
    std::string lines;
    for (const Notice& n : std::exchange(notices, {})) {
      const std::string at = format_rfc3339(n.at);
      lines += fmt::format("{} {} {} {} {}\n", at.substr(5, 5), at.substr(11, 5), n.about, n.event,
                           n.gear.empty() ? n.title : n.gear);
    }
    return lines;
  }
  const Notice& last() const {
    if (everything.empty()) throw std::runtime_error("no notice left");
    return everything.back();
  }

  Caretaker& caretaker() { return caretaker_; }
  const World& world() const { return caretaker_.world(); }

  std::vector<JournaledInput> inputs;
  std::vector<Notice> notices, everything;
  std::vector<Answer> answers;

 private:
  void take(const Told& told) {
    notices.insert(notices.end(), told.notices.begin(), told.notices.end());
    everything.insert(everything.end(), told.notices.begin(), told.notices.end());
    answers.insert(answers.end(), told.answers.begin(), told.answers.end());
  }

  std::shared_ptr<const Plan> plan_;
  Caretaker caretaker_;
};

}  // namespace overwinter
