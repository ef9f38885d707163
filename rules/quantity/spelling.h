// "Did you mean": the nearest word of a list.
#pragma once

#include <cstddef>
#include <optional>
#include <span>
#include <string_view>

namespace overwinter {

// Insertions, deletions, substitutions and swaps of neighbors that turn one word into the other, in bytes
// (optimal string alignment, after Damerau, Communications of the ACM 7, 1964).
std::size_t edit_distance(std::string_view a, std::string_view b);

// The nearest word by edit distance (at most 1 + length/4 edits, and not every letter changed), or nothing.
// Of two equally near ones the first. Shared by every "did you mean".
std::optional<std::string_view> nearest_word(std::string_view word, std::span<const std::string_view> candidates);

}  // namespace overwinter
