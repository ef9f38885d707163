#include "config/report.h"

#include <fmt/format.h>

#include <algorithm>
#include <optional>
#include <tuple>
#include <utility>

#include "config/yaml_tree.h"
#include "rules/fingerprint.h"
#include "rules/language/source.h"

namespace overwinter {
namespace {

// Faults are shown with their line, also in a service's log; what somebody wrote as a password is not.
std::string without_password(std::string_view line) {
  constexpr std::string_view key = "password:";
  const std::size_t at = line.find(key);
  return at == std::string_view::npos ? std::string(line) : std::string(line.substr(0, at + key.size())) + " ...";
}

// How many bytes of the file make the code point of the text that is written there.
std::size_t written_length(std::string_view rest, char quote) {
  if (quote == '\'' && rest.starts_with("''")) return 2;
  if (quote == '"' && rest.starts_with('\\')) {  // YAML 1.2.2, 5.7: an escape is one code point
    const char kind = rest.size() > 1 ? rest[1] : ' ';
    return kind == 'x' ? 4 : kind == 'u' ? 6 : kind == 'U' ? 10 : 2;
  }
  std::size_t length = 1;
  while (length < rest.size() && (static_cast<unsigned char>(rest[length]) & 0xC0U) == 0x80U) ++length;
  return length;
}

// Where in the file the scalar's text is written behind its first `count` code points; nothing when it was folded, or
// stands in a block.
std::optional<std::size_t> written_after(const YamlNode& scalar, std::string_view text, std::uint32_t count) {
  const std::string_view written = text.substr(scalar.begin, scalar.end - scalar.begin);
  const char first = written.empty() ? ' ' : written.front();
  if (scalar.quoted && first != '"' && first != '\'') return {};
  if (written.find('\n') != std::string_view::npos || (!scalar.quoted && written != scalar.text)) return {};
  const std::size_t end = written.size() - (scalar.quoted ? 1 : 0);
  std::size_t at = scalar.quoted ? 1 : 0;
  for (; count > 0 && at < end; --count) at += written_length(written.substr(at), scalar.quoted ? first : ' ');
  return scalar.begin + std::min(at, end);
}

// The part of a text that a place with columns in code points names.
std::string part_of(std::string_view text, const Place& place) {
  std::uint32_t column = 0;
  std::string part;
  for (const char c : text) {
    if ((static_cast<unsigned char>(c) & 0xC0U) != 0x80U) ++column;
    if (column >= place.column && column < place.column + place.length) part += c;
  }
  return part;
}

}  // namespace

std::uint32_t Report::add_file(std::string name, std::string text) {
  files_.emplace_back(std::move(name), std::move(text));
  return static_cast<std::uint32_t>(files_.size() - 1);
}

void Report::add(std::uint32_t file, Fault fault) {
  fault.where.file = files_[file].name;
  if (fault.severity == Severity::error) ++errors_;
  if (entries_.size() >= max_faults) return;
  // One rule is compiled for many pieces of gear: what is wrong with it is told once.
  if (!seen_.emplace(file, fault.where.line, fault.where.column, fault.text).second) return;
  entries_.push_back({file, std::move(fault)});
}

void Report::error_at(std::uint32_t file, std::size_t begin, std::size_t end, std::string text, std::string hint) {
  add(file, {files_[file].place(begin, end), std::move(text), std::move(hint), Severity::error});
}

std::uint64_t Report::fingerprint() const {
  Fingerprint all;
  for (const TextFile& file : files_) all.add(file.text);
  return all.value();
}

void Report::error(const YamlNode& at, std::string text, std::string hint) {
  error_at(at.file, at.begin, at.end, std::move(text), std::move(hint));
}

void Report::warning(const YamlNode& at, std::string text, std::string hint) {
  add(at.file, {files_[at.file].place(at.begin, at.end), std::move(text), std::move(hint), Severity::warning});
}

void Report::error_inside(const YamlNode& scalar, const Fault& inside) {
  const TextFile& file = files_[scalar.file];
  Fault fault = inside;
  fault.where = file.place(scalar.begin, scalar.end);
  const std::uint32_t before = std::max(inside.where.column, 1U) - 1;
  const auto begin = written_after(scalar, file.text, before);
  const auto end = written_after(scalar, file.text, before + inside.where.length);
  if (begin && end && inside.where.line == 1) {
    fault.where = file.place(*begin, std::max(*begin + 1, *end));
  } else if (inside.where.line >= 1) {
    if (const std::string part = part_of(scalar.text, inside.where); !part.empty()) {
      fault.text += fmt::format(", at {}", quote(part));
    }
  }
  add(scalar.file, std::move(fault));
}

Faults Report::sorted(std::vector<std::string>& lines) const {
  std::vector<const Entry*> order;
  for (const Entry& entry : entries_) order.push_back(&entry);
  std::ranges::stable_sort(order, [](const Entry* a, const Entry* b) {
    return std::tuple(a->file, a->fault.where.line, a->fault.where.column) <
           std::tuple(b->file, b->fault.where.line, b->fault.where.column);
  });
  Faults faults;
  for (const Entry* entry : order) {
    faults.push_back(entry->fault);
    lines.push_back(without_password(files_[entry->file].line(entry->fault.where.line)));
  }
  return faults;
}

}  // namespace overwinter
