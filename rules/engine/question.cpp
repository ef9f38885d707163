#include "rules/engine/question.h"

#include <algorithm>
#include <utility>

#include "rules/quantity/print.h"

namespace overwinter {
namespace {

constexpr std::size_t most_questions = 20;  // of a week

// The time of work is told from memory: it may lie a little before the last reading that was low.
constexpr Span told_within = one_day;

Instant date_of_work(const World& world, std::uint32_t entity, std::uint8_t dated) {
  const SlotState& when = world.board[world.entity(entity).parameter_slot(dated)];
  return when.has_value ? instant_from_seconds(when.value) : Instant{};
}

void keep(World& world, std::uint32_t entity, Question question) {
  std::size_t asked = 0;
  for (const EntityState& e : world.entities) asked += e.questions.size();
  if (asked < most_questions) world.entities[entity].questions.push_back(std::move(question));
}

bool is_answered(const World& world, std::uint32_t entity, const Question& question) {
  const auto dated = world.entity(entity).kind->parameter(question.dated);
  return dated && date_of_work(world, entity, *dated) > question.newer_than;
}

}  // namespace

void add_question(World& world, std::uint32_t entity, std::string text) {
  keep(world, entity, {std::move(text), {}, {}});
}

// Work that was known before it rose does not explain it.
void add_question_of_rise(World& world, std::uint32_t entity, std::string text, Instant since, std::uint8_t dated) {
  keep(world, entity,
       {std::move(text), std::string(world.entity(entity).kind->parameters[dated].name),
        std::max(since - told_within, date_of_work(world, entity, dated))});
}

std::vector<std::string> open_questions(const World& world) {
  std::vector<std::string> open;
  for (std::uint32_t e = 0; e < world.entities.size(); ++e) {
    for (const Question& question : world.entities[e].questions) {
      if (is_answered(world, e, question)) continue;
      const std::string end = question.text.ends_with('.') ? "" : ".";
      open.push_back(as_sentence(world.entity(e).name + ": " + question.text + end));
    }
  }
  return open;
}

void forget_questions(World& world) {
  for (EntityState& e : world.entities) e.questions.clear();
}

}  // namespace overwinter
