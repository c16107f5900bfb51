// SPDX-License-Identifier: GPL-3.0-or-later
#include "matching/film_length.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace basefog::matching {
namespace {

// Judgement: how common films are, and how many pictures beyond the nominal number they are made
// to hold (a careful loader gets two more on a cassette).
struct SoldLength {
  int nominal;
  double share;
};
constexpr auto kSold = std::to_array<SoldLength>(
    {{36, 1}, {24, 0.4}, {12, 0.4}, {10, 0.2}, {8, 0.2}, {15, 0.1}, {16, 0.1}, {72, 0.1}});
constexpr std::array<double, 4> kMore = {0.5, 0.3, 0.15, 0.05};  // 0 to 3 more than nominal
constexpr double kAnyLength = 0.05;  ///< a roll taken out early, a few scans alone
constexpr double kWhole = 0.7;       ///< rolls that are written down and scanned whole (judgement)

// Of 36 pictures, how many rows were never written, and how many were never scanned (judgement);
// more are each half as likely as one fewer.
constexpr std::array<double, 5> kRowsMissing = {0.4, 0.2, 0.15, 0.1, 0.07};
constexpr std::array<double, 3> kScansMissing = {0.55, 0.25, 0.1};  // blanks, and what failed

template <std::size_t N>
double share_of(const std::array<double, N>& shares, int missing) {
  const int listed = std::min(missing, static_cast<int>(N) - 1);
  return shares.at(static_cast<std::size_t>(listed)) * std::exp2(listed - missing);
}

double share_of_length(int pictures) {
  double share = kAnyLength;
  for (const SoldLength& sold : kSold) {
    const int more = pictures - sold.nominal;
    if (more < 0 || more >= static_cast<int>(kMore.size())) continue;
    share += sold.share * kMore.at(static_cast<std::size_t>(more));
  }
  return share;
}

}  // namespace

double share_of_losses(int rows_missing, int scans_missing) {
  const double each = share_of(kRowsMissing, rows_missing) * share_of(kScansMissing, scans_missing);
  const bool whole = rows_missing == 0 && scans_missing == 0;
  return (whole ? kWhole : 0) + (1 - kWhole) * each;
}

std::vector<FilmLength> possible_lengths(int scans, int rows) {
  constexpr int kMostBeyond = 4;   // pictures missing on both sides at once; time goes up with each
  constexpr double kLeast = 0.01;  // of all: less is left out
  std::vector<FilmLength> lengths;
  double sum = 0;
  for (int beyond = 0; beyond <= kMostBeyond; ++beyond) {
    FilmLength length{.pictures = std::max(scans, rows) + beyond};
    length.rows_missing = length.pictures - rows;
    length.scans_missing = length.pictures - scans;
    length.prior = share_of_length(length.pictures) *
                   share_of_losses(length.rows_missing, length.scans_missing);
    sum += length.prior;
    lengths.push_back(length);
  }
  std::erase_if(lengths, [&](const FilmLength& l) { return l.prior < kLeast * sum; });
  double kept = 0;
  for (const FilmLength& length : lengths) kept += length.prior;
  for (FilmLength& length : lengths) length.prior /= kept;
  std::ranges::stable_sort(lengths, std::ranges::greater(), &FilmLength::prior);
  return lengths;
}

}  // namespace basefog::matching
