#include "daemon/capture_run.h"

#include <fmt/format.h>

#include <filesystem>
#include <fstream>
#include <iostream>

#include "daemon/intake.h"
#include "daemon/json_lines.h"

namespace overwinter {
namespace {

constexpr std::uint64_t lines_between_progress = 20'000;

// How far a long run is, on a terminal only.
class Progress {
 public:
  Progress(const Console& console, const std::vector<std::string>& files) : console_(console) {
    for (const std::string& file : files) {
      std::error_code error;
      const std::uintmax_t size = file == "-" ? 0 : std::filesystem::file_size(file, error);
      if (file == "-" || error) known_ = false;
      if (!error) total_ += size;
    }
  }
  void line(std::uint64_t bytes_of_this_file) {
    if (!console_.err_is_terminal || ++lines_ % lines_between_progress != 0) return;
    console_.err << fmt::format("\r{} lines", lines_);
    if (known_ && total_ > 0) console_.err << fmt::format(", {} %", (before_ + bytes_of_this_file) * 100 / total_);
    console_.err << std::flush;
    shown_ = true;
  }
  void end_file(std::uint64_t bytes) { before_ += bytes; }
  // So that what follows stands on a line of its own.
  void clear() {
    if (shown_) console_.err << "\r                                        \r" << std::flush;
    shown_ = false;
  }

 private:
  const Console& console_;
  std::uintmax_t total_ = 0, before_ = 0;
  std::uint64_t lines_ = 0;
  bool known_ = true, shown_ = false;
};

const char* why_not_open(const std::string& file) {
  std::error_code error;
  if (std::filesystem::is_directory(file, error)) return "is a folder\nhint: name a file in it";
  if (std::filesystem::exists(file, error)) return "cannot be read\nhint: may this user read it?";
  return "does not exist\nhint: is its name right, seen from this folder?";
}

class Runner {
 public:
  Runner(CaptureRun& run, const Console& console, const std::function<void(const Output&)>& take)
      : run_(run), console_(console), take_(take), intake_(run.plan), progress_(console, run.files) {}

  void run() {
    for (const std::string& file : run_.files) {
      if (past_the_end_) break;
      if (file == "-") {
        read(file, std::cin);
        continue;
      }
      std::ifstream in(file, std::ios::binary);
      if (!in || std::filesystem::is_directory(file)) {
        run_.unreadable_file = true;
        progress_.clear();
        console_.err << file << ": error: " << why_not_open(file) << '\n';
        continue;
      }
      read(file, in);
    }
    progress_.clear();
    if (!run_.engine) return;
    run_.to = std::max(run_.to, run_.until.value_or(run_.to));
    take_(run_.engine->step({run_.to, Tick{}}));  // the last instant is over too
  }

 private:
  void read(const std::string& file, std::istream& in) {
    JsonLines lines(in);
    CapturedMessage message;
    while (!past_the_end_) {
      const JsonLines::Read read = lines.next(message);
      if (read == JsonLines::Read::end) break;
      if (read == JsonLines::Read::message) {
        take(message);
      } else {
        ++run_.counts.broken;
        progress_.clear();
        console_.err << fmt::format("{}:{}: error: {}\n", file == "-" ? "standard input" : file, lines.line(),
                                    lines.why());
      }
      progress_.line(lines.bytes());
    }
    progress_.end_file(lines.bytes());
  }

  void take(const CapturedMessage& message) {
    if (run_.until && message.at > *run_.until) {
      past_the_end_ = true;
      return;
    }
    if (!run_.engine) {
      run_.engine.emplace(run_.plan, message.at);
      run_.from = run_.to = message.at;
    }
    if (message.at < run_.to) ++run_.counts.earlier;
    run_.to = std::max(run_.to, message.at);
    const Input* input = intake_.decode(run_.to, message.topic, message.payload, message.retained);
    if (input != nullptr) {
      count(*input);
    } else {
      ++run_.counts.ignored;
    }
    const Input of_nobody{run_.to, SensorMessage{}};  // its time has come all the same
    const Output& output = run_.engine->step(input != nullptr ? *input : of_nobody);
    for (const Answer& answer : output.answers) run_.counts.refused += answer.accepted ? 0U : 1U;
    take_(output);
  }

  void count(const Input& input) {
    if (const auto* message = std::get_if<SensorMessage>(&input.what)) {
      run_.counts.readings += message->values.size();
      for (const SensorValue& value : message->values)
        run_.counts.rejected += value.rejected_because != nullptr ? 1U : 0U;
    } else if (std::holds_alternative<CommandMessage>(input.what)) {
      ++run_.counts.commands;
    }
  }

  CaptureRun& run_;
  const Console& console_;
  const std::function<void(const Output&)>& take_;
  Intake intake_;
  Progress progress_;
  bool past_the_end_ = false;
};

}  // namespace

void CaptureRun::run(const Console& console, const std::function<void(const Output&)>& take) {
  Runner(*this, console, take).run();
}

std::optional<Instant> parse_until(const std::string& text, const TimeZone& zone) {
  if (const auto at = parse_rfc3339(text)) return at;
  if (const auto date = parse_date(text)) return from_local(*date, Span{}, zone);
  return std::nullopt;
}

}  // namespace overwinter
