// The sections of the site file, one function each: they fill the plan and report what is wrong.
#pragma once

#include <string>
#include <vector>

#include "config/report.h"
#include "config/scalars.h"
#include "config/yaml_tree.h"
#include "rules/engine/plan.h"
#include "rules/quantity/function.h"

namespace overwinter {

// A plan in the making, with what is needed to point at its parts.
struct Draft {
  Plan plan;
  Report& report;
  FunctionTable functions;
  std::vector<const YamlNode*> entity_keys;         // by entity: its key in the file; nullptr: it stands in no file
  std::vector<const YamlNode*> description_topics;  // by self_description
  std::vector<std::string> broken_ids;  // ids whose gear could not be read: what names them is told once, there

  // The ids of all entities.
  std::vector<std::string_view> ids() const;
  bool is_broken(std::string_view id) const;
};

// An id of the site, a place or gear; false and a report where it is the name of a quantity, a parameter or a function.
bool names_nothing_else(const YamlNode& id, const Draft& draft);

void read_site(const YamlNode& root, Draft& draft);
void read_season(const YamlNode& root, Draft& draft);
void read_notices(const YamlNode& root, Draft& draft);  // notices, digest
void read_journal(const YamlNode& root, Draft& draft);
void read_broker(const YamlNode& root, Draft& draft);
void read_publish(const YamlNode& root, Draft& draft);  // publish, self_description; needs the entities
void check_description_topics(Draft& draft);            // that they are free; needs a whole plan

// Entities, their slots, parameters and sensors.
void read_places_and_gear(const YamlNode& root, Draft& draft);
void read_parameters(const YamlNode& map, std::uint32_t entity, Draft& draft);
void read_bindings(const YamlNode& map, std::uint32_t entity, Draft& draft);

// A path relative to the file that names it.
std::string path_beside(const YamlNode& node, std::string_view path, const Report& report);

}  // namespace overwinter
