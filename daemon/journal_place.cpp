#include "daemon/journal_place.h"

namespace overwinter {

std::string journal_place(const std::string& given, const Plan& plan, const std::string& state_directory) {
  if (!given.empty()) return given;
  if (!plan.journal_file.empty()) return plan.journal_file;
  // The service manager lists several folders with colons; the first is ours.
  const std::string folder =
      state_directory.empty() ? "/var/lib/overwinter" : state_directory.substr(0, state_directory.find(':'));
  return folder + "/" + plan.site_id + ".sqlite";
}

}  // namespace overwinter
