#include "tests/winter/replay_in_memory.h"

#include <sstream>
#include <stdexcept>
#include <utility>

#include "daemon/event_json.h"
#include "daemon/intake.h"
#include "daemon/json_lines.h"
#include "rules/engine/engine.h"

namespace overwinter {

std::vector<Input> inputs_of(const std::shared_ptr<const Plan>& plan, std::string_view capture) {
  std::istringstream in{std::string(capture)};
  JsonLines lines(in);
  Intake intake(plan);
  std::vector<Input> inputs;
  CapturedMessage message;
  for (auto read = lines.next(message); read != JsonLines::Read::end; read = lines.next(message)) {
    if (read == JsonLines::Read::broken) throw std::runtime_error("a broken line: " + lines.why());
    const Input* input = intake.decode(message.at, message.topic, message.payload, message.retained);
    inputs.push_back(input != nullptr ? *input : Input{message.at, SensorMessage{}});
  }
  if (!inputs.empty()) inputs.push_back({inputs.back().at, Tick{}});  // the last instant is over too
  return inputs;
}

Replayed replay_in_memory(const std::shared_ptr<const Plan>& plan, const std::vector<Input>& inputs,
                          const std::vector<std::size_t>& cuts) {
  Replayed replayed;
  if (inputs.empty()) return replayed;
  Engine engine(plan, inputs.front().at);
  auto cut = cuts.begin();
  for (std::size_t i = 0; i < inputs.size(); ++i) {
    for (; cut != cuts.end() && *cut == i; ++cut) {
      auto restored = Engine::restore(plan, engine.snapshot());
      if (!restored) throw std::runtime_error("the snapshot is refused: " + restored.error().text);
      engine = std::move(*restored);
    }
    const Output& output = engine.step(inputs[i]);
    for (const Answer& answer : output.answers) replayed.refused += answer.accepted ? 0U : 1U;
    for (const Event& event : output.events) {
      append_event(replayed.lines, event);
      replayed.lines += '\n';
      replayed.events.push_back(event);
    }
  }
  replayed.snapshot = engine.snapshot();
  return replayed;
}

}  // namespace overwinter
