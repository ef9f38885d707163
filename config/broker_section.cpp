// broker, publish, self_description.
#include <fmt/format.h>

#include <algorithm>

#include "config/sections.h"
#include "rules/engine/described.h"
#include "rules/language/source.h"

namespace overwinter {
namespace {

void read_tls(const YamlNode& broker, Draft& draft) {
  const YamlNode* tls = find(broker, "tls");
  if (!tls || !check_section(*tls, tls_section(), *tls, draft.report)) return;
  const auto file = [&](std::string_view key, std::string& into) {
    const YamlNode* node = find(*tls, key);
    if (!node) return;
    if (const auto path = read_text(*node, draft.report)) into = path_beside(*node, *path, draft.report);
  };
  BrokerSpec& spec = draft.plan.broker;
  file("ca_file", spec.ca_file);
  file("certificate_file", spec.certificate_file);
  file("key_file", spec.key_file);
  if (find(*tls, "certificate_file") && !find(*tls, "key_file")) {
    draft.report.error(*tls, "`tls` has a `certificate_file` and no `key_file`", "name the certificate's key");
  } else if (find(*tls, "key_file") && !find(*tls, "certificate_file")) {
    draft.report.error(*tls, "`tls` has a `key_file` and no `certificate_file`", "name the certificate of the key");
  }
}

// Our own topics: no wildcards, no empty level at its ends.
void read_topic_root(const YamlNode& node, Draft& draft) {
  const auto root = read_topic(node, {}, draft.report);
  if (!root) return;
  if (root->starts_with('/') || root->ends_with('/') || root->starts_with('$')) {
    draft.report.error(node, fmt::format("{} starts or ends with `/`, or starts with `$`", quote(*root)),
                       "write it as in overwinter/alder_bend");
    return;
  }
  draft.plan.topic_root = *root;
}

void read_one_publish(const YamlNode& item, Draft& draft) {
  const auto text = read_text(item, draft.report);
  if (!text) return;
  const std::size_t dot = text->find('.');
  const std::string_view id = std::string_view(*text).substr(0, dot);
  if (dot == std::string::npos) {
    draft.report.error(item, fmt::format("{} names no quantity", quote(*text)),
                       "write ID.QUANTITY, as in camper.dew_point");
    return;
  }
  if (draft.is_broken(id)) return;
  const std::uint32_t entity = draft.plan.find_entity(id);
  if (entity == no_index) {
    draft.report.error(item, fmt::format("there is no {}", quote(id)), suggestion(id, draft.ids()));
    return;
  }
  const std::string_view name = std::string_view(*text).substr(dot + 1);
  const KindSpec& kind = *draft.plan.entities[entity].kind;
  if (const auto quantity = kind.quantity(name)) {
    draft.plan.publish.push_back(draft.plan.entities[entity].quantity_slot(*quantity));
    return;
  }
  std::vector<std::string_view> names;
  for (const QuantitySpec& q : kind.quantities) names.push_back(q.name);
  draft.report.error(item, fmt::format("{} has no quantity {}", quote(id), quote(name)), suggestion(name, names));
}

// As the placeholders of docs/hub.md are filled: those that differ from one of our topics to the next.
bool tells_topics_apart(std::string_view topic) {
  const auto holds = [topic](std::string_view part) { return topic.find(part) != std::string_view::npos; };
  const bool of_gear = holds("{gear}") || holds("{gear_name}");
  const bool of_what = holds("{quantity") || holds("{rule") || holds("{reminder");
  return holds("{unique}") || holds("{topic}") || (of_gear && of_what);
}

// Whether somebody else says something on it, or we do; empty: it is free.
std::string why_taken(std::string_view topic, const Plan& plan) {
  if (topic.starts_with(plan.topic_root + "/")) return "where the service itself says or hears something";
  const auto sensor = std::ranges::find(plan.sensors, topic, &Sensor::topic);
  if (topic.empty() || sensor == plan.sensors.end()) return {};
  return fmt::format("where the sensor of {}.{} speaks", plan.entities[plan.slots[sensor->slot].entity].id,
                     plan.slot_name(sensor->slot));
}

// Names bring what no topic may hold; a broker ends the connection of whoever publishes on it (MQTT 5.0, 4.7.1).
bool can_be_published_on(std::string_view topic) {
  return std::ranges::none_of(topic,
                              [](char c) { return c == '+' || c == '#' || static_cast<unsigned char>(c) < 0x20; });
}

constexpr const char* topic_of_its_own = "name a topic of its own: `found/{unique}`";

void read_self_description(const YamlNode& item, Draft& draft) {
  if (!check_section(item, self_description_section(), item, draft.report)) return;
  SelfDescription description;
  if (const YamlNode* node = find(item, "for")) {
    constexpr std::string_view words[] = {"quantities", "alarms", "reminders"};
    if (const auto word = read_word(*node, words, draft.report)) {
      description.what = static_cast<SelfDescription::For>(*word);
    }
  }
  if (const YamlNode* node = find(item, "topic")) {
    description.topic = read_topic(*node, draft.plan.topic_root, draft.report).value_or("");
    const Plan& plan = draft.plan;
    const Placeholders known{{"site", plan.site_id},
                             {"site_name", plan.site_name},
                             {"topic_root", plan.topic_root},
                             {"topic", plan.topic_root + "/"}};  // it begins so
    if (const std::string why = why_taken(filled(description.topic, known), plan); !why.empty()) {
      draft.report.error(*node, "it would stand " + why, topic_of_its_own);
    } else if (!description.topic.empty() && !tells_topics_apart(description.topic)) {
      draft.report.warning(*node, "the same topic for each of what is described: only the last would stay",
                           "put `{unique}` into it");
    }
  }
  if (const YamlNode* node = find(item, "message")) {
    description.message = read_text(*node, draft.report).value_or("");
  }
  draft.plan.self_description.push_back(std::move(description));
  draft.description_topics.push_back(find(item, "topic"));
}

}  // namespace

void read_broker(const YamlNode& root, Draft& draft) {
  BrokerSpec& spec = draft.plan.broker;
  draft.plan.topic_root = fmt::format("overwinter/{}", draft.plan.site_id);
  const YamlNode* broker = find(root, "broker");
  if (!broker) return;
  if (const YamlNode* password = find_key(*broker, "password")) {
    draft.report.error(*password, "no password stands in a site file",
                       "write it into a file of its own and name it: password_file: FILE");
  }
  std::vector<std::string_view> known = key_names(broker_section());
  if (find_key(*broker, "password")) known.push_back("password");
  if (!check_map(*broker, known, broker_section().title, draft.report)) return;
  spec.given = true;
  const auto text = [&](std::string_view key, std::string& into) {
    if (const YamlNode* node = find(*broker, key)) into = read_text(*node, draft.report).value_or(into);
  };
  text("host", spec.host);
  text("user", spec.user);
  if (const YamlNode* node = find(*broker, "tls")) {
    spec.tls = true;
    spec.port = 8883;
    read_tls(*broker, draft);
    if (node->is_null()) draft.report.error(*node, "`tls` is empty", "name its ca_file, or write `tls: {}`");
  }
  if (const YamlNode* node = find(*broker, "port")) spec.port = read_port(*node, draft.report).value_or(spec.port);
  if (const YamlNode* node = find(*broker, "topic_root")) read_topic_root(*node, draft);
  if (const YamlNode* node = find(*broker, "password_file")) {
    if (const auto file = read_text(*node, draft.report)) spec.password_file = path_beside(*node, *file, draft.report);
    if (!find(*broker, "user")) draft.report.error(*node, "a `password_file` and no `user`", "name the user");
  }
  if (const YamlNode* node = find(*broker, "protocol")) {
    constexpr std::string_view words[] = {"mqtt_5", "mqtt_3_1_1"};
    spec.mqtt_3_1_1 = read_word(*node, words, draft.report) == 1U;
  }
}

void read_publish(const YamlNode& root, Draft& draft) {
  if (const YamlNode* list = find(root, "publish")) {
    if (list->is_sequence()) {
      for (const YamlNode& item : list->items) read_one_publish(item, draft);
    } else if (!list->is_null()) {
      draft.report.error(*list, "`publish` is a list of ID.QUANTITY", "write [camper.dew_point]");
    }
  }
  if (const YamlNode* list = find(root, "self_description")) {
    if (list->is_sequence()) {
      for (const YamlNode& item : list->items) read_self_description(item, draft);
    } else if (!list->is_null()) {
      draft.report.error(*list, "`self_description` is a list of maps");
    }
  }
}

// With all its placeholders filled: once the rules are known.
void check_description_topics(Draft& draft) {
  const Plan& plan = draft.plan;
  const std::vector<RetainedTopic> topics =
      plan.self_description.empty() ? std::vector<RetainedTopic>() : retained_topics(plan);
  for (std::size_t i = 0; i < plan.self_description.size(); ++i) {
    const SelfDescription& description = plan.self_description[i];
    for (const RetainedTopic& described : topics) {
      if (!describes(plan, description, described)) continue;
      const std::string topic = filled(description.topic, placeholders_of(plan, described));
      const YamlNode& node = *draft.description_topics[i];
      if (const std::string why = why_taken(topic, plan); !why.empty()) {
        draft.report.error(node, fmt::format("it would be {}, {}", quote(topic), why), topic_of_its_own);
      } else if (!can_be_published_on(topic)) {
        draft.report.error(node, fmt::format("it would be {}, on which nothing can be published", quote(topic)),
                           "a name in it holds `+`, `#` or a control character: use the ids, `{site}` and `{gear}`");
      } else {
        continue;
      }
      break;
    }
  }
}

}  // namespace overwinter
