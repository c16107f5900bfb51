// SPDX-License-Identifier: GPL-3.0-or-later
// Inputs that once broke a reader, and the seeds that the fuzzer starts from, stay harmless.
#include <gtest/gtest.h>
#include <unistd.h>

#include <algorithm>
#include <csignal>
#include <cstdlib>
#include <ctime>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <random>
#include <string>
#include <vector>

#include "fuzz/fuzz_targets.hpp"

namespace basefog::test {
namespace {

namespace fs = std::filesystem;

class Replay : public testing::TestWithParam<FuzzTarget> {};

int replay(const FuzzTarget& target, const fs::path& folder) {
  int files = 0;
  for (const auto& entry : fs::directory_iterator(folder)) {
    SCOPED_TRACE(entry.path());
    std::ifstream in(entry.path(), std::ios::binary);
    target.read(std::string{std::istreambuf_iterator<char>(in), {}});
    ++files;
  }
  return files;
}

TEST_P(Replay, kept_inputs_are_read_or_refused) {
  const fs::path inputs = BASEFOG_FUZZ_INPUTS;
  EXPECT_GE(replay(GetParam(), inputs / "seeds" / GetParam().seeds), 1);
  const fs::path hard = inputs / "hard" / GetParam().name;
  if (fs::exists(hard)) replay(GetParam(), hard);
}

/// A seed with some bytes changed, left out or put in, or with a part of another.
std::string mutated(const std::vector<std::string>& seeds, std::mt19937& random) {
  const auto below = [&](std::size_t n) { return n == 0 ? 0 : random() % n; };
  std::string bytes = seeds[below(seeds.size())];
  const std::size_t changes = 1 + below(8);
  for (std::size_t i = 0; i < changes; ++i) {
    const std::size_t at = below(bytes.size() + 1);
    switch (below(4)) {
      case 0:
        if (at < bytes.size()) bytes[at] = static_cast<char>(random());
        break;
      case 1:
        bytes.erase(at, 1 + below(6));
        break;
      case 2:
        bytes.insert(at, 1 + below(6), static_cast<char>(random()));
        break;
      default: {
        const std::string& other = seeds[below(seeds.size())];
        const std::size_t from = below(other.size() + 1);
        bytes.insert(at, other.substr(from, below(64)));
      }
    }
  }
  return bytes;
}

long number_from(const char* variable, long otherwise) {
  const char* given = std::getenv(variable);
  return given != nullptr ? std::atol(given) : otherwise;
}

std::string in_hex(std::string_view bytes) {
  std::string out;
  for (const char byte : bytes) {
    constexpr std::string_view kDigits = "0123456789abcdef";
    out += kDigits[static_cast<unsigned char>(byte) / 16];
    out += kDigits[static_cast<unsigned char>(byte) % 16];
  }
  return out + "\n";
}

std::string now_read;

/// What broke a reader, for tests/fuzz/hard (xxd -r -p).
[[noreturn]] void tell_and_die(int signal) {
  const std::string hex = in_hex(now_read);
  [[maybe_unused]] const ssize_t written = write(STDERR_FILENO, hex.data(), hex.size());
  std::signal(signal, SIG_DFL);
  std::raise(signal);
  std::_Exit(1);
}

TEST_P(Replay, mutated_seeds_are_read_or_refused) {
  // BASEFOG_MUTATIONS=100000 for many, BASEFOG_MUTATION_SEED=2 for others.
  const long count = number_from("BASEFOG_MUTATIONS", 20);
  // Of processor, whatever else the machine does, and however slow sanitizers make it: a small file
  // that takes longer hangs.
  constexpr double kLongest = 4;  // s
  for (const int signal : {SIGABRT, SIGSEGV, SIGFPE}) std::signal(signal, tell_and_die);
  std::vector<std::string> seeds;
  for (const auto& entry :
       fs::directory_iterator(fs::path(BASEFOG_FUZZ_INPUTS) / "seeds" / GetParam().seeds)) {
    std::ifstream in(entry.path(), std::ios::binary);
    seeds.emplace_back(std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>());
  }
  std::sort(seeds.begin(), seeds.end());
  std::mt19937 random(number_from("BASEFOG_MUTATION_SEED", 1));
  for (long i = 0; i < count; ++i) {
    now_read = mutated(seeds, random);
    const std::clock_t begin = std::clock();
    GetParam().read(now_read);
    const double took = static_cast<double>(std::clock() - begin) / CLOCKS_PER_SEC;
    EXPECT_LT(took, kLongest) << in_hex(now_read);
  }
  for (const int signal : {SIGABRT, SIGSEGV, SIGFPE}) std::signal(signal, SIG_DFL);
}

INSTANTIATE_TEST_SUITE_P(Readers, Replay, testing::ValuesIn(fuzz_targets()),
                         [](const auto& target) { return std::string(target.param.name); });

}  // namespace
}  // namespace basefog::test
