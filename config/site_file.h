// A site file, with all that it names, to a checked plan. The only place that reads files.
#pragma once

#include <filesystem>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "rules/engine/plan.h"
#include "rules/result.h"

namespace overwinter {

// Where texts come from: the disk, or a table in tests.
class FileSource {
 public:
  virtual ~FileSource() = default;
  // The hint of a file that is not there.
  static constexpr std::string_view where_missing = "paths are relative to the file that names them";
  // At most a byte more than a file may have. A fault says why it cannot be read.
  virtual Result<std::string> read(const std::string& path) const = 0;
};

class DiskFiles final : public FileSource {
 public:
  Result<std::string> read(const std::string& path) const override;
};

class FilesInMemory final : public FileSource {
 public:
  std::map<std::string, std::string> files;  // by path
  Result<std::string> read(const std::string& path) const override;
};

struct LoadedSite {
  std::optional<Plan> plan;        // only when there is no error
  Faults faults;                   // errors and warnings, by order of the files, line and column
  std::vector<std::string> lines;  // the line that each fault points at
  std::vector<std::string> files;  // all that were read, the site file first; not the rules that ship

  bool sound() const { return plan.has_value(); }
};

LoadedSite load_site(const std::filesystem::path& path);
LoadedSite load_site(const std::string& path, const FileSource& source);

// For programs that go to the broker: a site that names none is not valid for them, told at 1:1 and alone.
void require_broker(LoadedSite& site);

// Each fault as `file:line:column: error: text`, its line, a caret, a hint; a blank line between two, a newline at the
// end. A line with nothing in it is not shown. Empty when there is none.
std::string render_faults(const LoadedSite& site);

}  // namespace overwinter
