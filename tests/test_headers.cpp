#include "tests/test_headers.h"  // a target that owns the precompiled header
