// SPDX-License-Identifier: GPL-3.0-or-later
// The four answers of one frame, each with its interval.
#include "basefog/ensemble/roll_reading.hpp"

#include <cstdio>
#include <string>

using namespace basefog;

namespace {

void print(const char* name, const StopsEstimate& answer) {
  std::printf("%-15s %+.1f", name, answer.value.value());
  if (answer.low) std::printf(", at least %+.1f", answer.low->value());
  if (answer.high) std::printf(", at most %+.1f", answer.high->value());
  std::printf("\n");
}

}  // namespace

int main(int argc, char** argv) {
  if (argc < 2) return 2;
  const scan::Scan scan = scan::read_scan(std::filesystem::path(argv[1]) / "roll03_03.tif");
  const density::FrameMeasurement frame =
      density::measure_frames(scan, area::find_film(scan)).at(0);
  const film::FilmProfile film = film::generic_black_and_white(FilmSpeed(400));
  const Aim aim{.film_speed = film.iso_speed};
  const ensemble::FrameToRead to_read{.measurement = &frame, .base = &frame.rebate};
  const reading::FrameReading reading = ensemble::read_roll({&to_read, 1}, film, aim).frames.at(0);
  print("exposure", in_stops(reading.exposure.estimate));
  print("shadow reserve", in_stops(reading.shadow_reserve.estimate));
  print("highlight room", reading.highlight_room.estimate);
  std::printf("verdict: %s\n", std::string(name_of(reading.verdict)).c_str());
  return reading.exposure.estimate.value < ExposureFromAim() ? 0 : 1;
}
