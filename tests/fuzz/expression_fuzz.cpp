// Any text: parsed, checked, evaluated with known and unknown readings over some time, and read as a message.
#include <cstdint>
#include <cstdlib>
#include <string_view>

#include "rules/language/message_template.h"
#include "rules/language/source.h"
#include "tests/rules/language/fake_scope.h"

namespace {

using namespace overwinter;

void require(bool holds) {
  if (!holds) std::abort();
}

void check_fault(const Fault& fault, std::string_view text) {
  require(fault.where.column >= 1 && fault.where.column <= count_code_points(text) + 1);
  require(!fault.text.empty());
  require(!render_fault(fault, text).empty());
}

void run(const Program& program) {
  std::vector<Window> windows(program.histories.size());
  Instant now = Instant(20000 * one_day);
  for (int step = 0; step < 8; ++step) {
    FakeReadings readings;
    int k = step;
    for (const Reference& reference : program.references) {
      readings.set(reference, ++k % 3 == 0 ? Cell::unknown() : Cell{k * 0.25 - 1, true, k % 5 == 0});
    }
    const Cell cell = evaluate(program, readings, windows, now);
    require(cell.value - cell.value == 0);  // finite
    now += step % 2 == 0 ? 7 * one_minute : 5 * one_hour;
  }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  if (size > 5000) return 0;
  const std::string_view text(reinterpret_cast<const char*>(data), size);
  static const FakeScope scope = fake::world();
  const Result<Program> program = fake::compile_any(text, scope);
  if (program) {
    run(*program);
  } else {
    check_fault(program.error(), text);
  }
  if (const Result<std::string> once = dump_syntax(text); once && once->size() < 4096) {
    const Result<std::string> twice = dump_syntax(*once);
    require(!twice || *twice == *once);
  }
  const Result<MessageTemplate> message = compile_template(text, scope, fake::functions());
  if (message) {
    std::vector<Window> windows(message->history_count());
    render(*message, FakeReadings(), windows, RenderContext{});
  } else {
    check_fault(message.error(), text);
  }
  return 0;
}
