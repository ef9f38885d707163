#include "config/yaml_tree.h"

#include <fmt/format.h>
#include <yaml-cpp/eventhandler.h>
#include <yaml-cpp/exceptions.h>
#include <yaml-cpp/parser.h>

#include <algorithm>
#include <array>
#include <sstream>
#include <unordered_map>
#include <utility>

#include "config/yaml_brackets.h"
#include "rules/language/source.h"
#include "rules/limits.h"

namespace overwinter {
namespace {

// Ends the parse; the report already says why.
struct Refused {};

class TreeBuilder : public YAML::EventHandler {
 public:
  TreeBuilder(std::uint32_t file, Report& report) : file_(file), report_(report), text_(report.file(file)) {}

  YamlNode take_root() { return std::move(root_); }

  void OnDocumentStart(const YAML::Mark& mark) override {
    if (documents_++ == 0) return;
    const std::size_t at = offset(mark);
    if (text_.line(text_.line_at(at)).starts_with("---")) {
      refuse(at, at + 3, "a second document", "one file holds one document: remove the `---`");
    }
    refuse(at, at + 1, "this does not continue what stands above", "look at the indentation");
  }
  void OnDocumentEnd() override {}

  void OnNull(const YAML::Mark& mark, YAML::anchor_t) override {
    YamlNode& node = add(mark, YamlNode::Kind::null);
    if (open_.empty() || is_null_word(node.begin)) return;
    const YamlNode& parent = *open_.back();
    if (parent.is_map() && parent.items.size() >= 2) {
      const YamlNode& key = parent.items[parent.items.size() - 2];
      node.begin = key.begin;
      node.end = key.end;
    } else if (const auto dash = entry_before(node.begin)) {
      node.begin = *dash;
      node.end = *dash + 1;
    }
  }
  void OnAnchor(const YAML::Mark& mark, const std::string& name) override {
    const std::size_t at = offset(mark);
    refuse(at, at + name.size() + 1, fmt::format("an anchor: `&{}`", name), "write the value out where it is needed");
  }
  void OnAlias(const YAML::Mark& mark, YAML::anchor_t) override {
    const std::size_t at = offset(mark);
    refuse(at, at + 1, "an alias", "write the value out here");
  }
  void OnScalar(const YAML::Mark& mark, const std::string& tag, YAML::anchor_t, const std::string& value) override {
    YamlNode& node = add(mark, YamlNode::Kind::scalar);
    node.text = value;
    const char first = node.begin < text_.text.size() ? text_.text[node.begin] : ' ';
    const bool has_quotes = first == '"' || first == '\'';
    node.quoted = has_quotes || first == '|' || first == '>';
    // The library calls quoted scalars "!" and plain ones "?"; a tag that was written is anything else.
    if (first == '!' || (tag != "?" && tag != "!")) refuse_tag(node.begin);
    node.end = has_quotes ? end_of_quotes(node.begin) : node.begin + std::max<std::size_t>(1, plain_length(node));
    if (node.text.find('\0') != std::string::npos) {
      refuse(node.begin, node.end, "a text with a NUL character", "remove the \\0");
    }
  }
  void OnSequenceStart(const YAML::Mark& mark, const std::string& tag, YAML::anchor_t,
                       YAML::EmitterStyle::value) override {
    open(mark, tag, YamlNode::Kind::sequence);
  }
  void OnMapStart(const YAML::Mark& mark, const std::string& tag, YAML::anchor_t, YAML::EmitterStyle::value) override {
    open(mark, tag, YamlNode::Kind::map);
  }
  void OnSequenceEnd() override { open_.pop_back(); }
  void OnMapEnd() override {
    drop_duplicates(*open_.back());
    open_.pop_back();
  }

 private:
  [[noreturn]] void refuse(std::size_t begin, std::size_t end, std::string text, std::string hint) {
    report_.error_at(file_, begin, end, std::move(text), std::move(hint));
    throw Refused{};
  }
  [[noreturn]] void refuse_tag(std::size_t at) { refuse(at, at + 1, "a tag (`!`)", "values need no tags: remove it"); }

  // The library's marks are 0-based and count bytes.
  std::size_t offset(const YAML::Mark& mark) const {
    if (mark.line < 0 || mark.column < 0) return 0;
    return text_.offset(static_cast<std::size_t>(mark.line), static_cast<std::size_t>(mark.column));
  }

  bool is_null_word(std::size_t at) const {
    const std::string_view rest = std::string_view(text_.text).substr(std::min(at, text_.text.size()));
    return std::ranges::any_of(std::array{"~", "null", "Null", "NULL"},
                               [&](const char* word) { return rest.starts_with(word); });
  }

