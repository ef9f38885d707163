#include "tests/rules/engine/story.h"

#include <gtest/gtest.h>

#include <sstream>
#include <stdexcept>
#include <utility>
#include <vector>

#include "config/site_file.h"
#include "daemon/json_text.h"
#include "rules/engine/engine.h"
#include "tests/winter/replay_in_memory.h"

namespace overwinter {
namespace {

std::string line_of(const Event& event) {
  const std::string at = format_rfc3339(event.at);
  std::string line = at.substr(5, 5) + " " + at.substr(11, at.size() - 12) + " " + std::string(name_of(event.kind));
  if (!event.rule.empty()) {
    line += " " + event.rule + " " + event.gear;
    const bool ends_unheard = event.kind == EventKind::alarm_unsuppressed && !event.reason.empty();
    const bool told_why = ends_unheard || (event.kind == EventKind::alarm_cleared && event.reason != "cleared");
    return line + (told_why ? ": " + event.reason : "") + "\n";
  }
  for (const std::string& word : {event.gear, event.quantity}) {
    if (!word.empty()) line += " " + word;
  }
  return line + "\n";
}

std::string lines_about(const std::vector<Event>& events, const std::set<std::string_view>& only) {
  std::string lines;
  for (const Event& event : events) {
    const std::string_view about = event.rule.empty() ? name_of(event.kind) : std::string_view(event.rule);
    if (only.contains(about)) lines += line_of(event);
  }
  return lines;
}

}  // namespace

std::shared_ptr<const Plan> plan_of(std::string_view site, std::string_view rules) {
  FilesInMemory files;
  files.files["site.yaml"] = "site: {id: alder_bend, local_time: America/Winnipeg}\n" + std::string(site);
  if (!rules.empty()) files.files["rules.yaml"] = rules;
  LoadedSite loaded = load_site("site.yaml", files);
  if (!loaded.sound()) throw std::runtime_error(render_faults(loaded));
  return std::make_shared<const Plan>(std::move(*loaded.plan));
}

std::string camper_cold(std::string_view more) {
  std::string rule = R"(rules:
  camper_cold:
    applies_to: {place: camper}
    raise_when: temperature < 0 degC
    clear_when: temperature > 2 degC
    message: "{name} is cold."
)";
  std::istringstream lines{std::string(more)};
  for (std::string line; std::getline(lines, line);) rule += "    " + line + "\n";
  return rule;
}

std::string capture_of(std::string_view story) {
  std::string capture;
  std::istringstream lines{lines_of(story)};
  for (std::string line; std::getline(lines, line);) {
    std::istringstream words(line);
    std::string day, time, topic, payload;
    words >> day >> time >> topic;
    std::getline(words >> std::ws, payload);
    if (time.size() == 5) time += ":00";
    const bool retained = topic.starts_with('~');
    if (retained) topic.erase(0, 1);
    if (topic.starts_with("do/")) topic = "overwinter/alder_bend/" + topic;
    capture += R"({"at":")" + std::string(day < "08" ? "2027-" : "2026-") + day + "T" + time + R"(Z","topic":")" +
               topic + R"(","payload":)";
    append_json_text(capture, payload);
    capture += retained ? ",\"retained\":true}\n" : "}\n";
  }
  return capture;
}

std::string told(const std::shared_ptr<const Plan>& plan, std::string_view story,
                 const std::set<std::string_view>& only) {
  return lines_about(replay_in_memory(plan, inputs_of(plan, capture_of(story))).events, only);
}

std::string told_over_reload(const std::shared_ptr<const Plan>& before, const std::shared_ptr<const Plan>& after,
                             std::string_view story, const std::set<std::string_view>& only) {
  const std::size_t cut = story.find("---");
  const auto first = inputs_of(before, capture_of(story.substr(0, cut)));
  const auto second = inputs_of(after, capture_of(story.substr(cut + 3)));
  std::vector<Event> events;
  const auto step = [&events](Engine& engine, const std::vector<Input>& inputs) {
    for (const Input& input : inputs) {
      const Output& output = engine.step(input);
      events.insert(events.end(), output.events.begin(), output.events.end());
    }
  };
  Engine engine(before, first.front().at);
  step(engine, first);
  auto reloaded = Engine::restore(after, engine.snapshot());
  if (!reloaded) throw std::runtime_error(reloaded.error().text);
  const Instant at = reloaded->now();
  step(*reloaded, {Input{at, Tick{}}});  // the reload's own step
  step(*reloaded, second);
  return lines_about(events, only);
}

std::string lines_of(std::string_view text) {
  std::string lines;
  std::istringstream in{std::string(text)};
  for (std::string line; std::getline(in, line);) {
    const std::size_t begin = line.find_first_not_of(' ');
    if (begin != std::string::npos) lines += line.substr(begin) + "\n";
  }
  return lines;
}

}  // namespace overwinter
