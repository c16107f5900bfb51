// SPDX-License-Identifier: GPL-3.0-or-later
#include "ledger/evidence_text.hpp"

#include <array>
#include <charconv>
#include <optional>
#include <vector>

namespace basefog::ledger {
namespace {

constexpr std::size_t kParameters = kCountOf<film::FilmParameter>;

void add(std::string& text, double value) {
  std::array<char, 32> digits{};
  const auto end = std::to_chars(digits.data(), digits.data() + digits.size(), value).ptr;
  if (!text.empty()) text += ' ';
  text.append(digits.data(), end);
}

/// Exactly `count` numbers.
std::optional<std::vector<double>> numbers_in(const std::string& text, std::size_t count) {
  std::vector<double> numbers;
  const char* at = text.data();
  const char* const end = at + text.size();
  while (at != end && numbers.size() <= count) {
    double value = 0;
    const auto [after, error] = std::from_chars(at, end, value);
    if (error != std::errc()) return std::nullopt;
    numbers.push_back(value);
    at = after;
    if (at != end && *at++ != ' ') return std::nullopt;
  }
  if (numbers.size() != count) return std::nullopt;
  return numbers;
}

}  // namespace

std::string triangle_text(const film::FilmMatrix& matrix) {
  std::string text;
  for (std::size_t i = 0; i < kParameters; ++i) {
    for (std::size_t k = i; k < kParameters; ++k) add(text, matrix.values[i].values[k]);
  }
  return text;
}

std::string numbers_text(const film::FilmNumbers& numbers) {
  std::string text;
  for (const double value : numbers) add(text, value);
  return text;
}

bool read_evidence(const std::string& triangle, const std::string& numbers,
                   film::FilmEvidence& evidence) {
  const auto information = numbers_in(triangle, kParameters * (kParameters + 1) / 2);
  const auto toward = numbers_in(numbers, kParameters);
  if (!information || !toward) return false;
  std::size_t next = 0;
  for (std::size_t i = 0; i < kParameters; ++i) {
    evidence.toward.values[i] = (*toward)[i];
    for (std::size_t k = i; k < kParameters; ++k) {
      evidence.information.values[i].values[k] = (*information)[next];
      evidence.information.values[k].values[i] = (*information)[next++];
    }
  }
  return film::is_evidence(evidence);
}

}  // namespace basefog::ledger
