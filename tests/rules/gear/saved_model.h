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

}  // namespace overwinter
