// SPDX-License-Identifier: GPL-3.0-or-later
// The rolls of the study of readings, as drawn: film, scanner, camera, what is known of the film.
#pragma once

#include "basefog/film/film_profile.hpp"
#include "basefog/response/response.hpp"
#include "simulator/camera.hpp"
#include "simulator/film.hpp"
#include "simulator/scanner.hpp"
#include "validation/draws.hpp"
#include "validation/study.hpp"

namespace validation {

struct Roll {
  simulator::Film film;
  double contrast = 1;
  simulator::Scanner scanner;
  simulator::Meter meter;
  double iso = 400;
};

/// One roll's film, scanner and meter, drawn from what is usual.
/// number: of the roll; contrast and response of all rolls together are spread as they should be.
/// of_film: what all rolls of its film share.
Roll draw_roll(const Stratum& stratum, int number, Draw& of_film, Draw& draw);

/// What the estimator is told of the scans' response.
basefog::response::Response stated_response(const Stratum& stratum);

/// What the estimator is given of the roll's film: a generic profile, a film test, or what
/// `told` says of the truth.
basefog::film::FilmProfile profile_for(const Stratum& stratum, const Roll& roll, const Told& told,
                                       Draw& draw);

struct Picture {
  simulator::Camera camera;
  simulator::View view;
};
Picture draw_picture(const Roll& roll, Draw& draw);
simulator::Shot draw_shot(const Scene& scene, const Roll& roll, Draw& draw);

/// Three exposures of one view from a tripod, two stops apart, settings in the log; each is off its
/// mark by what shutters repeat to.
inline constexpr int kBracketFrames = 3;
inline constexpr double kBracketStep = 2;
struct Bracket {
  const Scene* scene;
  Picture picture;
};
simulator::Shot draw_bracket_shot(const Bracket& bracket, int frame, Draw& draw);

}  // namespace validation
