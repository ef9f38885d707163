// Any bytes as a site file: read or refused with a place, never more. Text after a line `#=== NAME` is a further file.
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <string>

#include "config/site_file.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  overwinter::FilesInMemory source;
  std::string text;
  for (std::size_t i = 0; i < size; ++i) text += static_cast<char>(data[i]);
  const std::string mark = "#=== ";
  std::string name = "site.yaml";
  std::size_t begin = 0;
  while (true) {
    const std::size_t next = text.find(mark, begin);
    source.files[name] = text.substr(begin, next - begin);
    const std::size_t end = text.find('\n', next);
    if (next == std::string::npos || end == std::string::npos) break;
    name = text.substr(next + mark.size(), end - next - mark.size());
    begin = end + 1;
  }
  const overwinter::LoadedSite site = overwinter::load_site("site.yaml", source);
  bool error = false;
  for (const overwinter::Fault& fault : site.faults) {
    if (fault.where.line == 0 || fault.where.column == 0 || fault.text.empty()) std::abort();
    error = error || fault.severity == overwinter::Severity::error;
  }
  if (site.sound() == error) std::abort();
  if (render_faults(site).empty() != site.faults.empty()) std::abort();
  return 0;
}
