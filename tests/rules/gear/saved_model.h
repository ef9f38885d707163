// A model's state as a restart keeps it.
#pragma once

#include <gtest/gtest.h>

#include <string>
#include <string_view>

#include "rules/archive.h"
#include "rules/gear/model.h"

namespace overwinter {

inline std::string saved(const Model& model) {
  ArchiveWriter out;
  model.save(out);
  return out.take();
}

// Into a fresh model of the same kind; a fatal failure unless every byte is taken.
inline void load_into(Model& model, std::string_view bytes) {
  ArchiveReader in(bytes);
  model.load(in);
  ASSERT_TRUE(in.finished());
}

// Stops and starts `cut`, which lived as `whole` did: its state and its answers are the same.
template <class Rig>
void restart_beside(Rig& cut, const Rig& whole) {
  const std::string bytes = saved(cut.model);
  cut.model = {};
  ASSERT_NO_FATAL_FAILURE(load_into(cut.model, bytes));
  ASSERT_EQ(bytes, saved(whole.model));
  ASSERT_EQ(whole.model.next_wake(), cut.model.next_wake());
  for (const auto& [index, answer] : whole.around.answers()) {
    const auto& other = cut.around.answers().at(index);
    ASSERT_EQ(answer.value, other.value) << static_cast<int>(index);
    ASSERT_EQ(answer.plus_minus, other.plus_minus) << static_cast<int>(index);
    ASSERT_EQ(answer.because, other.because);
  }
}

}  // namespace overwinter