  // What is not there has no place of its own: the library marks what comes next, be it lines further on. The dash of
  // an empty entry, where nothing but comments stands between.
  std::optional<std::size_t> entry_before(std::size_t at) const {
    std::size_t end = std::min(at, text_.text.size());
    while (true) {
      const std::size_t newline = end == 0 ? std::string::npos : text_.text.rfind('\n', end - 1);
      const std::size_t start = newline == std::string::npos ? 0 : newline + 1;
      std::string_view line = std::string_view(text_.text).substr(start, end - start);
      if (const std::size_t comment = line.find('#'); comment != std::string_view::npos) line = line.substr(0, comment);
      const std::size_t last = line.find_last_not_of(" \t\r");
      if (last != std::string_view::npos) return line[last] == '-' ? std::optional(start + last) : std::nullopt;
      if (newline == std::string::npos) return {};
      end = newline;
    }
  }

  bool expects_key() const { return !open_.empty() && open_.back()->is_map() && open_.back()->items.size() % 2 == 0; }

  YamlNode& add(const YAML::Mark& mark, YamlNode::Kind kind) {
    const std::size_t at = offset(mark);
    if (++values_ > max_yaml_values) {
      refuse(at, at + 1, fmt::format("more than {} values", max_yaml_values), "split the file: include: [FILE, ...]");
    }
    if (expects_key() && kind != YamlNode::Kind::scalar) refuse(at, at + 1, "a key must be a text", "");
    YamlNode* node = &root_;
    if (!open_.empty()) node = &open_.back()->items.emplace_back();
    node->kind = kind;
    node->file = file_;
    node->begin = at;
    node->end = at + 1;
    return *node;
  }

  void open(const YAML::Mark& mark, const std::string& tag, YamlNode::Kind kind) {
    if (tag != "?") refuse_tag(offset(mark));
    YamlNode& node = add(mark, kind);
    open_.push_back(&node);
    if (open_.size() > limits::yaml_depth) {
      refuse(node.begin, node.end, fmt::format("deeper than {} levels", limits::yaml_depth), "");
    }
  }

  std::size_t end_of_quotes(std::size_t begin) {
    const std::string& text = text_.text;
    const char quote = text[begin];
    for (std::size_t i = begin + 1; i < text.size(); ++i) {
      if (text[i] == '\\' && quote == '"') {
        ++i;
      } else if (text[i] == quote) {
        if (quote == '"' || i + 1 >= text.size() || text[i + 1] != quote) return i + 1;
        ++i;
      }
    }
    refuse(begin, begin + 1, "this quote has no end", "close it with the same sign");
  }

  std::size_t plain_length(const YamlNode& node) const {
    if (text_.text.compare(node.begin, node.text.size(), node.text) == 0) return node.text.size();
    return text_.line(text_.line_at(node.begin)).size();  // folded or block: to the end of its first line
  }

  void drop_duplicates(YamlNode& map) {
    std::unordered_map<std::string, const YamlNode*> first;
    std::vector<YamlNode> kept;
    bool duplicate = false;
    for (std::size_t i = 0; i < map.items.size(); i += 2) {
      const auto [at, is_new] = first.emplace(map.items[i].text, &map.items[i]);
      if (is_new) continue;
      duplicate = true;
      report_.error(
          map.items[i],
          fmt::format("`{}` stands twice; first on line {}", map.items[i].text, text_.line_at(at->second->begin)),
          "remove one of them");
    }
    if (!duplicate) return;
    first.clear();
    for (std::size_t i = 0; i < map.items.size(); i += 2) {
      if (!first.emplace(map.items[i].text, nullptr).second) continue;
      kept.push_back(std::move(map.items[i]));
      kept.push_back(std::move(map.items[i + 1]));
    }
    map.items = std::move(kept);
  }

