#include "config/file_tree.h"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "config/sections.h"
#include "rules/language/source.h"

namespace overwinter {

const YamlNode* FileTree::read(const std::string& path, const YamlNode* named_by, std::string_view hint) {
  std::set<std::string> seen;
  auto root = read_merged(path, named_by, seen, hint);
  if (!root) return nullptr;
  return &roots_.emplace_back(std::move(*root));
}

const YamlNode* FileTree::read_text(const std::string& name, std::string text) {
  auto root = read_yaml(report_.add_file(name, std::move(text)), report_);
  if (!root) return nullptr;
  return &roots_.emplace_back(std::move(*root));
}

std::optional<YamlNode> FileTree::read_merged(const std::string& path, const YamlNode* named_by,
                                              std::set<std::string>& seen, std::string_view hint) {
  if (paths_.size() >= max_files) {
    if (named_by) report_.error(*named_by, fmt::format("more than {} files", max_files));
    return {};
  }
  Result<std::string> text = source_.read(path);
  if (!text) {
    if (named_by) {
      report_.error(*named_by, text.error().text, hint.empty() ? text.error().hint : std::string(hint));
    } else {
      const bool is_missing = text.error().hint == FileSource::where_missing;
      report_.error_at(report_.add_file(path, {}), 0, 0, text.error().text,
                       is_missing ? "write it, or name another; overwinter also takes --site FILE or OVERWINTER_SITE"
                                  : text.error().hint);
    }
    return {};
  }
  paths_.push_back(path);
  seen.insert(path);
  const std::uint32_t file = report_.add_file(path, std::move(*text));
  auto root = read_yaml(file, report_);
  if (!root) return {};
  root->file = file;
  if (!root->is_map() && !root->is_null()) {
    report_.error(*root, "a file is a map: `key: value` lines");
    return {};
  }
  const YamlNode* list = find(*root, "include");
  if (!list || list->is_null()) return root;
  if (!list->is_sequence()) {
    report_.error(*list, "`include` is a list of files", "write [FILE, ...]");
    return root;
  }
  const YamlNode items = *list;  // merging moves the map's values
  stack_.push_back(path);
  for (const YamlNode& item : items.items) include(*root, item, seen);
  stack_.pop_back();
  return root;
}

void FileTree::include(YamlNode& root, const YamlNode& item, std::set<std::string>& seen) {
  if (!item.is_scalar() || item.text.empty()) {
    report_.error(item, "the name of a file is expected here");
    return;
  }
  const std::string path = path_beside(item, item.text, report_);
  const auto cycle = std::ranges::find(stack_, path);
  if (cycle != stack_.end()) {
    std::string chain;
    for (auto at = cycle; at != stack_.end(); ++at) chain += *at + " includes ";
    report_.error(item, "a file includes itself", chain + path);
    return;
  }
  if (seen.contains(path)) {
    report_.error(item, fmt::format("{} is included twice", quote(path)), "once is enough");
    return;
  }
  if (auto other = read_merged(path, &item, seen)) merge(root, std::move(*other));
}

void FileTree::defined_twice(const YamlNode& first, const YamlNode& second) {
  const auto told = [&](const YamlNode& at, const YamlNode& other) {
    const TextFile& file = report_.file(other.file);
    report_.error(at, fmt::format("{} is defined twice", quote(at.text)),
                  fmt::format("also in {}, line {}", file.name, file.line_at(other.begin)));
  };
  told(first, second);
  told(second, first);
}

// Maps of the top level take up each other's keys.
void FileTree::merge(YamlNode& root, YamlNode&& other) {
  root.kind = YamlNode::Kind::map;
  for (std::size_t i = 0; i + 1 < other.items.size(); i += 2) {
    YamlNode& key = other.items[i];
    YamlNode& value = other.items[i + 1];
    if (key.text == "include") continue;
    const YamlNode* own_key = find_key(root, key.text);
    if (!own_key) {
      root.items.push_back(std::move(key));
      root.items.push_back(std::move(value));
      continue;
    }
    YamlNode& own = root.items[static_cast<std::size_t>(own_key - root.items.data()) + 1];
    if (!own.is_map() || !value.is_map()) {
      defined_twice(*own_key, key);
      continue;
    }
    for (std::size_t k = 0; k + 1 < value.items.size(); k += 2) {
      if (const YamlNode* there = find_key(own, value.items[k].text)) {
        defined_twice(*there, value.items[k]);
        continue;
      }
      own.items.push_back(std::move(value.items[k]));
      own.items.push_back(std::move(value.items[k + 1]));
    }
  }
}

}  // namespace overwinter
