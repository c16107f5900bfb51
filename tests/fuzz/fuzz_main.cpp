// SPDX-License-Identifier: GPL-3.0-or-later
// The fuzzer of one reader: fuzz --target=NAME [libFuzzer's options] CORPUS...
#include <cstddef>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <string_view>

#include "fuzz/fuzz_targets.hpp"

namespace {

const basefog::test::FuzzTarget* chosen = nullptr;

[[noreturn]] void explain() {
  std::fputs("fuzz: name a reader with --target=NAME, one of:\n", stderr);
  for (const auto& target : basefog::test::fuzz_targets()) {
    std::fprintf(stderr, "  %s\n", target.name);
  }
  std::exit(2);
}

}  // namespace

// libFuzzer passes over words that begin with two dashes.
extern "C" int LLVMFuzzerInitialize(int* argc, char*** argv) {
  constexpr std::string_view option = "--target=";
  for (int i = 1; i < *argc; ++i) {
    const std::string_view word = (*argv)[i];
    if (!word.starts_with(option)) continue;
    for (const auto& target : basefog::test::fuzz_targets()) {
      if (word.substr(option.size()) == target.name) chosen = &target;
    }
  }
  if (chosen == nullptr) explain();
  return 0;
}

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  chosen->read({reinterpret_cast<const char*>(data), size});
  return 0;
}
