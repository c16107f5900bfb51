// SPDX-License-Identifier: GPL-3.0-or-later
#include "validation/simulated_log.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <string>

namespace study {
namespace {

using basefog::FilmSpeed;
using basefog::FNumber;
using basefog::ShutterTime;
using basefog::Stops;
using basefog::log::ExposureMode;
using basefog::log::LogRow;
using basefog::matching::MatchFrame;
using basefog::matching::PictureSketch;

constexpr int kPictures = 36;
constexpr double kFilmIso = 400;
constexpr double kHalfWidth = 0.5;

class Dice {
 public:
  explicit Dice(std::mt19937& random) : random_(random) {}
  bool chance(double p) { return std::bernoulli_distribution(p)(random_); }
  double normal(double sigma) { return std::normal_distribution<double>(0, sigma)(random_); }
  double between(double a, double b) {
    return std::uniform_real_distribution<double>(a, b)(random_);
  }
  int whole(int a, int b) { return std::uniform_int_distribution<int>(a, b)(random_); }

 private:
  std::mt19937& random_;
};

/// Light as in the exposure guide's table [PH2.7]; subjects without a word for light lie anywhere
/// in their place.
const std::array<std::vector<Subject>, 4> kPlaces = {{
    {{"street, sun", 14, 15.5},
     {"full sun", 14.5, 15.5},
     {"open shade", 11.5, 12.5},
     {"backlit", 12, 14},
     {"square", 13, 15},
     {"portrait", 11, 14},
     {"bicycle", 12, 15},
     {"harbour", 14, 15.5}},
    {{"overcast", 11.5, 13},
     {"cloudy", 12, 13.5},
     {"field", 11, 13.5},
     {"dog", 10, 13},
     {"mist", 10.5, 13},
     {"path in the wood", 8, 11},
     {"backlit", 11, 13}},
    {{"living room", 5, 7},
     {"kitchen", 5, 8},
     {"window light", 8, 11},
     {"museum", 8, 10},
     {"stairs", 4, 8},
     {"portrait", 5, 9},
     {"cat", 5, 8}},
    {{"night street", 6, 8},
     {"shop window at night", 7, 8.5},
     {"dusk", 5, 9},
     {"bridge", 3, 7},
     {"neon", 8.5, 10},
     {"tram", 5, 8}},
}};

/// A view as a smooth picture: sky brighter than ground, and a few lights and darks.
struct View {
  struct Patch {
    double x, y, size, density;
  };
  double sky = 0;
  std::vector<Patch> patches;
};

View new_view(Dice& dice) {
  View view{.sky = dice.between(-0.2, 0.9), .patches = {}};
  for (int k = 0; k < 12; ++k) {
    view.patches.push_back({dice.between(-0.1, 1.1), dice.between(-0.1, 1.1),
                            dice.between(0.05, 0.3), dice.normal(0.4)});
  }
  return view;
}

/// The view again: held otherwise, and some of it has moved.
PictureSketch sketch(const View& view, bool upright, Dice& dice) {
  const double dx = dice.normal(0.035);
  const double dy = dice.normal(0.03);
  const double zoom = std::exp(dice.normal(0.03));
  View now = view;
  for (View::Patch& patch : now.patches) {
    if (dice.chance(0.05)) patch = {dice.between(0, 1), dice.between(0, 1), 0.15, dice.normal(0.4)};
  }
  PictureSketch sketch{.density = {}, .upright = upright};
  double mean = 0;
  for (int row = 0; row < PictureSketch::kRows; ++row) {
    for (int column = 0; column < PictureSketch::kColumns; ++column) {
      const double x = zoom * ((column + kHalfWidth) / PictureSketch::kColumns - 0.5) + 0.5 + dx;
      const double y = zoom * ((row + kHalfWidth) / PictureSketch::kRows - 0.5) + 0.5 + dy;
      double density = now.sky * (1 - y) + dice.normal(0.03);
      for (const View::Patch& p : now.patches) {
        const double r2 = (x - p.x) * (x - p.x) + (y - p.y) * (y - p.y);
        density += p.density * std::exp(-r2 / (2 * p.size * p.size));
      }
      sketch.density.push_back(static_cast<float>(density));
      mean += density;
    }
  }
  mean /= static_cast<double>(sketch.density.size());
  for (float& density : sketch.density) density -= static_cast<float>(mean);
  return sketch;
}

/// One press of the button.
struct Shot {
  std::string words;
  ShutterTime shutter{1};
  FNumber aperture{8};
  double wanted = 0;    ///< compensation that the photographer meant
  double exposure = 0;  ///< that the film got, against the aim
  PictureSketch picture;
  bool first_of_scene = false;
  int scene = 0;
  std::size_t place = 0;
};

constexpr std::array<double, 13> kTimes = {1 / 1000.0, 1 / 500.0, 1 / 250.0, 1 / 125.0, 1 / 60.0,
                                           1 / 30.0,   1 / 15.0,  1 / 8.0,   1 / 4.0,   1 / 2.0,
                                           1,          2,         4};
constexpr std::array<double, 9> kStops = {1.8, 2.8, 4, 5.6, 8, 11, 16, 22, 32};

/// How a person works, and what the camera does otherwise than it says.
struct Photographer {
  WayOfMetering way = WayOfMetering::aperture_priority;
  double bias = 0;
  std::map<int, double> speed_error;  ///< by index into kTimes
  bool writes_times = true;
  double writes_words = 0.7;
  double views_again = 0.35;  ///< another frame of the same view
};

Photographer some_photographer(Dice& dice) {
  Photographer person;
  const double way = dice.between(0, 1);
  person.way = way < 0.5    ? WayOfMetering::aperture_priority
               : way < 0.85 ? WayOfMetering::match_needle
                            : WayOfMetering::no_meter;
  person.bias = dice.normal(0.6);
  for (int k = 0; k < static_cast<int>(kTimes.size()); ++k) {
    person.speed_error[k] = dice.normal(0.1);
  }
  if (dice.chance(0.3)) person.speed_error[dice.whole(0, 9)] += 0.6;
  person.writes_times = person.way != WayOfMetering::aperture_priority || dice.chance(0.75);
  person.writes_words = dice.between(0.4, 1);
  person.views_again = dice.between(0.15, 0.45);
  return person;
}

int nearest_time(double seconds) {
  int best = 0;
  for (int k = 0; k < static_cast<int>(kTimes.size()); ++k) {
    if (std::abs(std::log2(kTimes[k] / seconds)) < std::abs(std::log2(kTimes[best] / seconds))) {
      best = k;
    }
  }
  return best;
}

/// Exact stops of what is engraved: times and apertures are made to powers of two, f/1.8 a third
/// below f/2 [DustyNegatives].
double true_time(int k) { return std::exp2(k - 10); }
double true_stop(int k) { return k == 0 ? std::exp2(5 / 6.0) : std::exp2((k + 2) / 2.0); }

/// Sets the camera for a scene and takes the picture.
Shot take(double scene_ev, double wanted, int stop, const Photographer& person, Dice& dice) {
  Shot shot;
  shot.wanted = wanted;
  double ev = scene_ev - wanted;  // that the settings must be right for
  if (person.way == WayOfMetering::no_meter) ev = scene_ev + dice.normal(0.6) - wanted;
  if (person.way == WayOfMetering::match_needle) ev += dice.normal(0.12);
  const double ev_film = ev + std::log2(kFilmIso / 100);
  // A time that can be held and that the camera has, else another stop.
  const auto seconds = [&] { return std::exp2(-ev_film) * true_stop(stop) * true_stop(stop); };
  while (seconds() > 1 / 20.0 && stop > 0) --stop;
  while (seconds() < 1 / 1200.0 && stop < static_cast<int>(kStops.size()) - 1) ++stop;
  const int time = nearest_time(seconds());
  shot.shutter = ShutterTime(kTimes[time]);
  shot.aperture = FNumber(kStops[stop]);
  double given = true_time(time);
  if (person.way == WayOfMetering::aperture_priority) given = seconds();
  shot.exposure = scene_ev + std::log2(given / (true_stop(stop) * true_stop(stop))) +
                  std::log2(kFilmIso / 100) + person.bias + person.speed_error.at(time) +
                  dice.normal(0.1);
  if (person.way == WayOfMetering::no_meter) shot.exposure -= person.bias;
  return shot;
}

double wanted_for(const std::string& words, Dice& dice) {
  if (words == "backlit") return dice.chance(0.7) ? dice.whole(1, 2) : 0;
  if (words == "neon" || words == "mist") return dice.chance(0.4) ? 1 : 0;
  return dice.chance(0.12) ? dice.whole(-2, 2) / 2.0 : 0;
}

std::vector<Shot> shoot(const Photographer& person, Dice& dice) {
  std::vector<Shot> shots;
  int scenes_before = 0;
  while (static_cast<int>(shots.size()) < kPictures) {
    const auto where = static_cast<std::size_t>(dice.whole(0, 3));
    const auto& place = kPlaces[where];
    const int scenes = dice.whole(3, 9);
    for (int scene = 0; scene < scenes; ++scene) {
      const Subject& subject =
          place[static_cast<std::size_t>(dice.whole(0, static_cast<int>(place.size()) - 1))];
      const double light = dice.between(subject.lowest_ev, subject.highest_ev);
      const int stop = dice.whole(1, 5);
      const double wanted = wanted_for(subject.words, dice);
      View view = new_view(dice);
      const bool upright = dice.chance(0.25);
      bool first = true;
      const bool bracket = dice.chance(0.06);
      for (int k = 0;; ++k) {
        const double extra =
            bracket ? std::array{0.0, -1.0, 1.0}[static_cast<std::size_t>(k % 3)] : 0;
        const double ev = light + dice.normal(0.2);
        Shot shot =
            take(ev, wanted + extra, dice.chance(0.25) ? dice.whole(1, 5) : stop, person, dice);
        shot.words = subject.words;
        shot.picture = sketch(view, upright, dice);
        shot.first_of_scene = first;
        shot.scene = scenes_before + scene;
        shot.place = where;
        shots.push_back(shot);
        first = false;
        if (bracket ? k == 2 : !dice.chance(person.views_again + 0.1)) break;
        if (!bracket && dice.chance(0.1 / (person.views_again + 0.1))) view = new_view(dice);
      }
    }
    scenes_before += scenes;
  }
  shots.resize(kPictures);
  return shots;
}

LogRow write_down(const Shot& shot, const Photographer& person, Dice& dice) {
  LogRow row;
  const bool automatic = person.way == WayOfMetering::aperture_priority;
  row.mode = automatic ? ExposureMode::aperture_priority : ExposureMode::manual;
  row.ei = FilmSpeed(kFilmIso);
  row.used = {shot.shutter, shot.aperture};
  if (dice.chance(0.02)) row.used.shutter = ShutterTime(shot.shutter.seconds() * 2);  // a slip
  if (!person.writes_times || dice.chance(0.03)) row.used.shutter.reset();
  if (dice.chance(0.03)) row.used.aperture.reset();
  const bool kept = automatic ? dice.chance(0.9) : dice.chance(0.7);
  if (shot.wanted != 0 && kept) row.compensation = Stops(shot.wanted);
  if (dice.chance(person.writes_words)) row.scene = shot.words;
  if (!shot.first_of_scene && dice.chance(0.1)) row.note = "one more";
  return row;
}

/// `count` of the pictures, at random.
std::vector<bool> lose(int count, Dice& dice) {
  std::vector<bool> lost(kPictures, false);
  while (count > 0) {
    const auto k = static_cast<std::size_t>(dice.whole(0, kPictures - 1));
    if (lost[k]) continue;
    lost[k] = true;
    --count;
  }
  return lost;
}

void turn_round(SimulatedRoll& roll) {
  std::ranges::reverse(roll.frames);
  std::ranges::reverse(roll.truth);
  std::ranges::reverse(roll.hidden.scene);
  std::ranges::reverse(roll.hidden.place);
}

}  // namespace

std::span<const std::vector<Subject>> places() { return kPlaces; }

SimulatedRoll simulate_roll(RowNumbers row_numbers, FileNumbers file_numbers, Scanned scanned,
                            std::mt19937& random) {
  Dice dice(random);
  const bool whole = scanned == Scanned::sheet;
  const bool keepers = scanned == Scanned::keepers;
  const Photographer person = some_photographer(dice);
  const std::vector<Shot> shots = shoot(person, dice);
  const int blanks = whole || keepers ? 0 : dice.whole(0, 3);
  const bool blanks_scanned = dice.chance(0.7);
  const std::vector<bool> unwritten = lose(whole || keepers ? 0 : dice.whole(0, 4), dice);
  const std::vector<bool> unscanned = lose(whole     ? 0
                                           : keepers ? kPictures - dice.whole(1, 8)
                                                     : dice.whole(0, 2),
                                           dice);
  const int film_edge = dice.chance(0.5) ? blanks : 0;  // file names count from the film's edge

  SimulatedRoll roll;
  for (int k = 0; blanks_scanned && k < blanks; ++k) {
    MatchFrame blank{.blank = true};
    const int number = film_edge + 1 + k - blanks;
    if (number >= 0) blank.label = std::to_string(number);
    roll.frames.push_back(blank);
    roll.truth.emplace_back();
    roll.hidden.scene.push_back(-1);
    roll.hidden.place.push_back(0);
  }
  for (int k = 0; k < kPictures; ++k) {
    const auto at = static_cast<std::size_t>(k);
    std::optional<std::size_t> row_index;
    if (!unwritten[at]) {
      row_index = roll.log.rows.size();
      LogRow row = write_down(shots[at], person, dice);
      const int number =
          row_numbers == RowNumbers::counter ? k + 1 : static_cast<int>(*row_index) + 1;
      if (row_numbers != RowNumbers::none) row.frame = std::to_string(number);
      roll.log.rows.push_back(row);
    }
    if (unscanned[at]) continue;
    MatchFrame frame{.label = std::to_string(k + 1 + film_edge)};
    frame.exposure_sigma = dice.between(0.15, 0.35);
    frame.exposure =
        basefog::ExposureFromAim(shots[at].exposure + dice.normal(0.5 * frame.exposure_sigma));
    if (dice.chance(0.03)) frame.exposure.reset();
    frame.picture = shots[at].picture;
    roll.frames.push_back(frame);
    roll.truth.push_back(row_index);
    roll.hidden.scene.push_back(shots[at].scene);
    roll.hidden.place.push_back(shots[at].place);
  }
  roll.hidden.way = person.way;
  roll.hidden.bias = person.way == WayOfMetering::no_meter ? 0 : person.bias;
  for (const auto& [time, error] : person.speed_error) {
    roll.hidden.speed_error[ShutterTime(kTimes.at(static_cast<std::size_t>(time)))] = error;
  }
  roll.scanned_backwards = scanned == Scanned::with_losses && dice.chance(1 / 3.0);
  if (roll.scanned_backwards) turn_round(roll);
  // Files named by the frame's number mostly come in that order again, however they were scanned.
  if (file_numbers == FileNumbers::by_frame && roll.scanned_backwards && dice.chance(0.5)) {
    turn_round(roll);
    roll.scanned_backwards = false;
  }
  int scan = 0;
  for (MatchFrame& frame : roll.frames) {
    ++scan;
    if (file_numbers == FileNumbers::by_scan) frame.label = std::to_string(scan);
    if (file_numbers == FileNumbers::none) frame.label.clear();
  }
  return roll;
}

}  // namespace study
