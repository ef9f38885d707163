#include "daemon/site_choice.h"

#include <cstdlib>
#include <filesystem>
#include <ostream>
#include <utility>

#include "config/site_file.h"

namespace overwinter {

std::string chosen_site(const std::string& given) {
  if (!given.empty()) return given;
  const char* from_environment = std::getenv("OVERWINTER_SITE");  // NOLINT(concurrency-mt-unsafe): one thread
  if (from_environment != nullptr && *from_environment != '\0') return from_environment;
  return "/etc/overwinter/site.yaml";
}

namespace {

std::shared_ptr<const Plan> plan_or_faults(LoadedSite site, const Console& console) {
  if (site.plan) return std::make_shared<const Plan>(*std::move(site.plan));
  console.err << render_faults(site);
  return nullptr;
}

}  // namespace

std::shared_ptr<const Plan> load_sound_site(const std::string& path, const Console& console) {
  return plan_or_faults(load_site(std::filesystem::path(path)), console);
}

std::shared_ptr<const Plan> load_site_with_broker(const std::string& path, const Console& console) {
  LoadedSite site = load_site(std::filesystem::path(path));
  require_broker(site);
  return plan_or_faults(std::move(site), console);
}

}  // namespace overwinter
