// Collects what is wrong with a site, with the lines to show it. Reading goes on after a fault, so that all problems
// are reported together.
#pragma once

#include <cstdint>
#include <deque>
#include <set>
#include <string>
#include <tuple>
#include <vector>

#include "config/text_file.h"
#include "rules/result.h"

namespace overwinter {

struct YamlNode;

inline constexpr std::size_t max_faults = 500;  // a broken machine-made file repeats itself

class Report {
 public:
  // Files keep the order in which they were added; faults are sorted by it.
  std::uint32_t add_file(std::string name, std::string text);
  const TextFile& file(std::uint32_t index) const { return files_[index]; }
  // Of the texts of all files, in their order.
  std::uint64_t fingerprint() const;

  void error(const YamlNode& at, std::string text, std::string hint = {});
  void warning(const YamlNode& at, std::string text, std::string hint = {});
  void error_at(std::uint32_t file, std::size_t begin, std::size_t end, std::string text, std::string hint = {});
  void add(std::uint32_t file, Fault fault);

  // A fault inside the text of a scalar, its column counted in that text. Where the text was folded or stands in a
  // block the whole scalar is pointed at and the part is quoted.
  void error_inside(const YamlNode& scalar, const Fault& inside);

  bool has_errors() const { return errors_ > 0; }
  // By file, line and column; errors and warnings together. lines: the line that each points at.
  Faults sorted(std::vector<std::string>& lines) const;

 private:
  struct Entry {
    std::uint32_t file = 0;
    Fault fault;
  };
  std::deque<TextFile> files_;
  std::vector<Entry> entries_;
  std::set<std::tuple<std::uint32_t, std::uint32_t, std::uint32_t, std::string>> seen_;
  std::size_t errors_ = 0;
};

}  // namespace overwinter
