#include "daemon/listen_page.h"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <set>
#include <utility>

#include "daemon/json_text.h"
#include "daemon/printable.h"
#include "daemon/self_description.h"
#include "rules/language/compile.h"
#include "rules/limits.h"
#include "rules/physics/catalog.h"
#include "rules/quantity/age.h"

namespace overwinter {
namespace {

bool is_bound(const Plan& plan, const std::string& topic, const HeardMember& member) {
  return std::ranges::any_of(plan.sensors, [&](const Sensor& s) {
    return s.topic == topic && s.has_pointer == member.has_pointer && s.pointer == member.pointer;
  });
}
bool is_bound(const Plan& plan, const std::string& topic) {
  return std::ranges::any_of(plan.sensors, [&](const Sensor& s) { return s.topic == topic; });
}

// What we say ourselves: below our root, and what the site's self_description says elsewhere. So do other sites of this
// broker, below the usual root.
class OwnTopics {
 public:
  explicit OwnTopics(const Plan& plan) : root_(plan.topic_root + "/") {
    for (Publication& publication : self_description(plan)) described_.insert(std::move(publication.topic));
  }
  bool hold(const std::string& topic) const {
    return topic.starts_with(root_) || topic.starts_with("overwinter/") || described_.contains(topic);
  }

 private:
  std::string root_;
  std::set<std::string> described_;
};

bool means_something_else(const std::string& id) {
  if (is_reserved_word(id)) return true;
  for (const KindSpec* kind : all_kinds()) {
    if (kind->quantity(id)) return true;
    for (const ParameterSpec& p : kind->parameters) {
      if (p.name.substr(0, p.name.find('.')) == id) return true;
    }
  }
  return std::ranges::any_of(physics_functions(), [&](const Function& f) { return f.name == id; });
}

// The last two levels of the topic: "camper/tire/lf" is tire_lf.
std::string id_of(const std::string& topic) {
  const std::size_t last = topic.rfind('/');
  const std::size_t before = last == std::string::npos || last == 0 ? std::string::npos : topic.rfind('/', last - 1);
  std::string id;
  for (const std::string& word : words_of_name(topic.substr(before == std::string::npos ? 0 : before + 1))) {
    id += (id.empty() ? "" : "_") + word;
  }
  if (id.empty() || id.front() < 'a' || id.front() > 'z') id = "heard_" + id;
  if (last == std::string::npos) id += "_sensor";
  constexpr std::size_t room_for_number = 5;
  id.resize(std::min(id.size(), limits::id_characters - room_for_number));
  while (id.ends_with('_')) id.pop_back();
  return id;
}

class Grouping {
 public:
  Grouping(const HeardTopics& heard, const Plan& plan) : heard_(heard), plan_(plan) {}

  std::vector<GuessedEntity> all() {
    const OwnTopics own(plan_);
    for (const auto& [topic, heard] : heard_.topics()) {
      const bool can_be_bound = topic.size() <= limits::topic_bytes && topic.find_first_of("+#") == std::string::npos;
      if (!own.hold(topic) && can_be_bound) take(topic, heard);
    }
    return std::move(entities_);
  }

 private:
  void take(const std::string& topic, const HeardTopic& heard) {
    const std::size_t first = entities_.size();
    GuessedEntity sensor;  // its own cell and signal
    for (const HeardMember& member : heard.members) {
      if (is_bound(plan_, topic, member)) continue;
      GuessedBinding guess = guess_binding(topic, member, heard.members);
      if (guess.kind.empty()) continue;
      if (guess.kind != "sensor") {
        add(first, topic, member, std::move(guess));
      } else if (member.has_pointer && guess.quantity == "battery" && sensor.battery == nullptr) {
        sensor.battery = &member;
        sensor.battery_guess = std::move(guess);
      } else if (member.has_pointer && guess.quantity == "link" && sensor.link == nullptr) {
        sensor.link = &member;
        sensor.link_guess = std::move(guess);
      }
    }
    if (entities_.size() == first) return;
    GuessedEntity& of = entities_[first];
    of.battery = sensor.battery;
    of.battery_guess = sensor.battery_guess;
    of.link = sensor.link;
    of.link_guess = sensor.link_guess;
  }

