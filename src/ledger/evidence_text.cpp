// SPDX-License-Identifier: GPL-3.0-or-later
#include "ledger/evidence_text.hpp"

#include <array>
#include <charconv>
#include <optional>
#include <vector>

namespace basefog::ledger {
namespace {

constexpr std::size_t kParameters = kCountOf<film::FilmParameter>;
/// What a ledger knew before the upper part of a curve, which says nothing there.
constexpr std::size_t kFirstParameters = 7;

void add(std::string& text, double value) {
  std::array<char, 32> digits{};
  const auto end = std::to_chars(digits.data(), digits.data() + digits.size(), value).ptr;
  if (!text.empty()) text += ' ';
  text.append(digits.data(), end);
}

/// Nothing where it is no list of at most `most` numbers.
std::optional<std::vector<double>> numbers_in(const std::string& text, std::size_t most) {
  std::vector<double> numbers;
  const char* at = text.data();
  const char* const end = at + text.size();
  while (at != end) {
    double value = 0;
    const auto [after, error] = std::from_chars(at, end, value);
    if (error != std::errc() || numbers.size() == most) return std::nullopt;
    numbers.push_back(value);
    at = after;
    if (at != end && *at++ != ' ') return std::nullopt;
  }
  return numbers;
}

constexpr std::size_t in_triangle(std::size_t parameters) {
  return parameters * (parameters + 1) / 2;
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
  const auto information = numbers_in(triangle, in_triangle(kParameters));
  const auto toward = numbers_in(numbers, kParameters);
  if (!information || !toward) return false;
  const std::size_t count = toward->size();
  if (count != kParameters && count != kFirstParameters) return false;
  if (information->size() != in_triangle(count)) return false;
  evidence = {};
  std::size_t next = 0;
  for (std::size_t i = 0; i < count; ++i) {
    evidence.toward.values[i] = (*toward)[i];
    for (std::size_t k = i; k < count; ++k) {
      evidence.information.values[i].values[k] = (*information)[next];
      evidence.information.values[k].values[i] = (*information)[next++];
    }
  }
  return film::is_evidence(evidence);
}

}  // namespace basefog::ledger
