// Lines that anybody may cause, as many as he likes: of each sort a few a minute are logged, the rest is counted and
// said in one line. Pure.
#pragma once

#include <cstdint>
#include <map>
#include <string>
#include <vector>

#include "rules/quantity/time.h"

namespace overwinter {

class LogLimit {
 public:
  static constexpr std::uint64_t lines_a_minute = 10;

  // Is this one logged? `sort`, in the plural: "refused commands". `steady_now` never goes back.
  bool admits(const std::string& sort, Span steady_now);

  // "and 2987 more refused commands in the last minute", of each sort whose minute is over. To be asked before
  // admits(), and again now and then: a flood may end without a word.
  std::vector<std::string> left_out(Span steady_now);

 private:
  struct Minute {
    Span begins{};
    std::uint64_t lines = 0;
  };
  std::map<std::string, Minute> minutes_;  // of sorts that had a line in the last minute
};

}  // namespace overwinter
