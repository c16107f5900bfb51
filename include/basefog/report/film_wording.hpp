// SPDX-License-Identifier: GPL-3.0-or-later
// What is known of a film, in sentences.
#pragma once

#include <string>
#include <vector>

#include "basefog/film/film_test.hpp"
#include "basefog/roll/film_test_frames.hpp"

namespace basefog::report {

/// A film test: how the film was developed, which steps are missing, what the exposures leave open.
std::vector<std::string> film_test_texts(const film::FilmTest& test);

/// Each pair of a single and a multiple exposure, and how many of them disagree.
std::vector<std::string> exposure_pair_texts(const film::DevelopmentSeries& series);

/// The frames that a film test leaves out, each with the reason, and what the log does not say.
std::vector<std::string> film_test_frames_texts(const roll::FilmTestFrames& frames);

}  // namespace basefog::report