  // To the topic's own entity of that kind that has no such quantity yet, or to a new one.
  void add(std::size_t first, const std::string& topic, const HeardMember& member, GuessedBinding guess) {
    for (std::size_t i = first; i < entities_.size(); ++i) {
      GuessedEntity& entity = entities_[i];
      const bool taken = std::ranges::any_of(
          entity.lines, [&](const GuessedEntity::Line& line) { return line.guess.quantity == guess.quantity; });
      if (entity.kind != guess.kind || taken) continue;
      entity.lines.push_back({&member, std::move(guess)});
      return;
    }
    GuessedEntity entity;
    entity.id = free_id(topic);
    entity.kind = guess.kind;
    entity.topic = topic;
    entity.lines.push_back({&member, std::move(guess)});
    entities_.push_back(std::move(entity));
  }

  std::string free_id(const std::string& topic) {
    const std::string stem = id_of(topic);
    std::string id = stem;
    for (int n = 2; ids_.contains(id) || plan_.find_entity(id) != no_index || means_something_else(id); ++n) {
      id = fmt::format("{}_{}", stem, n);
    }
    ids_.insert(id);
    return id;
  }

  const HeardTopics& heard_;
  const Plan& plan_;
  std::vector<GuessedEntity> entities_;
  std::set<std::string> ids_;
};

// A YAML scalar: plain where that is safe in a flow map, else in quotes as in JSON.
std::string scalar(const std::string& text) {
  static const std::set<std::string> words_of_yaml = {"true", "false", "yes", "no", "on", "off", "null", "y", "n"};
  std::string lower = text;
  for (char& c : lower) c = c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
  const bool letters_first =
      !text.empty() && (std::isalpha(static_cast<unsigned char>(text.front())) != 0 || text.front() == '/');
  const bool plain = letters_first && !words_of_yaml.contains(lower) && std::ranges::all_of(text, [](char c) {
                       return std::isalnum(static_cast<unsigned char>(c)) != 0 || c == '_' || c == '/' || c == '.' ||
                              c == '-' || c == '^';
                     });
  if (plain) return text;
  std::string quoted;
  append_json_text(quoted, text);
  return quoted;
}

std::string cell(std::string_view key, const HeardMember* member, const GuessedBinding& guess) {
  if (member == nullptr) return {};
  return fmt::format(", {}: {{pointer: {}, unit: {}}}", key, scalar(member->pointer), scalar(guess.unit));
}

std::string binding(const GuessedEntity& entity, std::size_t index) {
  const GuessedEntity::Line& line = entity.lines[index];
  const GuessedBinding& g = line.guess;
  std::string out = fmt::format("{{topic: {}", scalar(entity.topic));
  if (line.member->has_pointer) out += ", pointer: " + scalar(line.member->pointer);
  if (!g.unit.empty()) out += ", unit: " + scalar(g.unit);
  if (!g.yes.empty()) out += ", yes_is: " + scalar(g.yes) + ", no_is: " + scalar(g.no);
  if (index == 0)
    out += cell("battery", entity.battery, entity.battery_guess) + cell("link", entity.link, entity.link_guess);
  return out + "}";
}

std::string remark(const GuessedEntity::Line& line) {
  std::string out = "  # " + line.member->last;
  if (!line.guess.unit.empty() && !line.guess.unit_by_name) out += "; unit guessed by size: check";
  if (!line.guess.remark.empty()) out += "; " + line.guess.remark;
  return out;
}

std::string yaml_of(const std::vector<GuessedEntity>& entities, bool places) {
  std::string out;
  for (const GuessedEntity& entity : entities) {
    if ((entity.kind == "place") != places) continue;
    if (out.empty()) out = places ? "places:\n" : "gear:\n";
    out += fmt::format("  {}:\n", entity.id);
    if (!places) out += fmt::format("    kind: {}\n", entity.kind);
    for (std::size_t i = 0; i < entity.lines.size(); ++i) {
      out += fmt::format("    {}: {}{}\n", entity.lines[i].guess.quantity, binding(entity, i), remark(entity.lines[i]));
    }
  }
  return out;
}

// "6 times", "once", and how far apart.
std::string how_often(const HeardTopic& topic) {
  std::string out = topic.count == 1 ? "once" : fmt::format("{} times", topic.count);
  if (topic.count > 1) {
    const auto apart = (topic.last - topic.first) / static_cast<std::int64_t>(topic.count - 1);
    out += apart < std::chrono::seconds(1) ? ", less than 1 s apart" : ", each " + age_text(apart);
  }
  if (topic.retained) out += ", retained";
  return out;
}

std::string topic_lines(const Plan& plan, const std::string& name, const HeardTopic& topic) {
  std::string out = fmt::format("# {}  ({}{})\n", printable(name), how_often(topic),
                                is_bound(plan, name) ? ", bound in the site file" : "");
  for (const HeardMember& m : topic.members) {
    out += fmt::format("#     {:<24} {}", m.has_pointer ? printable(m.pointer) : "(plain text)", m.last);
    if (m.is == HeardMember::Is::number && m.low != m.high) {
      std::string low, high;
      append_json_number(low, m.low);
      append_json_number(high, m.high);
      out += fmt::format("  ({} to {})", low, high);
    }
    out += '\n';
  }
  if (topic.has_more) out += fmt::format("#     and more than these {}, left out\n", topic.members.size());
  if (topic.unreadable) out += "#     a payload that is neither JSON nor a short text\n";
  return out;
}

}  // namespace

std::vector<GuessedEntity> guess_entities(const HeardTopics& heard, const Plan& plan) {
  return Grouping(heard, plan).all();
}

std::string listen_page(const HeardTopics& heard, const Plan& plan, Span listened) {
  std::string out = fmt::format("# Heard in {}: {} messages\n#\n", age_text(listened), heard.messages());
  const OwnTopics own(plan);
  for (const auto& [name, topic] : heard.topics()) {
    if (!own.hold(name)) out += topic_lines(plan, name, topic);
  }
  if (heard.left_out() > 0) out += fmt::format("# {} more messages of further topics\n", heard.left_out());
  const auto entities = guess_entities(heard, plan);
  if (entities.empty()) return out + "#\n# Nothing here looks like a reading that is not bound yet.\n";
  out +=
      "#\n# Guesses, by names and sizes: look at each one. Move its lines to the places and gear that you have, or "
      "keep\n"
      "# this page as a file beside the site file and name it there: include: [heard.yaml]\n";
  out += yaml_of(entities, true);
  out += yaml_of(entities, false);
  return out;
}

std::string listen_json(const HeardTopics& heard, const Plan& plan, Span listened) {
  std::string out;
  JsonObject object(out);
  object.number("seconds", to_seconds(listened));
  object.count("messages", heard.messages());
  object.key("topics");
  out += '[';
  bool first_topic = true;
  const OwnTopics own(plan);
  for (const auto& [name, topic] : heard.topics()) {
    if (own.hold(name)) continue;
    if (!first_topic) out += ',';
    first_topic = false;
    JsonObject one(out);
    one.text("topic", printable(name));
    one.count("count", topic.count);
    one.boolean("retained", topic.retained);
    one.boolean("bound", is_bound(plan, name));
    one.key("members");
    out += '[';
    for (std::size_t i = 0; i < topic.members.size(); ++i) {
      const HeardMember& m = topic.members[i];
      if (i > 0) out += ',';
      JsonObject member(out);
      if (m.has_pointer) member.text("pointer", printable(m.pointer));
      member.text("last", m.last);
      const GuessedBinding guess = guess_binding(name, m, topic.members);
      if (!guess.kind.empty()) {
        member.text("kind", guess.kind);
        member.text("quantity", guess.quantity);
        if (!guess.unit.empty()) member.text("unit", guess.unit);
      }
      member.end();
    }
    out += ']';
    if (topic.has_more) one.boolean("has_more", true);
    one.end();
  }
  out += ']';
  object.end();
  return out + "\n";
}

}  // namespace overwinter
