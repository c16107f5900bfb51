// SPDX-License-Identifier: GPL-3.0-or-later
#include "validation/simulated_camera.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <fstream>
#include <sstream>
#include <stdexcept>

namespace study {
namespace {

// Marks as engraved, by power of two.
constexpr std::array<double, 11> kTimes = {1.0,       1.0 / 2,   1.0 / 4,   1.0 / 8,
                                           1.0 / 15,  1.0 / 30,  1.0 / 60,  1.0 / 125,
                                           1.0 / 250, 1.0 / 500, 1.0 / 1000};
constexpr std::array<double, 9> kStops = {1, 1.4, 2, 2.8, 4, 5.6, 8, 11, 16};

using basefog::reading::ErrorCause;

/// Causes whose error is one and the same on a roll; clear film is seen in every frame, so that
/// base is each frame's own.
constexpr std::array kShared = {ErrorCause::response, ErrorCause::contrast,
                                ErrorCause::toe_and_shoulder};

double truncated_normal(double sigma, double most, std::mt19937& random) {
  std::normal_distribution<> normal(0, sigma);
  return std::clamp(normal(random), -most, most);
}

/// A day's light: outdoors mostly, some indoors, some dusk; EV at ISO 100 [PH2.7].
double draw_light(std::mt19937& random) {
  std::uniform_real_distribution<> uniform(0, 1);
  const double kind = uniform(random);
  if (kind < 0.55) return 11.5 + 3.5 * uniform(random);
  if (kind < 0.8) return 8 + 3 * uniform(random);
  return 5 + 3 * uniform(random);
}

}  // namespace

std::vector<RecordedRoll> read_recorded_rolls(const std::filesystem::path& path) {
  std::ifstream file(path);
  if (!file) throw std::runtime_error("cannot read " + path.string());
  std::vector<RecordedRoll> rolls;
  std::string line;
  std::string last;
  while (std::getline(file, line)) {
    if (line.empty() || line.front() == '#') continue;
    std::replace(line.begin(), line.end(), ',', ' ');
    std::istringstream in(line);
    std::string film;
    std::string roll;
    RecordedFrame frame;
    in >> film >> roll >> frame.true_exposure >> frame.read >> frame.ends;
    for (double& part : frame.budget) in >> part;
    if (!in) throw std::runtime_error("not a recorded frame: " + line);
    if (film + roll != last) rolls.push_back({.film = film, .frames = {}});
    last = film + roll;
    rolls.back().frames.push_back(frame);
  }
  if (rolls.empty()) throw std::runtime_error("no rolls in " + path.string());
  return rolls;
}

CameraErrors sound_camera(std::mt19937& random) {
  CameraErrors camera;
  for (int i = 0; i < static_cast<int>(kTimes.size()); ++i) {
    camera.shutter[i] = truncated_normal(0.06, 0.15, random);
  }
  for (int i = 0; i < static_cast<int>(kStops.size()); ++i) {
    camera.aperture[i] = truncated_normal(0.04, 0.1, random);
  }
  return camera;
}

std::vector<basefog::meter::DeviationSample> shoot(const RecordedRoll& recorded,
                                                   const CameraErrors& camera, double roll_offset,
                                                   const std::string& name, std::mt19937& random) {
  constexpr double kMeterRepeats = 0.1;
  constexpr double kEvOfFilm = 2;  // ISO 400
  std::normal_distribution<> repeat(0, kMeterRepeats);
  std::vector<basefog::meter::DeviationSample> samples;
  for (const RecordedFrame& frame : recorded.frames) {
    const bool manual = random() % 5 < 2;
    const double light = draw_light(random);
    int stop = 3 + static_cast<int>(random() % 5);
    // What the meter asks for: log2(N²/t) = EV + 2, its time as a power of two.
    double asked = light + kEvOfFilm - stop;
    while (asked > 10.4 && stop < 8) asked = light + kEvOfFilm - ++stop;
    while (asked < 0 && stop > 0) asked = light + kEvOfFilm - --stop;
    const int mark = std::clamp(static_cast<int>(std::lround(asked)), 0, 10);
    // By hand the nearest mark is all there is; an automatic camera makes the time itself.
    const double rounding = manual ? asked - mark : 0;
    const double deviation = camera.bias + camera.slope_per_ev * (light - 11) +
                             camera.shutter.at(mark) + camera.aperture.at(stop) + roll_offset +
                             rounding + repeat(random);
    const double error = frame.read - frame.true_exposure;
    basefog::meter::DeviationSample sample;
    sample.deviation = basefog::Stops(deviation + error);
    double own = 0;
    for (const ErrorCause cause : basefog::every<ErrorCause>()) {
      if (std::ranges::find(kShared, cause) != kShared.end()) {
        sample.shared[cause] = frame.budget[cause];
      } else {
        own += frame.budget[cause] * frame.budget[cause];
      }
    }
    sample.sigma = std::sqrt(own);
    sample.shutter = marked_time(mark);
    sample.aperture = basefog::FNumber(kStops.at(static_cast<std::size_t>(stop)));
    sample.mode =
        manual ? basefog::log::ExposureMode::manual : basefog::log::ExposureMode::aperture_priority;
    sample.light_ev = light + error;
    sample.roll = name;
    sample.film = recorded.film;
    // The film test of record_rolls knows its exposures apart from the camera's meter; one roll's
    // development is off another's by a tenth.
    if (recorded.film == "test") sample.film_speed_sigma = std::hypot(0.05, 0.1);
    if (frame.ends == "both" || frame.ends == "low") samples.push_back(sample);
  }
  return samples;
}

std::map<int, int> frames_by_shutter(const std::vector<basefog::meter::DeviationSample>& samples) {
  std::map<int, int> frames;
  for (const basefog::meter::DeviationSample& sample : samples) {
    ++frames[static_cast<int>(std::lround(-std::log2(sample.shutter->seconds())))];
  }
  return frames;
}

basefog::ShutterTime marked_time(int mark) {
  return basefog::ShutterTime(kTimes.at(static_cast<std::size_t>(mark)));
}

}  // namespace study
