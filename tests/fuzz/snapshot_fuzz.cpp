// Any bytes as a snapshot: refused, or an engine that goes on.
#include <cstddef>
#include <cstdint>
#include <memory>
#include <string_view>

#include "config/site_file.h"
#include "rules/engine/engine.h"

namespace {

std::shared_ptr<const overwinter::Plan> small_plan() {
  overwinter::FilesInMemory files;
  files.files["site.yaml"] =
      "site: {id: x, local_time: UTC}\nplaces:\n  cabin:\n    temperature: {topic: b, unit: degC}\n";
  overwinter::LoadedSite site = overwinter::load_site("site.yaml", files);
  if (!site.plan) __builtin_trap();
  return std::make_shared<const overwinter::Plan>(*std::move(site.plan));
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace overwinter;
  static const std::shared_ptr<const Plan> plan = small_plan();
  auto engine = Engine::restore(plan, std::string_view(reinterpret_cast<const char*>(data), size));
  if (engine) engine->step({engine->now(), Tick{}});
  return 0;
}
