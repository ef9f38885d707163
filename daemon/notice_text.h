// The words of a notice, in the order in which a phone shows them: the thing and the finding; what was measured and
// what to do; by when; who says so. Pure.
#pragma once

#include <string>
#include <string_view>

#include "rules/engine/world.h"

namespace overwinter {

// At most `most` code points: cut at a word, with an ellipsis.
std::string shortened(const std::string& text, std::size_t most);

// With a final period where it has no final mark and is not empty.
std::string with_period(std::string text);

// What a rule's `response` asks for first, with its final mark; empty: nothing.
std::string first_sentence(std::string_view text);

// The same text, with its first sentence cut to at most `most` code points: what a phone shows of it.
std::string with_short_first_sentence(const std::string& text, std::size_t most);

// The rule's message, its first sentence no longer than a phone shows, then the first sentence of its response with the
// local date by which it is asked for, then who says so. `message` may lack its final period.
std::string text_of_alarm(const World& world, std::uint32_t alarm, const std::string& message);

// What an open reminder asks for, by when (of one that is overdue, when it was due; of one that is due, from when it
// was told), and the first sentence of what can hurt.
std::string text_of_reminder(const World& world, std::uint32_t reminder, bool is_overdue, Instant told);

// "To do: Portable generator, exercise generator".
std::string title_of_reminder(const World& world, std::uint32_t reminder, bool is_overdue);

// "Over: Hatch is open"; of what nobody looks at any more nobody knows that.
std::string title_of_end(const std::string& reason, const std::string& title);
// "It is over."; else why it is watched no longer.
std::string text_of_end(const std::string& reason);

}  // namespace overwinter
