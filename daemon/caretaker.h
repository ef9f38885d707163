// The engine with what it tells: one input in, events, answers and notices out. Pure: the service, recovery after a
// kill and the tests run the same one, and the same inputs give the same bytes.
#pragma once

#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "daemon/intake.h"
#include "daemon/journaled_input.h"
#include "daemon/notices.h"
#include "rules/engine/engine.h"

namespace overwinter {

struct Told {
  std::vector<Event> events;
  std::vector<Answer> answers;
  std::vector<Notice> notices;
  bool applied = false;  // false: nothing binds the topic; the input need not be kept

  bool nothing() const { return events.empty() && answers.empty() && notices.empty(); }
};

class Caretaker {
 public:
  Caretaker(const std::shared_ptr<const Plan>& plan, Instant start);
  // With the plan of the snapshot it goes on as it was; with another one it is a reload, told with the next step.
  static Result<Caretaker> restore(std::shared_ptr<const Plan> plan, std::string_view bytes);

  Told step(const JournaledInput& input);
  // Beginnings and ends of alarms that people must hear of because the state was made anew, with their notices. It is
  // no input: what it changes is kept by a snapshot alone.
  Told tell(std::vector<Event> alarms);
  std::string snapshot() const;
  // When something happens by itself; never: nothing.
  Instant next_deadline() const;

  const Plan& plan() const { return *plan_; }
  const World& world() const { return engine_.world(); }
  const Intake& intake() const { return intake_; }

 private:
  Caretaker(std::shared_ptr<const Plan> plan, Engine engine, Notices notices);

  std::shared_ptr<const Plan> plan_;
  Intake intake_;
  Engine engine_;
  Notices notices_;
};

}  // namespace overwinter
