#include "tests/rules/engine/lived.h"

#include <fmt/format.h>

#include <algorithm>
#include <optional>
#include <stdexcept>

#include "config/site_file.h"
#include "daemon/intake.h"
#include "rules/engine/engine.h"

namespace overwinter {

std::shared_ptr<const Plan> plan_with(std::string_view site, std::string_view rules) {
  FilesInMemory files;
  files.files["site.yaml"] = site;
  files.files["rules.yaml"] = rules;
  LoadedSite loaded = load_site("site.yaml", files);
  if (!loaded.sound()) throw std::runtime_error(render_faults(loaded));
  return std::make_shared<const Plan>(std::move(*loaded.plan));
}

namespace {

void take(Lived& lived, const Output& output) {
  lived.events.insert(lived.events.end(), output.events.begin(), output.events.end());
  lived.answers.insert(lived.answers.end(), output.answers.begin(), output.answers.end());
}

}  // namespace

Lived live_through_restart(const std::shared_ptr<const Plan>& plan, std::vector<Mail> mail, std::string_view restart_at,
                           const std::shared_ptr<const Plan>& then) {
  std::ranges::stable_sort(mail, {}, &Mail::at);
  Lived lived;
  Engine engine(plan, parse_rfc3339(mail.front().at).value());
  std::optional<Intake> intake;
  intake.emplace(plan);
  bool restarted = restart_at.empty();
  for (const Mail& m : mail) {
    if (!restarted && m.at >= restart_at) {
      auto restored = Engine::restore(then, engine.snapshot());
      if (!restored) throw std::runtime_error(restored.error().text);
      engine = std::move(*restored);
      intake.emplace(then);
      restarted = true;
    }
    const Instant at = parse_rfc3339(m.at).value();
    if (m.topic == broker_link) {
      take(lived, engine.step({at, LinkChanged{m.payload == "up"}}));
      continue;
    }
    const Input* input = intake->decode(at, m.topic, m.payload, m.retained);
    take(lived, engine.step(input != nullptr ? *input : Input{at, Tick{}}));
  }
  return lived;
}

Lived live(const std::shared_ptr<const Plan>& plan, std::vector<Mail> mail) {
  return live_through_restart(plan, std::move(mail), {}, plan);
}

Mail command(std::string_view at, std::string_view name, std::string_view json) {
  return {std::string(at), fmt::format("overwinter/alder_bend/do/{}", name), std::string(json)};
}

std::vector<Mail> hourly(std::string_view topic, std::string_view from, int hours,
                         const std::function<double(int)>& value) {
  std::vector<Mail> mail;
  const Instant first = parse_rfc3339(from).value();
  for (int i = 0; i < hours; ++i) {
    mail.push_back({format_rfc3339(first + i * one_hour), std::string(topic), fmt::format("{:.3f}", value(i))});
  }
  return mail;
}

std::vector<Mail> together(const std::vector<std::vector<Mail>>& mail) {
  std::vector<Mail> all;
  for (const auto& some : mail) all.insert(all.end(), some.begin(), some.end());
  return all;
}

std::vector<std::string> told(const Lived& lived, const std::vector<EventKind>& kinds) {
  std::vector<std::string> lines;
  for (const Event& e : lived.events) {
    if (std::ranges::find(kinds, e.kind) == kinds.end()) continue;
    const std::string& about = !e.rule.empty() ? e.rule : !e.reminder.empty() ? e.reminder : e.gear;
    lines.push_back(fmt::format("{} {} {}", format_rfc3339(e.at), name_of(e.kind), about));
  }
  return lines;
}

std::vector<std::string> refusals(const Lived& lived) {
  std::vector<std::string> reasons;
  for (const Event& e : lived.events) {
    if (e.kind == EventKind::command_refused) reasons.push_back(e.reason);
  }
  return reasons;
}

std::vector<std::string> digests(const Lived& lived) {
  std::vector<std::string> texts;
  for (const Event& e : lived.events) {
    if (e.kind == EventKind::digest) texts.push_back(e.message);
  }
  return texts;
}

}  // namespace overwinter
