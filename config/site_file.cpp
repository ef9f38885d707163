#include "config/site_file.h"

#include <fmt/format.h>

#include <algorithm>
#include <fstream>
#include <system_error>
#include <utility>

#include "config/advice.h"
#include "config/conditions.h"
#include "config/file_tree.h"
#include "rules/language/source.h"
#include "rules/limits.h"
#include "rules/physics/catalog.h"
#include "rules/standard/standard_files.h"

namespace overwinter {
namespace {

// The rule files, in order, and the site file's own `adjust`.
class RuleFiles {
 public:
  RuleFiles(FileTree& tree, Report& report) : tree_(tree), report_(report) {}

  void read(const YamlNode& root, Definitions& definitions) {
    const YamlNode* list = find(root, "rules_from");
    if (!list) {
      add_standard(definitions);
    } else if (list->is_sequence()) {
      for (const YamlNode& item : list->items) add(item, definitions);
    } else if (!list->is_null()) {
      report_.error(*list, "`rules_from` is a list of files", "write [standard, my-rules.yaml]");
    }
    definitions.adjust(root, report_);
  }

 private:
  void add_standard(Definitions& definitions) {
    for (const StandardFile& file : standard_files()) {
      const YamlNode* tree = tree_.read_text(fmt::format("standard/{}", file.name), std::string(file.text));
      if (tree) add_tree(*tree, true, definitions);
    }
  }

  void add(const YamlNode& item, Definitions& definitions) {
    if (!item.is_scalar() || item.text.empty()) {
      report_.error(item, "`standard` or the name of a file is expected here");
    } else if (item.text == "standard") {
      add_standard(definitions);
    } else {
      const std::string_view shipped[] = {"standard"};
      const bool slip = nearest_word(item.text, shipped).has_value();
      const std::string_view hint = slip ? "did you mean `standard`, the rules that ship?" : "";
      const YamlNode* tree = tree_.read(path_beside(item, item.text, report_), &item, hint);
      if (tree) add_tree(*tree, false, definitions);
    }
  }

  void add_tree(const YamlNode& tree, bool standard, Definitions& definitions) {
    check_section(tree, rule_file_section(), tree, report_);
    definitions.add_file(tree, standard, report_);
  }

  FileTree& tree_;
  Report& report_;
};

// Keys that people look for in the site file and that belong elsewhere.
void check_top_level(const YamlNode& root, Report& report) {
  std::vector<std::string_view> known = key_names(site_file_section());
  for (const std::string_view name : {"rules", "reminders"}) {
    if (const YamlNode* key = find_key(root, name)) {
      report.error(*key, fmt::format("`{}` stands in a rule file", name),
                   "put it into a file of its own and name that: rules_from: [standard, my-rules.yaml]");
      known.push_back(name);
    }
  }
  check_map(root, known, site_file_section().title, report);
  const YamlNode* site = find(root, "site");
  if (!site || site->is_null()) {
    report.error_at(root.file, 0, 1, site ? "`site` is empty" : "the site file needs `site`",
                    "write site: {id: my_site, local_time: America/Winnipeg}");
  }
}

void fill(const YamlNode& root, FileTree& tree, Draft& draft) {
  check_top_level(root, draft.report);
  const YamlNode* site = find(root, "site");
  if (site && !site->is_null()) read_site(root, draft);
  read_season(root, draft);
  read_notices(root, draft);
  read_journal(root, draft);
  read_broker(root, draft);
  read_places_and_gear(root, draft);
  read_publish(root, draft);
  Definitions definitions;
  RuleFiles(tree, draft.report).read(root, definitions);
  read_rules(definitions, draft);
  read_reminders(definitions, draft);
  check_former_names(definitions, draft);
  if (!draft.report.has_errors()) check_description_topics(draft);
  if (!draft.report.has_errors()) advise(root, definitions, draft);
}

}  // namespace

Result<std::string> DiskFiles::read(const std::string& path) const {
  std::error_code error;
  if (std::filesystem::is_directory(path, error)) return fault(fmt::format("{} is a folder", quote(path)));
  std::ifstream in(path, std::ios::binary);
  if (!in) {
    const bool there = std::filesystem::exists(path, error);
    return fault(fmt::format("{} {}", quote(path), there ? "cannot be read" : "does not exist"),
                 there ? "may this user read it?" : std::string(where_missing));
  }
  std::string text(limits::yaml_bytes + 1, '\0');
  in.read(text.data(), static_cast<std::streamsize>(text.size()));
  text.resize(static_cast<std::size_t>(in.gcount()));
  if (in.bad()) return fault(fmt::format("{} cannot be read to its end", quote(path)));
  return text;
}

Result<std::string> FilesInMemory::read(const std::string& path) const {
  const auto at = files.find(path);
  if (at == files.end()) {
    return fault(fmt::format("{} does not exist", quote(path)), std::string(where_missing));
  }
  return at->second;
}

LoadedSite load_site(const std::filesystem::path& path) { return load_site(path.string(), DiskFiles{}); }

LoadedSite load_site(const std::string& path, const FileSource& source) {
  Report report;
  FileTree tree(source, report);
  Draft draft{{}, report, physics_functions(), {}, {}, {}};
  if (const YamlNode* root = tree.read(path, nullptr)) fill(*root, tree, draft);
  LoadedSite loaded;
  loaded.faults = report.sorted(loaded.lines);
  loaded.files = tree.paths();
  draft.plan.fingerprint = report.fingerprint();
  if (!report.has_errors()) loaded.plan = std::move(draft.plan);
  return loaded;
}

void require_broker(LoadedSite& site) {
  if (!site.plan || site.plan->broker.given) return;
  site.plan.reset();
  site.faults = {{{site.files.front(), 1, 1}, "it names no broker", "write at least broker: {host: localhost}"}};
  site.lines = {""};
}

std::string render_faults(const LoadedSite& site) {
  std::string text;
  for (std::size_t i = 0; i < site.faults.size(); ++i) {
    if (i > 0) text += '\n';
    text += render_fault(site.faults[i], site.lines[i]) + '\n';
  }
  return text;
}

}  // namespace overwinter
