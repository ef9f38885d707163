// Rules and reminders as they stand after all rule files: later definitions and `adjust` replace key by key. Still
// nodes of the files, so that every fault points at the text that is wrong.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "config/keys.h"
#include "config/report.h"
#include "config/yaml_tree.h"

namespace overwinter {

struct NamedNode {
  const YamlNode* key = nullptr;
  const YamlNode* value = nullptr;
};

struct Definition {
  enum class What : std::uint8_t { rule, reminder };
  What what = What::rule;
  std::string name;
  const YamlNode* name_key = nullptr;  // where it is defined first
  bool standard = false;               // the condition ships with the program
  std::vector<NamedNode> keys;         // without with and for
  std::vector<NamedNode> with;
  struct ForGear {
    const YamlNode* id = nullptr;
    std::vector<NamedNode> with;
  };
  std::vector<ForGear> for_gear;

  const YamlNode* find(std::string_view key) const;
  const Section& section() const { return what == What::rule ? rule_section() : reminder_section(); }
};

class Definitions {
 public:
  // Reads rules, reminders and adjust of a rule file's tree, which must outlive this.
  void add_file(const YamlNode& root, bool standard, Report& report);
  // `adjust` alone, of the site file.
  void adjust(const YamlNode& root, Report& report);

  const std::vector<Definition>& all() const { return all_; }
  std::vector<std::string_view> names(Definition::What what) const;

 private:
  Definition* find(std::string_view name);
  void add(const YamlNode& root, Definition::What what, bool standard, Report& report);

  std::vector<Definition> all_;  // in order of first definition
};

}  // namespace overwinter
