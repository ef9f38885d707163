#include "rules/quantity/spelling.h"

#include <algorithm>
#include <vector>

#include "rules/limits.h"

namespace overwinter {

std::size_t edit_distance(std::string_view a, std::string_view b) {
  // Three rows of the table: the one being filled, the one above it, the one above that (for swaps).
  std::vector<std::size_t> two_up(b.size() + 1), up(b.size() + 1), row(b.size() + 1);
  for (std::size_t j = 0; j <= b.size(); ++j) up[j] = j;
  for (std::size_t i = 1; i <= a.size(); ++i) {
    row[0] = i;
    for (std::size_t j = 1; j <= b.size(); ++j) {
      const std::size_t change = a[i - 1] == b[j - 1] ? 0 : 1;
      row[j] = std::min({up[j] + 1, row[j - 1] + 1, up[j - 1] + change});
      if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1]) row[j] = std::min(row[j], two_up[j - 2] + 1);
    }
    std::swap(two_up, up);
    std::swap(up, row);
  }
  return up[b.size()];
}

std::optional<std::string_view> nearest_word(std::string_view word, std::span<const std::string_view> candidates) {
  if (word.size() > limits::longest_word_to_correct) return std::nullopt;
  std::optional<std::string_view> nearest;
  std::size_t fewest = 1 + word.size() / 4;
  for (const std::string_view candidate : candidates) {
    const std::size_t difference =
        candidate.size() > word.size() ? candidate.size() - word.size() : word.size() - candidate.size();
    if (difference > fewest) continue;
    const std::size_t edits = edit_distance(word, candidate);
    if (edits > 0 && edits >= word.size()) continue;  // nothing of the word is left
    if (edits < fewest || (edits == fewest && !nearest)) {
      fewest = edits;
      nearest = candidate;
    }
  }
  return nearest;
}

}  // namespace overwinter
