// The service's log, to standard error. Under the service manager each line carries its level as <N> (sd-daemon(3)),
// and no time: the manager adds it. No payload and no password ever reaches it, and no control character but the line
// breaks of the service's own texts.
#pragma once

#include <map>
#include <string>
#include <string_view>

#include "daemon/log_limit.h"
#include "rules/quantity/time.h"

namespace overwinter {

enum class LogLevel : std::uint8_t { debug, info, warning, error };

class ServiceLog {
 public:
  explicit ServiceLog(LogLevel least);

  void debug(std::string_view text);
  void info(std::string_view text);
  void warning(std::string_view text);
  void error(std::string_view text);
  // At most once in ten minutes for each `kind`; how many were left out stands in the next.
  void seldom(LogLevel level, const std::string& kind, std::string_view text, Span steady_now);
  // A few a minute of each sort (plural: "refused commands"); how many were left out is said by tell_left_out.
  void limited(LogLevel level, const std::string& sort, std::string_view text, Span steady_now);
  void tell_left_out(Span steady_now);  // to be called now and then; Span::max(): at the end

 private:
  struct Told {
    Span at{};
    std::uint64_t left_out = 0;
  };
  std::map<std::string, Told> told_;
  LogLimit limit_;
};

}  // namespace overwinter
