#include "daemon/retention.h"

#include <algorithm>
#include <map>
#include <memory>
#include <utility>

#include "daemon/intake.h"
#include "rules/limits.h"

namespace overwinter {
namespace {

constexpr std::size_t messages_at_once = 5000;

}  // namespace

std::vector<HourlyValue> hourly_values(const Plan& plan, const std::vector<JournaledInput>& messages) {
  // The plan outlives this function; nothing here owns it.
  Intake intake(std::shared_ptr<const Plan>(std::shared_ptr<const Plan>(), &plan));
  std::map<std::pair<std::uint32_t, Instant>, HourlyValue> hours;
  for (const JournaledInput& message : messages) {
    const Input* input = intake.decode(message.at, message.topic, message.payload, message.retained);
    if (input == nullptr) continue;
    const auto* readings = std::get_if<SensorMessage>(&input->what);
    if (readings == nullptr) continue;
    for (const SensorValue& v : readings->values) {
      const std::uint32_t slot = plan.sensors[v.sensor].slot;
      if (v.rejected_because != nullptr || !plan.slots[slot].type.is_numeric()) continue;
      if (v.at > message.at + limits::ahead || v.at < message.at - limits::back_dated_reading) continue;  // not taken
      const Instant hour = std::chrono::floor<std::chrono::hours>(v.at);
      HourlyValue& h = hours[{slot, hour}];
      if (h.count == 0) {
        h.series = plan.entities[plan.slots[slot].entity].id + "/" + std::string(plan.slot_name(slot));
        h.hour = hour;
        h.minimum = h.maximum = v.value;
      }
      h.minimum = std::min(h.minimum, v.value);
      h.maximum = std::max(h.maximum, v.value);
      ++h.count;
      h.mean += (v.value - h.mean) / static_cast<double>(h.count);
    }
  }
  std::vector<HourlyValue> values;
  values.reserve(hours.size());
  for (auto& [key, value] : hours) values.push_back(std::move(value));
  return values;
}

Result<bool> thin_by_age(Journal& journal, const Plan& plan, Instant now) {
  const auto old = journal.messages_before(now - plan.keep_raw.value_or(keep_raw_otherwise), messages_at_once);
  if (!old) return tl::unexpected<Fault>(old.error());
  if (old->empty()) return false;
  const auto done = journal.replace_by_hourly(*old, hourly_values(plan, *old));
  if (!done) return tl::unexpected<Fault>(done.error());
  return old->size() == messages_at_once;
}

Result<std::optional<Instant>> thin_by_size(Journal& journal, const Plan& plan, std::uint64_t most_bytes) {
  if (journal.bytes_used() <= most_bytes) return std::optional<Instant>();
  // What was refused says nothing about the camper: it leaves before any reading does.
  const auto looked_at = journal.forget_refused(messages_at_once);
  if (!looked_at) return tl::unexpected<Fault>(looked_at.error());
  if (*looked_at == messages_at_once || journal.bytes_used() <= most_bytes) return std::optional<Instant>();
  const auto oldest = journal.oldest_readings(plan.topic_root + "/do/", messages_at_once);
  if (!oldest) return tl::unexpected<Fault>(oldest.error());
  if (oldest->empty()) return std::optional<Instant>();
  const auto done = journal.replace_by_hourly(*oldest, hourly_values(plan, *oldest));
  if (!done) return tl::unexpected<Fault>(done.error());
  return oldest->back().at;
}

Result<void> forget_old(Journal& journal, const Plan& plan, Instant now) {
  return journal.forget_before(now - plan.keep_hourly.value_or(keep_hourly_otherwise));
}

}  // namespace overwinter
