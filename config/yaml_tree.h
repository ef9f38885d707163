// A strict reader of YAML into a plain tree. Refused, each with its place: anchors, aliases, tags, duplicate keys, keys
// that are no text, a second document, depth over limits::yaml_depth, too many values, quotes and brackets without an
// end. Scalars stay text: config converts them itself (`no` is a word, `010` is ten or an error, never eight).
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "config/report.h"

namespace overwinter {

inline constexpr std::size_t max_yaml_values = 100'000;  // bounds the tree's memory
inline constexpr std::size_t max_brackets = 50'000;      // in one file
inline constexpr std::size_t max_bracket_size = 10'000;  // brackets and commas in one outermost pair

struct YamlNode {
  enum class Kind : std::uint8_t { null, scalar, sequence, map };
  Kind kind = Kind::null;
  bool quoted = false;             // with quotes, or a block scalar
  std::uint32_t file = 0;          // of the report
  std::size_t begin = 0, end = 0;  // bytes of the file's text; of maps and sequences the first byte
  std::string text;                // of scalars
  std::vector<YamlNode> items;     // of a sequence; of a map key, value, key, value

  bool is_map() const { return kind == Kind::map; }
  bool is_sequence() const { return kind == Kind::sequence; }
  bool is_scalar() const { return kind == Kind::scalar; }
  bool is_null() const { return kind == Kind::null; }
};

// Calls f(key, value) for each pair of a map, in the order of the file.
template <class F>
void for_each_pair(const YamlNode& map, F&& f) {
  if (!map.is_map()) return;
  for (std::size_t i = 0; i + 1 < map.items.size(); i += 2) f(map.items[i], map.items[i + 1]);
}

// The value (or the key's own node) of a key; nullptr: not there.
const YamlNode* find(const YamlNode& map, std::string_view key);
const YamlNode* find_key(const YamlNode& map, std::string_view key);

// The tree of a file of the report; nothing when the text could not be read to its end (the report says why).
// An empty file is a null node. Duplicate keys are reported and left out.
std::optional<YamlNode> read_yaml(std::uint32_t file, Report& report);

}  // namespace overwinter
