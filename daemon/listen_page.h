// What `listen` prints: the topics as comments, then bindings that stand in a site file as they are. Pure.
#pragma once

#include <string>
#include <utility>
#include <vector>

#include "daemon/binding_guess.h"
#include "daemon/heard_topics.h"
#include "rules/engine/plan.h"

namespace overwinter {

// A place or a piece of gear that the bindings of one topic make.
struct GuessedEntity {
  std::string id;    // free in this site and none of the words that an id may not be
  std::string kind;  // "place", or a kind of gear
  std::string topic;
  struct Line {
    const HeardMember* member = nullptr;
    GuessedBinding guess;
  };
  std::vector<Line> lines;                                // one a quantity
  const HeardMember *battery = nullptr, *link = nullptr;  // of the sensor itself
  GuessedBinding battery_guess, link_guess;
};

// What is bound already is left out, and so are our own topics. `heard` must outlive the answer.
std::vector<GuessedEntity> guess_entities(const HeardTopics& heard, const Plan& plan);
// What it gives points into what was heard.
std::vector<GuessedEntity> guess_entities(HeardTopics&& heard, const Plan& plan) = delete;

// YAML that a site file can include as it is.
std::string listen_page(const HeardTopics& heard, const Plan& plan, Span listened);
// The same as one JSON object.
std::string listen_json(const HeardTopics& heard, const Plan& plan, Span listened);

}  // namespace overwinter
