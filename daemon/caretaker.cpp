#include "daemon/caretaker.h"

#include <algorithm>
#include <utility>

#include "rules/archive.h"
#include "rules/engine/world.h"

namespace overwinter {
namespace {

constexpr std::string_view magic = "overwinter caretaker 2";

}  // namespace

Caretaker::Caretaker(const std::shared_ptr<const Plan>& plan, Instant start)
    : Caretaker(plan, Engine(plan, start), Notices(plan)) {}

Caretaker::Caretaker(std::shared_ptr<const Plan> plan, Engine engine, Notices notices)
    : plan_(std::move(plan)), intake_(plan_), engine_(std::move(engine)), notices_(std::move(notices)) {}

Told Caretaker::step(const JournaledInput& input) {
  Told told;
  Input told_by_service{input.at, Tick{}};
  const Input* step = &told_by_service;
  switch (input.kind) {
    case JournaledInput::Kind::message:
      step = intake_.decode(input.at, input.topic, input.payload, input.retained);
      if (step == nullptr) return told;
      break;
    case JournaledInput::Kind::tick:
      break;
    case JournaledInput::Kind::link_up:
      told_by_service.what = LinkChanged{true};
      break;
    case JournaledInput::Kind::link_down:
      told_by_service.what = LinkChanged{false};
      break;
    case JournaledInput::Kind::journal_writable:
      told_by_service.what = JournalChanged{true, {}};
      break;
    case JournaledInput::Kind::journal_unwritable:
      told_by_service.what = JournalChanged{false, input.payload};
      break;
  }
  const Output& output = engine_.step(*step);
  told.applied = true;
  told.events = output.events;
  told.answers = output.answers;
  told.notices = notices_.step(engine_.world(), output.events);
  return told;
}

Told Caretaker::tell(std::vector<Event> alarms) {
  Told told;
  if (alarms.empty()) return told;
  told.notices = notices_.step_anew(engine_.world(), alarms);
  told.events = std::move(alarms);
  return told;
}

std::string Caretaker::snapshot() const {
  ArchiveWriter out;
  out(std::string(magic), engine_.snapshot(), notices_);
  return out.take();
}

Result<Caretaker> Caretaker::restore(std::shared_ptr<const Plan> plan, std::string_view bytes) {
  ArchiveReader in(bytes);
  std::string found, engine_bytes;
  Notices notices(plan);
  in(found);
  if (in.ok() && found == magic) in(engine_bytes, notices);
  if (!in.finished() || found != magic) {
    return fault("the snapshot is damaged or of another version", "start without it; the site file alone is enough");
  }
  Result<Engine> engine = Engine::restore(plan, engine_bytes);
  if (!engine) return tl::unexpected<Fault>(engine.error());
  if (engine->world().reloaded) notices.take_up_reload();
  return Caretaker(std::move(plan), *std::move(engine), std::move(notices));
}

Instant Caretaker::next_deadline() const { return std::min(engine_.next_deadline(), notices_.next_deadline()); }

}  // namespace overwinter
