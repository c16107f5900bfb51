// SPDX-License-Identifier: GPL-3.0-or-later
// bench_bias ROLLS...: time to fit the bias over so many rolls of 36 frames (default 10, 100,
// 1000), and to write them to a ledger and read them back.
#include <unistd.h>

#include <chrono>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <random>
#include <string>
#include <vector>

#include "basefog/ledger/ledger.hpp"

namespace {

using basefog::meter::DeviationSample;
using basefog::meter::RememberedRoll;
using basefog::reading::ErrorCause;

RememberedRoll roll(int number, std::mt19937& random) {
  std::normal_distribution<> normal;
  RememberedRoll result{.name = std::to_string(number), .camera = "bench"};
  result.film = "film " + std::to_string(number % 6);
  result.film_speed = basefog::FilmSpeed(400);
  // A roll a week, from 2007 on.
  const std::chrono::sys_days day{std::chrono::days(13514 + 7 * number)};
  const std::chrono::year_month_day ymd{day};
  char date[16];
  std::snprintf(date, sizeof date, "%04d-%02u-%02u", static_cast<int>(ymd.year()),
                static_cast<unsigned>(ymd.month()), static_cast<unsigned>(ymd.day()));
  result.date = date;
  for (int i = 0; i < 36; ++i) {
    DeviationSample sample;
    sample.frame = result.name + "-" + std::to_string(i);
    sample.sigma = 0.1 + 0.1 * static_cast<double>(random() % 3);
    for (const ErrorCause cause :
         {ErrorCause::response, ErrorCause::contrast, ErrorCause::toe_and_shoulder}) {
      sample.shared[cause] = 0.1 * normal(random);
    }
    sample.deviation = basefog::Stops(0.3 + 0.2 * normal(random));
    sample.shutter = basefog::ShutterTime(std::exp2(-static_cast<double>(random() % 11)));
    sample.aperture = basefog::FNumber(std::exp2(static_cast<double>(random() % 9) / 2));
    sample.lens = "lens " + std::to_string(random() % 4);
    sample.mode = random() % 2 == 0 ? basefog::log::ExposureMode::manual
                                    : basefog::log::ExposureMode::aperture_priority;
    sample.light_ev = 4 + static_cast<double>(random() % 12);
    result.deviations.push_back(sample);
  }
  return result;
}

double seconds_since(std::chrono::steady_clock::time_point start) {
  return std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
}

}  // namespace

int main(int argc, char** argv) {
  std::vector<int> counts;
  for (int i = 1; i < argc; ++i) counts.push_back(std::atoi(argv[i]));
  if (counts.empty()) counts = {10, 100, 1000};
  std::printf("| rolls | frames | fit s | microseconds a frame | write s | read s |\n");
  std::printf("|---|---|---|---|---|---|\n");
  for (const int count : counts) {
    std::mt19937 random(1);
    std::vector<RememberedRoll> rolls;
    for (int k = 0; k < count; ++k) rolls.push_back(roll(k, random));
    auto start = std::chrono::steady_clock::now();
    const basefog::meter::BiasHistory history = basefog::meter::fit_bias_history(rolls);
    const double fit = seconds_since(start);
    const auto path =
        std::filesystem::temp_directory_path() / ("bench_bias_" + std::to_string(getpid()) + ".db");
    start = std::chrono::steady_clock::now();
    basefog::ledger::Ledger ledger(path, basefog::ledger::Ledger::Access::write);
    for (const RememberedRoll& one : rolls) ledger.remember(one);
    const double write = seconds_since(start);
    start = std::chrono::steady_clock::now();
    const std::size_t found = ledger.rolls().size();
    const double read = seconds_since(start);
    std::filesystem::remove(path);
    if (found != rolls.size() || !history.meter.bias) return 1;
    std::printf("| %d | %d | %.3f | %.1f | %.2f | %.2f |\n", count, history.meter.frames_used, fit,
                1e6 * fit / history.meter.frames_used, write, read);
  }
}
