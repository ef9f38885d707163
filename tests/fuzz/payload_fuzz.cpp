// Any payload on any topic: intake and one step of the engine must answer. First line of the input: the topic.
#include <cstddef>
#include <cstdint>
#include <memory>
#include <string_view>

#include "config/site_file.h"
#include "daemon/intake.h"
#include "rules/engine/engine.h"

namespace {

std::shared_ptr<const overwinter::Plan> small_plan() {
  overwinter::FilesInMemory files;
  files.files["site.yaml"] =
      "site: {id: x, local_time: UTC}\n"
      "places:\n"
      "  outdoors:\n"
      "    temperature: {topic: a, pointer: /t, unit: degC, time_pointer: /at, time_unit: s}\n"
      "  cabin:\n"
      "    temperature: {topic: b, unit: degF}\n";
  overwinter::LoadedSite site = overwinter::load_site("site.yaml", files);
  if (!site.plan) __builtin_trap();
  return std::make_shared<const overwinter::Plan>(*std::move(site.plan));
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace overwinter;
  static const std::shared_ptr<const Plan> plan = small_plan();
  static Intake intake(plan);
  const std::string_view text(reinterpret_cast<const char*>(data), size);
  const std::string_view topic = text.substr(0, text.find('\n'));
  const std::string_view payload = topic.size() < text.size() ? text.substr(topic.size() + 1) : std::string_view();
  const Instant start = *parse_rfc3339("2026-12-01T08:00:00Z");
  Engine engine(plan, start);
  if (const auto input = intake.decode(start, topic, payload, false)) engine.step(*input);
  return 0;
}