  std::uint32_t file_;
  Report& report_;
  const TextFile& text_;
  YamlNode root_;
  std::vector<YamlNode*> open_;  // stable: a node's children are only added while it is the innermost
  std::size_t values_ = 0;
  int documents_ = 0;
};

// A quote that runs to the end of the file swallows everything: where it opens.
std::optional<std::size_t> open_quote(const TextFile& file) {
  const std::string& text = file.text;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const char c = text[i];
    const char before = i > 0 ? text[i - 1] : ' ';
    const bool opens = before == ' ' || before == '\n' || before == '[' || before == '{' || before == ',';
    if ((c != '"' && c != '\'') || !opens) continue;
    std::size_t end = i + 1;
    while (end < text.size() && text[end] != c) end += text[end] == '\\' && c == '"' ? 2U : 1U;
    if (end >= text.size()) return i;
    i = end;
  }
  return {};
}

struct Explained {
  std::size_t at = 0;
  std::string text, hint;
};

// The library's words for what people do most, in ours, and its place made the one to look at.
Explained explain(const std::string& message, std::size_t at, const TextFile& file) {
  const std::uint32_t line = file.line_at(at);
  const std::size_t line_start = file.line_starts[line - 1];
  const std::string_view before = std::string_view(file.text).substr(line_start, at - line_start);
  const std::size_t indentation = std::min(before.find_first_not_of(" \t"), before.size());
  if (const std::size_t tab = before.substr(0, indentation).find('\t'); tab != std::string_view::npos) {
    return {line_start + tab, "a tab in the indentation", "indent with spaces"};
  }
  if (message == "illegal EOF in scalar") {
    return {open_quote(file).value_or(at), "this quote has no end", "close it with the same sign"};
  }
  if (message.starts_with("end of map flow") || message.starts_with("end of sequence flow")) {
    return {open_bracket(file.text).value_or(at), "this bracket has no end",
            "close it; a text that starts with a bracket stands in quotes"};
  }
  if (message.find("referenced anchor") != std::string::npos) return {at, "an alias", "write the value out here"};
  if (message == "illegal map value") return {at, "a `:` that YAML takes for a key", "put the text in quotes"};
  if (message.starts_with("end of map not found")) {
    const std::size_t last = before.find_last_not_of(" \t");
    if (last != std::string_view::npos && (before[last] == '}' || before[last] == ']')) {
      return {at, "YAML takes the bracket at the start of this text for a map or a list", "put the text in quotes"};
    }
    return {at, "this does not fit the map that it stands in", "look at the indentation, and put texts in quotes"};
  }
  return {at, fmt::format("not YAML: {}", message),
          "a text that holds `: ` or ` #`, or starts with a sign, stands in quotes"};
}

// `%YAML 1.1` before the document: there `yes` is a boolean and `010` is eight.
std::optional<std::size_t> directive_of_another_version(const TextFile& file) {
  std::size_t at = 0;
  while (at < file.text.size()) {
    const std::size_t end = std::min(file.text.find('\n', at), file.text.size());
    const std::string_view line = std::string_view(file.text).substr(at, end - at);
    const bool goes_before = line.empty() || line.front() == '%' || line.front() == '#' || line == "\r";
    if (!goes_before) return {};
    constexpr std::string_view name = "%YAML";
    if (line.starts_with(name)) {
      const std::string_view version = line.substr(std::min(line.find_first_not_of(" \t", name.size()), line.size()));
      const bool is_read = version.starts_with("1.2") && (version.size() == 3 || version.find_first_of(" \t\r") == 3);
      if (!is_read) return at;
    }
    at = end + 1;
  }
  return {};
}

std::string in_words(BracketFault::Why why) {
  switch (why) {
    case BracketFault::Why::too_deep:
      return fmt::format("brackets deeper than {} levels", limits::yaml_depth);
    case BracketFault::Why::too_much_in_one_pair:
      return fmt::format("more than {} values in one pair of brackets", max_bracket_size);
    case BracketFault::Why::too_many_in_the_file:
      break;
  }
  return fmt::format("more than {} brackets in one file", max_brackets);
}

}  // namespace

const YamlNode* find_key(const YamlNode& map, std::string_view key) {
  const YamlNode* found = nullptr;
  for_each_pair(map, [&](const YamlNode& k, const YamlNode&) {
    if (k.text == key) found = &k;
  });
  return found;
}

const YamlNode* find(const YamlNode& map, std::string_view key) {
  const YamlNode* found = nullptr;
  for_each_pair(map, [&](const YamlNode& k, const YamlNode& value) {
    if (k.text == key) found = &value;
  });
  return found;
}

std::optional<YamlNode> read_yaml(std::uint32_t index, Report& report) {
  const TextFile& file = report.file(index);
  if (Faults faults = check_text(file); !faults.empty()) {
    for (Fault& fault : faults) report.add(index, std::move(fault));
    return {};
  }
  if (const auto at = directive_of_another_version(file)) {
    report.error_at(index, *at, *at + 5, "YAML 1.2 is read, no other", "remove this line");
    return {};
  }
  if (const auto fault = check_brackets(file.text)) {
    report.error_at(index, fault->at, fault->at + 1, in_words(fault->why));
    return {};
  }
  TreeBuilder builder(index, report);
  try {
    std::istringstream stream(file.text);
    YAML::Parser parser(stream);
    while (parser.HandleNextDocument(builder)) {
    }
  } catch (const Refused&) {
    return {};
  } catch (const YAML::Exception& e) {
    const std::size_t marked = e.mark.line < 0 ? 0
                                               : file.offset(static_cast<std::size_t>(e.mark.line),
                                                             static_cast<std::size_t>(std::max(0, e.mark.column)));
    Explained explained = explain(e.msg, marked, file);
    report.error_at(index, explained.at, explained.at + 1, std::move(explained.text), std::move(explained.hint));
    return {};
  }
  return builder.take_root();
}

}  // namespace overwinter
