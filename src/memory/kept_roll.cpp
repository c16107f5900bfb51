// SPDX-License-Identifier: GPL-3.0-or-later
#include "basefog/memory/kept_roll.hpp"

#include <cmath>
#include <map>

namespace basefog::memory {
namespace {

using enum film::FilmParameter;

bool hardly_differs(const KeptFilm& film, const film::FilmBelief& belief) {
  constexpr double kFartherThan = 0.2;  // of its sigma
  constexpr double kSurerBy = 0.1;
  const double sigma = belief.sigma(contrast);
  return std::abs(belief.mean[contrast] - film.log_contrast) <= kFartherThan * sigma &&
         std::abs(sigma - film.log_contrast_sigma) <= kSurerBy * film.log_contrast_sigma;
}

/// What frames of a roll share by the new reading; the frame's own doubts stay.
void take_shared(reading::ErrorBudget& shared, const reading::ErrorBudget& now) {
  for (const reading::ErrorCause cause :
       {reading::ErrorCause::contrast, reading::ErrorCause::toe_and_shoulder,
        reading::ErrorCause::response}) {
    shared[cause] = now[cause];
  }
}

/// How a frame reads otherwise than last time, and what it shares with others now.
struct Change {
  Stops exposure{0};
  Stops correction{0};
  reading::ErrorBudget of_exposure{};
  reading::ErrorBudget of_both{};  ///< exposure and correction together
};

Change change_of(const KeptFrame& before, const ensemble::KeptReading& now) {
  Change change{now.exposure.estimate.value - before.exposure,
                now.correction.estimate.value - before.correction, now.exposure.budget,
                now.exposure.budget};
  for (const reading::ErrorCause cause : every<reading::ErrorCause>()) {
    change.of_both[cause] += now.correction.budget[cause];
  }
  return change;
}

}  // namespace

std::optional<KeptRoll> read_again(const KeptRoll& kept, std::span<const FilmLesson> lessons) {
  const FilmLesson& own = kept.film.lesson;
  if (!own.profile) return std::nullopt;
  const film::FilmProfile& form = *own.profile;
  std::vector<FilmLesson> others;
  for (const FilmLesson& lesson : lessons) {
    if (lesson.roll != own.roll || lesson.camera != own.camera) others.push_back(lesson);
  }
  const FilmMemory memory = recall(others, own.use, form);
  const film::FilmBelief belief = film::given(memory.roll, kept.film.of_series);
  if (!memory.says_anything() || hardly_differs(kept.film, belief)) return std::nullopt;
  film::FilmProfile film = film::believed(form, belief);
  film.iso_speed = own.film_speed;
  std::vector<ensemble::KeptFrame> frames;
  for (const KeptFrame& frame : kept.film.frames) frames.push_back(frame.frame);
  const auto readings = ensemble::read_kept(
      frames, film, {.q = kept.film.aim_q, .k = kept.film.aim_k, .film_speed = own.film_speed});
  if (!readings) return std::nullopt;

  KeptRoll now = kept;
  now.film.log_contrast = belief.mean[contrast];
  now.film.log_contrast_sigma = belief.sigma(contrast);
  std::map<std::size_t, Change> changes;
  for (std::size_t f = 0; f < readings->size(); ++f) {
    KeptFrame& frame = now.film.frames[f];
    changes[frame.place] = change_of(frame, (*readings)[f]);
    frame.exposure = (*readings)[f].exposure.estimate.value;
    frame.correction = (*readings)[f].correction.estimate.value;
  }
  for (meter::DeviationSample& sample : now.roll.deviations) {
    const auto change = sample.place ? changes.find(*sample.place) : changes.end();
    if (change == changes.end()) continue;
    sample.deviation += change->second.exposure;
    take_shared(sample.shared, change->second.of_exposure);
  }
  for (meter::TechniqueSample& sample : now.roll.techniques) {
    const auto change = sample.place ? changes.find(*sample.place) : changes.end();
    if (change == changes.end()) continue;
    sample.technique += change->second.exposure + change->second.correction;
    take_shared(sample.shared, change->second.of_both);
  }
  return now;
}

}  // namespace basefog::memory
