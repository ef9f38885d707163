#include "daemon/log_limit.h"

#include <fmt/format.h>

namespace overwinter {

bool LogLimit::admits(const std::string& sort, Span steady_now) {
  Minute& minute = minutes_.try_emplace(sort, Minute{steady_now, 0}).first->second;
  return ++minute.lines <= lines_a_minute;
}

std::vector<std::string> LogLimit::left_out(Span steady_now) {
  std::vector<std::string> out;
  std::erase_if(minutes_, [&](const auto& entry) {
    const auto& [sort, minute] = entry;
    if (steady_now - minute.begins < one_minute) return false;
    if (minute.lines > lines_a_minute) {
      out.push_back(fmt::format("and {} more {} in the last minute", minute.lines - lines_a_minute, sort));
    }
    return true;
  });
  return out;
}

}  // namespace overwinter
