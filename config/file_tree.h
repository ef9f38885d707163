// Reads YAML files and merges what they include.
#pragma once

#include <deque>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "config/site_file.h"
#include "config/yaml_tree.h"

namespace overwinter {

inline constexpr std::size_t max_files = 100;

class FileTree {
 public:
  FileTree(const FileSource& source, Report& report) : source_(source), report_(report) {}

  // A file with its includes merged; kept until this ends. named_by: the text that names it; nullptr: the site file.
  // nullptr: it could not be read (the report says why, with `hint` where there is one).
  const YamlNode* read(const std::string& path, const YamlNode* named_by, std::string_view hint = {});
  // A text that ships with the program.
  const YamlNode* read_text(const std::string& name, std::string text);

  const std::vector<std::string>& paths() const { return paths_; }

 private:
  std::optional<YamlNode> read_merged(const std::string& path, const YamlNode* named_by, std::set<std::string>& seen,
                                      std::string_view hint = {});
  void include(YamlNode& root, const YamlNode& item, std::set<std::string>& seen);
  void merge(YamlNode& root, YamlNode&& other);
  void defined_twice(const YamlNode& first, const YamlNode& second);

  const FileSource& source_;
  Report& report_;
  std::deque<YamlNode> roots_;
  std::vector<std::string> stack_;  // files being read, for cycles
  std::vector<std::string> paths_;
};

}  // namespace overwinter
