#include "daemon/service_log.h"

#include <fmt/format.h>
#include <spdlog/pattern_formatter.h>
#include <spdlog/sinks/stdout_sinks.h>
#include <spdlog/spdlog.h>

#include <cstdlib>
#include <memory>

#include "daemon/printable.h"

namespace overwinter {
namespace {

constexpr Span seldom_interval = 10 * one_minute;

spdlog::level::level_enum level_of(LogLevel level) {
  switch (level) {
    case LogLevel::debug:
      return spdlog::level::debug;
    case LogLevel::info:
      return spdlog::level::info;
    case LogLevel::warning:
      return spdlog::level::warn;
    case LogLevel::error:
      break;
  }
  return spdlog::level::err;
}

// spdlog has no flag for the priorities of syslog(3), which sd-daemon(3) reads.
class PriorityFlag final : public spdlog::custom_flag_formatter {
 public:
  void format(const spdlog::details::log_msg& message, const std::tm&, spdlog::memory_buf_t& out) override {
    char priority = '6';
    if (message.level == spdlog::level::debug) priority = '7';
    if (message.level == spdlog::level::warn) priority = '4';
    if (message.level == spdlog::level::err) priority = '3';
    for (const char c : {'<', priority, '>'}) out.push_back(c);
  }
  std::unique_ptr<custom_flag_formatter> clone() const override { return std::make_unique<PriorityFlag>(); }
};

// The one way into the log.
void write(LogLevel level, std::string_view text) { spdlog::log(level_of(level), "{}", printable_lines(text)); }

}  // namespace

ServiceLog::ServiceLog(LogLevel least) {
  auto logger = std::make_shared<spdlog::logger>("overwinterd", std::make_shared<spdlog::sinks::stderr_sink_mt>());
  auto formatter = std::make_unique<spdlog::pattern_formatter>();
  const bool managed = std::getenv("JOURNAL_STREAM") != nullptr;  // NOLINT(concurrency-mt-unsafe): before any thread
  formatter->add_flag<PriorityFlag>('*').set_pattern(managed ? "%*%v" : "%Y-%m-%d %H:%M:%S %l: %v");
  logger->set_formatter(std::move(formatter));
  logger->set_level(level_of(least));
  logger->flush_on(spdlog::level::debug);
  spdlog::set_default_logger(std::move(logger));
}

void ServiceLog::debug(std::string_view text) { write(LogLevel::debug, text); }
void ServiceLog::info(std::string_view text) { write(LogLevel::info, text); }
void ServiceLog::warning(std::string_view text) { write(LogLevel::warning, text); }
void ServiceLog::error(std::string_view text) { write(LogLevel::error, text); }

void ServiceLog::seldom(LogLevel level, const std::string& kind, std::string_view text, Span steady_now) {
  const auto found = told_.find(kind);
  if (found != told_.end() && steady_now - found->second.at < seldom_interval) {
    ++found->second.left_out;
    return;
  }
  const std::uint64_t left_out = found == told_.end() ? 0 : found->second.left_out;
  told_[kind] = {steady_now, 0};
  if (left_out == 0) {
    write(level, text);
  } else {
    write(level, fmt::format("{} ({} more like it since the last)", text, left_out));
  }
}

void ServiceLog::limited(LogLevel level, const std::string& sort, std::string_view text, Span steady_now) {
  tell_left_out(steady_now);
  if (limit_.admits(sort, steady_now)) write(level, text);
}

void ServiceLog::tell_left_out(Span steady_now) {
  for (const std::string& line : limit_.left_out(steady_now)) write(LogLevel::warning, line);
}

}  // namespace overwinter
