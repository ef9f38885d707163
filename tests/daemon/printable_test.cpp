// What others wrote must not reach a terminal as a control character (ISO/IEC 6429: C0, DEL, C1).
#include "daemon/printable.h"

#include <gtest/gtest.h>
#include <rapidcheck.h>
#include <rapidcheck/gtest.h>

#include <sstream>

#include "daemon/json_text.h"
#include "daemon/story.h"
#include "tests/daemon/household.h"

namespace overwinter {
namespace {

// An erased screen, a color, a title of the window, a bell, delete, and CSI as one C1 character.
constexpr std::string_view attack =
    "a\x1b[2J\x1b[31m\x1b]0;x\x07\x7f\xc2\x9b"
    "2J\xc2\xb0"
    "F\r";
constexpr std::string_view harmless =
    "a?[2J?[31m?]0;x???2J\xc2\xb0"
    "F?";

TEST(Printable, ControlCharactersBecomeQuestionMarksAndLettersStay) {
  EXPECT_EQ(printable(attack), harmless);
  EXPECT_EQ(printable("one\ntwo\t±°"), "one?two?±°");
  EXPECT_EQ(printable_lines("one\ntwo\x1b"), "one\ntwo?");
  EXPECT_EQ(printable("\x9b\xff"), "??") << "no UTF-8";
}

RC_GTEST_PROP(Printable, AStreamSaysTheSameHoweverItsTextIsCut, (const std::string& text, std::uint8_t cut)) {
  const auto stream_of = [](const std::vector<std::string>& parts) {
    std::ostringstream to;
    PrintableBuffer buffer(*to.rdbuf());
    std::ostream out(&buffer);
    for (const std::string& part : parts) out << part;
    out << '.' << std::flush;
    return to.str();
  };
  const std::string hostile = text + std::string(attack) + text;
  const std::size_t at = std::min<std::size_t>(cut, hostile.size());
  const std::string whole = stream_of({hostile});
  RC_ASSERT(stream_of({hostile.substr(0, at), hostile.substr(at)}) == whole);
  for (const char c : whole) RC_ASSERT(c == '\n' || (static_cast<unsigned char>(c) >= 0x20 && c != 0x7F));
  RC_ASSERT(whole.find("\xc2\x9b") == std::string::npos);
}

TEST(Printable, AStreamKeepsWhatItIsToldTo) {
  std::ostringstream to;
  PrintableBuffer buffer(*to.rdbuf(), "\r");
  std::ostream out(&buffer);
  out << "\r20 lines\x1b" << std::endl;
  EXPECT_EQ(to.str(), "\r20 lines?\n");
}

TEST(Printable, JsonEscapesWhatATerminalMayObey) {
  std::string out;
  append_json_text(out, "\x1b[2J\x7f\xc2\x9b\xc2\xb0");
  EXPECT_EQ(out, R"("\u001b[2J\u007f\u009b)"
                 "\xc2\xb0\"");
  out.clear();
  append_json_text(out, "3 \xc2\xb0\"C\"\tor\n\xc2\x9b\xc2\x85 so \\");
  EXPECT_EQ(out, "\"3 \xc2\xb0\\\"C\\\"\\tor\\n\\u009b\\u0085 so \\\\\"");
}

TEST(Printable, ALineOfTheStoryHoldsNoneOfThem) {
  const auto plan = plan_of_files("site: {id: home, local_time: America/Winnipeg}\nrules_from: []\n", "");
  Event event;
  event.kind = EventKind::command_refused;
  event.title = "rec\x1b[2Jord";
  event.by = attack;
  event.reason = "'\n2026-12-01 all is well' is unknown";
  const std::string line = story_line(*plan, event);
  EXPECT_EQ(line, printable(line));
  Answer answer;
  answer.command = "record\n";
  answer.answer = attack;
  const std::string answered = story_line(*plan, answer);
  EXPECT_EQ(answered, printable(answered));
  EXPECT_NE(answered.find(harmless), std::string::npos);
}

}  // namespace
}  // namespace overwinter
