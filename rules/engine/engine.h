// The engine: step(input) -> events. Total, deterministic, no I/O; given the same plan and inputs it answers the same,
// byte for byte, live, in replay and in every test.
#pragma once

#include <cstdint>
#include <memory>
#include <string>
#include <string_view>

#include "rules/engine/board.h"
#include "rules/engine/event.h"
#include "rules/engine/input.h"
#include "rules/engine/plan.h"
#include "rules/result.h"

namespace overwinter {

struct World;

class Engine {
 public:
  // A new engine at the instant of its first input.
  Engine(std::shared_ptr<const Plan> plan, Instant start);
  ~Engine();
  Engine(Engine&&) noexcept;
  Engine& operator=(Engine&&) noexcept;

  // First everything that falls due up to input.at, each at its own instant, then the input. The answer is valid until
  // the next call. An input earlier than the last one is taken at the last one's time.
  const Output& step(const Input& input);

  // When something happens by itself if nothing comes; never: nothing.
  Instant next_deadline() const;
  Instant now() const;

  // The whole state. restore() with the same plan goes on as if nothing had happened; with another plan it is a
  // reload: state is kept by (rule, gear) and (gear, quantity), `was` carries it over a new name, and the next step
  // tells what ended. Faults: not a snapshot, damaged, of another version.
  std::string snapshot() const;
  static Result<Engine> restore(std::shared_ptr<const Plan> plan, std::string_view bytes);

  // Views for explain, status and the retained topics.
  const World& world() const { return *world_; }

 private:
  explicit Engine(std::unique_ptr<World> world);
  std::unique_ptr<World> world_;
};

}  // namespace overwinter
